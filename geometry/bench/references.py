"""True scale from what a person marks: four corners of a known rectangle, or a known length."""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import FloatArray, Matrix, Points, as_points
from ..errors import BenchError
from .adjust import Priors, adjust
from .bench import Bench, BenchReport
from .camera import Camera
from .homography import fit_homography, pose_from_homography
from .reporting import pixel_size_mm
from .ruler import RulerTicks

__all__ = ["bench_from_length", "bench_from_rectangle"]

LONGEST_MM, FARTHEST_PX = 1e5, 1e6
"""No bench is a hundred metres long, and no mark is set so far outside of a photo."""
SHORTEST_MM = 1e-3
MARKED_PX = 0.5
"""Standard deviation of a mark set by hand, zoomed in; common practice."""
LEFT_LENS = 0.02
"""What lens is left in a phone's picture, which the phone has straightened; from experience."""
SQUARE_ON_RAD = float(np.radians(2.0))
"""How squarely a camera is held over a bench by eye, each way; from experience."""


def bench_from_rectangle(
    size_px: tuple[int, int],
    corners_px: ArrayLike,
    width_mm: float,
    height_mm: float,
    *,
    focal_35mm: float | None = None,
    reference_height_mm: float = 0.0,
    marked_px: float = MARKED_PX,
) -> Bench:
    """Bench from the four corners of a sheet or card of known size.

    Parameters
    ----------
    size_px
        (width, height) of the photo.
    corners_px : (4, 2)
        The corners in turn around the rectangle, either way round. The side from the first to
        the second is ``width_mm`` long and gives the bench's x. Where a card's corners are
        round, mark where its straight edges would meet.
    reference_height_mm
        How far the rectangle's face lies above the bench.
    marked_px
        Standard deviation of each corner as marked.

    Raises
    ------
    BenchError
        If the corners are no rectangle seen from above, or a size is no length.
    """
    _check_length("rectangle's width", width_mm)
    _check_length("rectangle's height", height_mm)
    _check_height(reference_height_mm)
    corners = _marks(corners_px, 4, "Mark the rectangle's four corners.")
    plane = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * [width_mm, height_mm]
    if _turning(corners) > 0.0:
        # Clockwise as seen: the first side is the upper one.
        plane[:, 1] = height_mm - plane[:, 1]
    priors = Priors.of_photo(size_px, focal_35mm, LEFT_LENS)
    center = ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0)
    matrix = fit_homography(plane, corners)
    rotation, translation = pose_from_homography(matrix, priors.focal_px, center)
    start = Camera(
        priors.focal_px,
        center,
        0.0,
        0.0,
        rotation,
        translation - rotation[:, 2] * reference_height_mm,
    )
    fit = adjust(
        start,
        plane,
        corners,
        None,
        priors,
        rounds=60,
        least_sigma_px=marked_px,
        height_mm=reference_height_mm,
    )
    rms_px = float(np.sqrt(2.0 * np.mean(fit.residuals_px**2)))
    warnings = _focal_warning(focal_35mm)
    if rms_px > 4.0 * marked_px:
        warnings.append(
            f"The corners miss a {width_mm:g} × {height_mm:g} mm rectangle by {rms_px:.1f} pixels. "
            "Check its size, which side was marked first, and the marks."
        )
    return Bench(
        (int(size_px[0]), int(size_px[1])),
        fit.camera,
        _report(fit.camera, rms_px, 4, warnings),
        fit.covariance,
    )


