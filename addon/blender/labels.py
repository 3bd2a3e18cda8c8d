"""Where words over a viewport run over no others."""

from .drawing import Place

__all__ = ["LETTER_PX", "LINE_PX", "Box", "free_place", "overlap"]

TEXT_PX = 12.0
"""From a place to the words beside it."""
LETTER_PX, LINE_PX = 7.5, 15.0
"""Room for a letter; a little more than most are wide."""

Box = tuple[float, float, float, float]
"""Left, bottom, right, top in pixels."""


def free_place(
    text: str, at: Place, taken: list[Box], ui_scale: float, *, must: bool = False
) -> Place | None:
    """Where words run over no others: right of a place, left, above or below; and take it.

    None if there is no such room, unless it ``must`` be written.

    Parameters
    ----------
    text, at
        The words, and the place they belong to, px.
    taken
        Boxes that are written in already; the new one is added.
    ui_scale, must
        How large the interface is drawn, and whether it is written where no room is left.
    """
    x, y = at
    wide, high = LETTER_PX * len(text) * ui_scale, LINE_PX * ui_scale
    beside, low = TEXT_PX * ui_scale, y - 4.0 * ui_scale
    places = [
        (x + beside, low),
        (x - beside - wide, low),
        (x - wide / 2.0, low + high),
        (x - wide / 2.0, low - high),
    ]
    for left, bottom in places:
        box = (left, bottom, left + wide, bottom + high)
        if not any(overlap(box, other) for other in taken):
            taken.append(box)
            return left, bottom
    return places[0] if must else None


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes have ground in common."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
