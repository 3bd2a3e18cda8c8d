"""What is drawn over the photo while marks are set: strokes and numbers, without Blender."""

import itertools
import math
from collections.abc import Sequence

from ..blender.drawing import Drawing, Label, Place, Stroke

__all__ = ["joined", "marks_drawing", "sizes_drawing"]

MARK = (0.90, 0.62, 0.00)
"""Orange of Okabe and Ito's palette, which people see apart whatever colours they see."""
NEXT = (0.34, 0.71, 0.91)
"""Sky blue of the same."""
ARM_PX, GAP_PX = 11.0, 3.0
NUMBER_AT_PX = (8.0, 8.0)
SIZE_AT_PX = (6.0, -18.0)
LEAST_SIDE_PX = 70.0
"""A side seen shorter than this has no room for its size."""


def marks_drawing(
    places: Sequence[Place | None],
    wanted: int,
    mouse: Place | None = None,
    ui_scale: float = 1.0,
) -> Drawing:
    """Draw marks as crosses with numbers, joined in turn, and a line on to the mouse.

    Parameters
    ----------
    places
        Where the marks are in the viewport, in its pixels; None where out of view.
    wanted
        How many marks there will be; the last of more than two is joined to the first.
    mouse
        Where the mouse is, if it is over the viewport and a mark is still to come.
    """
    around = list(places)
    if len(around) == wanted and wanted > 2:
        around.append(around[0])
    joined = tuple((a, b) for a, b in itertools.pairwise(around) if a is not None and b is not None)
    crosses: list[tuple[Place, Place]] = []
    labels: list[Label] = []
    for number, place in enumerate(places, start=1):
        if place is None:
            continue
        crosses += _cross(place, ui_scale)
        x, y = (at + ui_scale * off for at, off in zip(place, NUMBER_AT_PX, strict=True))
        labels.append(Label(str(number), (x, y), MARK))
    strokes = [Stroke(joined, MARK, 1.5), Stroke(tuple(crosses), MARK, 2.0)]
    last = places[-1] if places else None
    if last is not None and mouse is not None and len(places) < wanted:
        strokes.append(Stroke(((last, mouse),), NEXT, 1.5))
    return Drawing(tuple(s for s in strokes if s.lines), tuple(labels))


def sizes_drawing(
    places: Sequence[Place | None], sizes: Sequence[str], ui_scale: float = 1.0
) -> Drawing:
    """Write sizes at the middles of the first sides between marks, where there is room.

    Parameters
    ----------
    places, sizes
        Places of the viewport, None where not in it, and what to write.
    ui_scale
        Size of the interface.
    """
    labels = []
    for (a, b), words in zip(itertools.pairwise(places), sizes, strict=False):
        if a is None or b is None or math.dist(a, b) < LEAST_SIDE_PX * ui_scale:
            continue
        x, y = ((p + q) / 2.0 + ui_scale * off for p, q, off in zip(a, b, SIZE_AT_PX, strict=True))
        labels.append(Label(words, (x, y), MARK))
    return Drawing((), tuple(labels))


def joined(drawings: Sequence[Drawing]) -> Drawing:
    """Return several drawings as one, the first lowest."""
    return Drawing(
        tuple(stroke for one in drawings for stroke in one.strokes),
        tuple(label for one in drawings for label in one.labels),
        tuple(inset for one in drawings for inset in one.insets),
    )


def _cross(place: Place, ui_scale: float) -> list[tuple[Place, Place]]:
    """Four arms around a gap, so that what was marked stays in sight."""
    x, y = place
    near, far = GAP_PX * ui_scale, ARM_PX * ui_scale
    return [
        ((x + dx * near, y + dy * near), (x + dx * far, y + dy * far))
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]