def bench_from_length(
    size_px: tuple[int, int],
    a_px: ArrayLike,
    b_px: ArrayLike,
    length_mm: float,
    *,
    focal_35mm: float | None = None,
    reference_height_mm: float = 0.0,
    ticks: RulerTicks | None = None,
    tolerance_mm: float = 0.0,
    marked_px: float = MARKED_PX,
) -> Bench:
    """Bench from two marks a known distance apart, such as on a ruler.

    The camera is taken to look straight down, which two marks cannot tell; the doubt of that is
    carried. The bench's axes are the photo's own and its origin lies under the first mark. With
    the ``ticks`` of `lock_on_ruler` the marks are moved on to theirs, and tilt along the ruler is
    told by how their spacing changes. ``tolerance_mm`` is how far the length itself may be off,
    any value within being as likely, such as `ruler_tolerance_mm` tells; ``marked_px`` is the
    standard deviation of each mark.

    Raises
    ------
    BenchError
        If the marks are too close together or the length is no length.
    """
    _check_length("distance between the marks", length_mm)
    _check_height(reference_height_mm)
    if not (np.isfinite(tolerance_mm) and tolerance_mm >= 0.0):
        raise BenchError("The length's tolerance is 0 mm or more. Type it again.")
    own = tolerance_mm / (float(np.sqrt(3.0)) * length_mm)
    marks = _marks([np.ravel(a_px), np.ravel(b_px)], 2, "Mark both ends of the known length.")
    apart_px = float(np.hypot(*(marks[1] - marks[0])))
    if apart_px < 20.0:
        raise BenchError(
            "The two marks are only {apart_px:.1f} pixels apart, too few to measure "
            "from. Mark a longer stretch of the ruler.",
            apart_px=apart_px,
        )
    priors = Priors.of_photo(size_px, focal_35mm, LEFT_LENS)
    center = np.array([(size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0])
    if ticks is not None:
        bench = _bench_of_ticks(size_px, ticks, priors, center, reference_height_mm, focal_35mm)
        return replace(bench, scale_doubt=float(np.hypot(bench.scale_doubt, own)))
    scale = length_mm / apart_px
    away = priors.focal_px * scale
    rotation = np.diag([1.0, -1.0, -1.0])
    at_mark = np.array([*((marks[0] - center) * scale), away])
    translation = at_mark - rotation[:, 2] * reference_height_mm
    camera = Camera(
        priors.focal_px, (float(center[0]), float(center[1])), 0.0, 0.0, rotation, translation
    )
    middle = np.array([*((marks.mean(axis=0) - center) * scale), away])
    warnings = [
        "Two marks cannot tell how the camera was tilted, so it is taken to look straight down. "
        "Use a rectangle or a printed grid for a surer scale.",
        *_focal_warning(focal_35mm),
    ]
    # Marks at both ends (JCGM 100:2008, 5.1.2), and what tilt shortens (1 - cos, both ways).
    share = float(np.hypot(np.sqrt(2.0) * marked_px / apart_px, 2.0 * (1 - np.cos(SQUARE_ON_RAD))))
    return Bench(
        (int(size_px[0]), int(size_px[1])),
        camera,
        _report(camera, 0.0, 2, warnings),
        _square_on_doubt(middle - translation, away, priors),
        float(np.hypot(share, own)),
    )


def _bench_of_ticks(
    size_px: tuple[int, int],
    ticks: RulerTicks,
    priors: Priors,
    center: FloatArray,
    reference_height_mm: float,
    focal_35mm: float | None,
) -> Bench:
    length_mm = ticks.length_mm
    rays = (np.array([ticks.a_px, ticks.b_px]) - center) / priors.focal_px
    rays = np.column_stack((rays, np.ones(2)))
    # The stretch gives the depth at b over that at a. Where the ticks hardly tell it, what a
    # person holding the camera square believes of it weighs more.
    apart = float(np.hypot(*(rays[1] - rays[0])[:2]))
    believed_sd = SQUARE_ON_RAD * apart
    weight = believed_sd**2 / (believed_sd**2 + ticks.stretch_sd**2)
    stretch = ticks.stretch * weight
    sides = rays[1] * (1.0 + stretch) - rays[0]
    away = length_mm / float(np.linalg.norm(sides))
    along = sides / np.linalg.norm(sides)
    up = np.array([0.0, 0.0, -1.0]) + along[2] * along
    up /= np.linalg.norm(up)
    x = np.array([1.0, 0.0, 0.0]) - up[0] * up
    x /= np.linalg.norm(x)
    rotation = np.column_stack((x, np.cross(up, x), up))
    translation = rays[0] * away - up * reference_height_mm
    camera = Camera(
        priors.focal_px, (float(center[0]), float(center[1])), 0.0, 0.0, rotation, translation
    )
    middle = (rays[0] + rays[1] * (1.0 + stretch)) * away / 2.0
    tilt_sd = ticks.stretch_sd * float(np.sqrt(weight)) / max(apart, 1e-9)
    turns = np.column_stack((along * SQUARE_ON_RAD, np.cross(along, up) * tilt_sd))
    warnings = [
        "A ruler cannot tell how the camera was tilted across it, so it is taken to be held "
        "straight that way. Use a rectangle or a printed grid for a surer scale.",
        *_focal_warning(focal_35mm),
    ]
    share = float(np.hypot(ticks.scale_sd, 1.0 - np.cos(SQUARE_ON_RAD)))
    return Bench(
        (int(size_px[0]), int(size_px[1])),
        camera,
        _report(camera, ticks.rms_px, len(ticks), warnings),
        _square_on_doubt(middle - translation, away, priors, turns),
        share,
    )


def _square_on_doubt(
    arm: FloatArray, away_mm: float, priors: Priors, turns: Matrix | None = None
) -> Matrix:
    """(9, 9) covariance when tilt, focal length and lens are only believed, not measured.

    ``arm`` (3,) runs from the bench's origin to the middle of the marks, in camera axes. The
    marked length stays as marked whatever the tilt and the focal length are. ``turns`` (3, 2) are
    the two tilts believed, one standard deviation each.
    """
    turns = np.eye(3)[:, :2] * SQUARE_ON_RAD if turns is None else turns
    causes = np.zeros((9, 5))
    for k in (0, 1):
        turn = turns[:, k]
        causes[:3, k] = turn
        causes[3:6, k] = -np.cross(turn, arm)
    causes[5, 2], causes[6, 2] = away_mm * priors.focal_share, priors.focal_share
    causes[7, 3], causes[8, 4] = priors.k1, priors.k2
    return np.asarray(causes @ causes.T)


def _focal_warning(focal_35mm: float | None) -> list[str]:
    if focal_35mm:
        return []
    return [
        "The photo does not tell its focal length, so sizes on a raised face are less sure. "
        "Use an unedited photo with its camera data."
    ]


def _report(camera: Camera, rms_px: float, marks: int, warnings: list[str]) -> BenchReport:
    mm_per_px = pixel_size_mm(camera)
    return BenchReport(
        tilt_deg=float(np.degrees(camera.tilt_rad)),
        rms_px=rms_px,
        rms_mm=rms_px * mm_per_px,
        mm_per_px=mm_per_px,
        nodes_used=marks,
        warnings=tuple(warnings),
    )


def _marks(marks_px: ArrayLike, count: int, advice: str) -> Points:
    try:
        marks = as_points(np.asarray(marks_px, dtype=np.float64))
    except ValueError as error:
        raise BenchError(
            "The marks are no places in the photo. {advice}",
            advice=advice,
        ) from error
    if len(marks) != count:
        raise BenchError(
            "{marks_count} marks were given where {count} are needed. {advice}",
            marks_count=len(marks),
            count=count,
            advice=advice,
        )
    if np.abs(marks).max(initial=0.0) > FARTHEST_PX:
        raise BenchError("A mark lies far outside of the photo. {advice}", advice=advice)
    return marks


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
    share = cross / max(float(np.abs(side).max()) ** 2, 1e-300)
    if (share > 1e-3).all():
        return 1.0
    if (share < -1e-3).all():
        return -1.0
    raise BenchError(
        "The four corners do not go around a rectangle. Mark them in turn, one side after the "
        "other, and keep them apart."
    )


def _check_length(what: str, length_mm: float) -> None:
    if not SHORTEST_MM <= length_mm <= LONGEST_MM:
        raise BenchError(
            "The {what} must be above 0 mm and no more than 100 m, not {length_mm:g} mm. Type it "
            "again.",
            what=what,
            length_mm=length_mm,
        )


def _check_height(height_mm: float) -> None:
    if not abs(height_mm) <= LONGEST_MM:
        raise BenchError(
            "The reference's height over the bench is {height_mm:g} mm. Type it again.",
            height_mm=height_mm,
        )
