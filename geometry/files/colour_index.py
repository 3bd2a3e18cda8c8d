"""Numbers of the DXF colour index for colours, for versions without true colour."""

from __future__ import annotations

from .layers import OPERATIONS, STANDARD, Colour

__all__ = ["colour_index", "colour_of_index"]

CHOSEN = {"outside": 30, "inside": 5, "mark": 3, "score": 6, "measure": 4}
"""For the standard layers: orange, blue, green, magenta and cyan stay apart on every screen."""
LAST = 249
"""After it come greys, and numbers that stand for no colour."""


def colour_index(colour: Colour) -> int:
    """Return the number from 1 to 249 whose colour is nearest to one of (red, green, blue)."""
    for operation in OPERATIONS:
        if STANDARD.of(operation).colour == colour:
            return CHOSEN[operation]
    return min(
        range(1, LAST + 1),
        key=lambda index: sum(
            (a - b) ** 2 for a, b in zip(colour_of_index(index), colour, strict=True)
        ),
    )


def colour_of_index(index: int) -> Colour:
    """Return the colour (red, green, blue) a number of the DXF colour index stands for."""
    # ezdxf takes a third of a second to load, which every start of Blender would pay.
    from ezdxf.colors import aci2rgb

    red, green, blue = aci2rgb(index)
    return (red, green, blue)
