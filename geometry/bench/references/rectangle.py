"""A rectangle of known size: a sheet, a card or squares of a grid, by its four corners."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...errors import BenchError
from ...progress import Progress, tell
from ...sentences import Sentence
from ..bench import Bench
from ..camera import Camera
from ..homography import fit_homography, pose_from_homography
from ..priors import Priors
from .checks import MARK_CORNERS, check_height, check_length, checked_marks
from .edges import SIDES, SnappedCorners, snap_corners
from .kind import laid_out
from .length import CERTAIN_SIZE, length_misfit
from .marked import MARKED_PX, Marked, Misfit, Settled

__all__ = ["RectangleKind"]

FAR_PX = 10.0
"""A corner set by a hand that zooms in is not moved so far by snapping; twenty times how surely
marks are set."""
BOWED_FRACTION, BOWED_PX = 0.003, 1.5
"""A side is told to be bowed by more than this of its length, and than this in the photo: 0.6 mm
on a sheet of 210 mm, more than scissors leave (a choice), and three times how surely marks are
set."""


class RectangleKind:
    """Four corners in turn; from the first to the second is the width."""

    name = "RECTANGLE"
    marks = (4, 4)
    sizes = 2

    def settle(
        self, pixels: NDArray[np.uint8], marked: Marked, progress: Progress | None = None
    ) -> Settled:
        """Move the corners to where the edges near them meet.

        Parameters
        ----------
        pixels
            (H, W, 3) uint8.
        marked
            The rectangle as marked.
        progress
            Told 0 to 1.
        """
        tell(progress, 0.1, "Looking for the edges")
        snapped = snap_corners(pixels, marked.marks_px)
        found = tuple((float(x), float(y)) for x, y in snapped.corners_px)
        return Settled(replace(marked, marks_px=found, marked_px=MARKED_PX), snapped)

    def evidence(self, settled: Settled) -> "Corners":
        """Residuals of the four corners and of how sides seen as curves run, for the fit."""
        marked = settled.marked
        width_mm, height_mm = marked.size_mm
        check_length(Sentence("rectangle's width"), width_mm)
        check_length(Sentence("rectangle's height"), height_mm)
        check_height(marked.height_mm)
        corners = checked_marks(marked.marks_px, 4, 4, MARK_CORNERS)
        plane = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * [width_mm, height_mm]
        if _turning(corners) > 0.0:
            # Clockwise as seen: the first side is the upper one.
            plane[:, 1] = height_mm - plane[:, 1]
        snapped: SnappedCorners | None = settled.seen
        bows = None if snapped is None else snapped.bows_px
        return Corners(corners, plane, marked.height_mm, marked.size_sigma, marked.marked_px, bows)

    def remarks(self, settled: Settled, camera: Camera) -> tuple[str, ...]:
        """Say where a side is bowed as no lens bends it, and where a corner was moved far."""
        snapped: SnappedCorners | None = settled.seen
        if snapped is None:
            return ()
        told: list[str] = []
        corners = self.evidence(settled)
        away = corners.bows_missed_px(camera, corners.start(camera))
        lengths = np.hypot(*(np.roll(snapped.corners_px, -1, axis=0) - snapped.corners_px).T)
        over = np.abs(away) / np.maximum(BOWED_PX, BOWED_FRACTION * lengths)
        worst = int(np.argmax(over))
        if over[worst] > 1.0:
            size_mm = settled.marked.size_mm[worst % 2]
            told.append(
                Sentence(
                    "The {side} side is bowed by {bow_px:.0f} pixels, {bow_mm:.1f} mm, as no lens "
                    "bends it: the sheet does not lie flat, or was cut so. Weigh it down and "
                    "photograph it again, or mind the larger ±.",
                    {
                        "side": Sentence(SIDES[worst]),
                        "bow_px": abs(away[worst]),
                        "bow_mm": abs(away[worst]) * size_mm / lengths[worst],
                    },
                )
            )
        if snapped.moved_px > FAR_PX:
            told.append(
                Sentence(
                    "Snapping moved a corner by {moved_px:.0f} pixels, to where edges meet there. "
                    "Look whether they are the sheet's own, or mark nearer to it.",
                    {"moved_px": snapped.moved_px},
                )
            )
        return tuple(told)

    def misfits(self, bench: Bench, marked: Marked) -> tuple[Misfit, ...]:
        """What the bench makes of each of its four sides, from the first mark on."""
        marks = (*marked.marks_px, marked.marks_px[0])
        return tuple(
            length_misfit(bench, marked, marks[k : k + 2], marked.size_mm[k % 2]) for k in range(4)
        )


@dataclass(frozen=True, slots=True, eq=False)
class Corners:
    """Four corners: own parameters x, y, turn, log size.

    ``bows_px`` (4,) are as of `SnappedCorners`, None where edges were not looked at. A lens bows
    sides and a sheet that does not lie flat does; what the lens does not explain enlarges the ±.
    """

    marks_px: Points
    plane_mm: Points
    height_mm: float
    size_sigma: float
    marked_px: float
    bows_px: FloatArray | None = None
    placing = 3
    tells_tilt = True
    count = 4

    @property
    def spans(self) -> FloatArray:
        size = float(np.ptp(self.plane_mm, axis=0).max())
        return np.array([size, size, 1.0, 1.0])

    def first_camera(self, priors: Priors, center_px: tuple[float, float]) -> Camera:
        matrix = fit_homography(self.plane_mm, self.marks_px)
        rotation, translation = pose_from_homography(matrix, priors.focal_px, center_px)
        moved = translation - rotation[:, 2] * self.height_mm
        return Camera(priors.focal_px, center_px, 0.0, 0.0, rotation, moved)

    def start(self, camera: Camera) -> FloatArray:
        # The rigid move that lays the rectangle best on where its corners are seen (Kabsch 1976).
        places = camera.unproject(self.marks_px, self.height_mm)
        a, b = self.plane_mm - self.plane_mm.mean(axis=0), places - places.mean(axis=0)
        turn = float(np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum()))
        own = np.array([0.0, 0.0, turn, 0.0])
        own[:2] = places.mean(axis=0) - laid_out(self.plane_mm, own).mean(axis=0)
        return own

    def missed_px(self, camera: Camera, own: FloatArray) -> FloatArray:
        seen = camera.project(laid_out(self.plane_mm, own), self.height_mm)
        return np.asarray((seen - self.marks_px).ravel())

    def bows_missed_px(self, camera: Camera, own: FloatArray) -> FloatArray:
        """(4,) px by which the sides are bowed more than the camera bows them; (0,) if unknown."""
        if self.bows_px is None:
            return np.zeros(0)
        ends = laid_out(self.plane_mm, own)
        first, middle = (
            camera.project(places, self.height_mm)
            for places in (ends, (ends + np.roll(ends, -1, axis=0)) / 2.0)
        )
        chord, away = np.roll(first, -1, axis=0) - first, middle - first
        squared = (chord**2).sum(axis=1)
        u = (chord * away).sum(axis=1) / squared
        seen = (chord[:, 0] * away[:, 1] - chord[:, 1] * away[:, 0]) / np.sqrt(squared)
        return np.asarray(self.bows_px * 4.0 * u * (1.0 - u) - seen)

    def residuals(self, camera: Camera, own: FloatArray) -> FloatArray:
        believed = own[3:4] / max(self.size_sigma, CERTAIN_SIZE)
        missed = np.concatenate((self.missed_px(camera, own), self.bows_missed_px(camera, own)))
        return np.concatenate((missed / self.marked_px, believed))


def _turning(corners: Points) -> float:
    """+1 if the corners run clockwise as seen, -1 if anticlockwise.

    Raises
    ------
    BenchError
        If they do neither: crossed, bent in, or on one line.
    """
    side = np.roll(corners, -1, axis=0) - corners
    following = np.roll(side, -1, axis=0)
    cross = side[:, 0] * following[:, 1] - side[:, 1] * following[:, 0]
    # A corner's area in units of the whole: near zero, three corners lie on one line.
    fraction = cross / max(float(np.abs(side).max()) ** 2, 1e-300)
    if (fraction > 1e-3).all():
        return 1.0
    if (fraction < -1e-3).all():
        return -1.0
    raise BenchError(
        "The four corners do not go around a rectangle. Mark them in turn, one side after the "
        "other, and keep them apart."
    )
