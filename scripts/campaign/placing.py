"""Where parts lie: wholly in the picture and on the board, none hiding another's top edge."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, affinity

from geometry.bench.camera import Camera

from .design import Board, Part, Reference
from .shapes import rings_of

__all__ = ["hidden", "outline_of", "placed", "placed_reference", "seen_region"]

INSET_PX = 40.0
GAP_MM = 4.0
TRIES = 300


def seen_region(camera: Camera, size_px: tuple[int, int], board: Board) -> Polygon:
    """Return the part of the board, mm, that is seen well inside the picture."""
    width, height = size_px
    frame = shapely.box(INSET_PX, INSET_PX, width - INSET_PX, height - INSET_PX)
    corners = np.asarray(shapely.segmentize(frame, 100.0).exterior.coords)
    wide, high = board.size_mm
    bed = shapely.box(-wide / 2 + 5, -high / 2 + 5, wide / 2 - 5, high / 2 - 5)
    # A face 12 mm up is seen farther out than the bench below it.
    views = [Polygon(camera.unproject(corners, up)) for up in (0.0, 12.0)]
    return bed.intersection(views[0]).intersection(views[1])


def outline_of(reference: Reference) -> Polygon:
    """Return the reference's rectangle, mm, with sharp corners, its first side along its x."""
    wide, high = reference.size_mm
    flat = Polygon([(-wide / 2, -high / 2), (wide / 2, -high / 2), (wide / 2, high / 2),
                    (-wide / 2, high / 2)])  # fmt: skip
    turned = affinity.rotate(flat, reference.turn_deg, origin=(0, 0))
    return affinity.translate(turned, *reference.place_mm)


def placed_reference(reference: Reference, region: Polygon, rng: np.random.Generator) -> Reference:
    """Return the reference where it is wholly in the region and leaves most room beside it."""
    best, room = reference, -1.0
    west, south, east, north = region.bounds
    for _ in range(TRIES):
        place = rng.uniform(west, east), rng.uniform(south, north)
        tried = replace(reference, place_mm=place, turn_deg=float(rng.uniform(-25.0, 25.0)))
        away = float(np.hypot(*(np.array(place) - region.centroid.coords[0])))
        if away > room and region.covers(outline_of(tried)):
            best, room = tried, away
    if room < 0.0:
        raise ValueError(f"The {reference.kind} does not fit in the picture")
    return best


def placed(
    groups: Sequence[Sequence[Part]],
    camera: Camera,
    region: Polygon,
    reference: Reference | None,
    rng: np.random.Generator,
) -> tuple[Part, ...]:
    """Return the groups of parts laid down one after the other, those that find room.

    Parameters
    ----------
    groups
        Parts in one group touch and keep their places to each other.
    region
        Where they may lie, mm.
    reference
        What they may not cover.
    """
    lying: list[Part] = []
    west, south, east, north = region.bounds
    for group in groups:
        for _ in range(TRIES):
            turn = float(rng.uniform(0.0, 360.0))
            dx, dy = rng.uniform(west, east), rng.uniform(south, north)
            tried = [_moved(part, turn, dx, dy) for part in group]
            if _fits(tried, lying, region, reference, camera):
                lying += tried
                break
    if not lying:
        raise ValueError("No part found room in the picture")
    return tuple(lying)


def _moved(part: Part, turn_deg: float, dx: float, dy: float) -> Part:
    shape = affinity.rotate(part.shape, turn_deg, origin=(0, 0))
    return replace(part, shape=affinity.translate(shape, dx, dy), turn_deg=turn_deg)


def _fits(
    tried: list[Part],
    lying: list[Part],
    region: Polygon,
    reference: Reference | None,
    camera: Camera,
) -> bool:
    if not all(region.covers(part.shape) for part in tried):
        return False
    others = [part.shape for part in lying]
    if reference is not None:
        others.append(outline_of(reference))
    if any(part.shape.distance(other) < GAP_MM for part in tried for other in others):
        return False
    everything = [*lying, *tried]
    return not any(
        hidden(ring, part.thick_mm, everything, camera).any()
        for part in everything
        for ring in rings_of(part.shape)
    )


def hidden(
    points_mm: NDArray[np.float64], height_mm: float, parts: Sequence[Part], camera: Camera
) -> NDArray[np.bool_]:
    """Whether the camera's view of (N, 2) places at a height is blocked by a part that is higher.

    A ray from the place to the lens runs inside a part's height over a straight path on the bench.
    """
    eye = camera.position_mm
    blocked = np.zeros(len(points_mm), bool)
    for part in parts:
        if part.thick_mm <= height_mm + 1e-9:
            continue
        share = (part.thick_mm - height_mm) / (eye[2] - height_mm)
        # The first thousandth of the way stays off the place itself, which may lie on the rim.
        near = points_mm + 1e-3 * share * (eye[:2] - points_mm)
        far = points_mm + share * (eye[:2] - points_mm)
        rays = shapely.linestrings(np.stack((near, far), axis=1))
        blocked |= shapely.intersects(part.shape, rays)
    return blocked
