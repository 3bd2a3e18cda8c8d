"""An inset at the cursor that shows the photo around it pixel by pixel, with a cross-hair."""

import bpy
import numpy as np

from ...geometry.bench.magnify import magnified
from ...geometry.errors import FlatwrightError
from ..blender.drawing import Inset, Place, Stroke
from ..photo.packed_photo import packed_photo
from ..state.runner import Job, run_beside
from .photo_pixels import photo_px_in_region

__all__ = ["Magnifier", "inset_at"]

TIMES = 6.0
"""Pixels of the screen that a pixel of the photo takes."""
SIZE, BESIDE, MARGIN = 168, 26.0, 8.0
"""Side of the inset, its distance from the cursor and from the viewport's edge, in pixels."""
HAIR, GAP = 0.8, 0.06
"""How far the cross-hair reaches and what it leaves free, as fractions of half the side."""
COLOUR, FRAME = (0.90, 0.62, 0.00), (1.0, 1.0, 1.0)
STEP_PX = 8.0


class Magnifier:
    """Reads the photo beside the window, once, and shows it around the mouse from then on."""

    def __init__(self, photo: bpy.types.Object) -> None:
        self._pixels: np.ndarray | None = None
        try:
            read = packed_photo(photo.flatwright_photo)
        except FlatwrightError:
            # As below: it is told when it is measured.
            return
        run_beside(lambda progress: read().pixels, self._take)

    def _take(self, job: Job) -> None:
        # Marks can be set without the inset; what is wrong is told when it is measured.
        if job.error is None:
            self._pixels = job.result

    def inset(
        self,
        region: bpy.types.Region,
        view: bpy.types.RegionView3D,
        photo: bpy.types.Object,
        mouse: Place,
    ) -> tuple[Inset, ...]:
        """Return what to draw while the mouse is at a place of a viewport; nothing if not ready.

        Parameters
        ----------
        region, view
            The viewport.
        photo, mouse
            The photo's object and the place of the mouse.
        """
        pixels = self._pixels
        if pixels is None:
            return ()
        x, y = mouse
        try:
            here, right, down = (
                np.array(photo_px_in_region(region, view, photo, at))
                for at in ((x, y), (x + STEP_PX, y), (x, y - STEP_PX))
            )
        except FlatwrightError:
            return ()
        turn = np.column_stack((right - here, down - here))
        scale = float(np.sqrt(abs(np.linalg.det(turn))))
        height, width = pixels.shape[:2]
        if scale < 1e-6 or not (0.0 <= here[0] < width and 0.0 <= here[1] < height):
            return ()
        ui_scale = bpy.context.preferences.system.ui_scale
        side = round(SIZE * ui_scale)
        shown = magnified(pixels, here, side, TIMES * ui_scale, turn / scale)
        return (inset_at(shown, mouse, (region.width, region.height), ui_scale),)


def inset_at(shown: np.ndarray, mouse: Place, room: tuple[int, int], ui_scale: float) -> Inset:
    """Place an inset (N, N, 3) beside the mouse so that it stays in a viewport ``room`` wide, high.

    It stands right above the mouse, and changes sides where there is no room.

    Parameters
    ----------
    shown
        (N, N, 3) picture.
    mouse, room
        Place of the mouse, and size of the viewport.
    ui_scale
        Size of the interface.
    """
    side = float(len(shown))
    corner = []
    for at, length in zip(mouse, room, strict=True):
        low = at + BESIDE * ui_scale
        if low + side + MARGIN * ui_scale > length:
            low = at - BESIDE * ui_scale - side
        corner.append(max(low, MARGIN * ui_scale))
    x, y = corner
    half = side / 2.0
    middle = (x + half, y + half)
    hairs = tuple(
        (
            (middle[0] + dx * GAP * half, middle[1] + dy * GAP * half),
            (middle[0] + dx * HAIR * half, middle[1] + dy * HAIR * half),
        )
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1))
    )
    edge = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    frame = tuple(zip(edge, [*edge[1:], edge[0]], strict=True))
    strokes = (Stroke(frame, FRAME, 1.5), Stroke(hairs, COLOUR, 1.0))
    return Inset(shown, (x, y), strokes)
