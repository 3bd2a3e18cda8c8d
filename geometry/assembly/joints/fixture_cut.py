"""Cut a part to the fixture: what it must lose so that the fixture passes with a clearance."""

import math

import shapely
from numpy.typing import ArrayLike

from ...arrays import Points
from ...errors import AssemblyError
from ...outline.curves import Profile
from ..solids import (
    BoundedCache,
    IntArray,
    Part,
    as_mesh,
    as_pose,
    kept_silhouette,
    mesh_key,
    part_key,
)
from .following import followed

__all__ = ["fixture_cuts"]

FIT_MM = 0.01
"""How closely lines and arcs follow the widened shadow; added, so that the gap is never less."""
CHORD = 0.1
"""How far chords of a widened corner, and a simplified rim, may lie off; as a share of the fit."""
QUARTER = 32
"""Chords to a quarter round where an outline is fitted to them."""
_known: BoundedCache[tuple[Profile, ...]] = BoundedCache(1024)


def fixture_cuts(
    part: Part,
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    clearance_mm: float = 0.0,
    *,
    fitted: bool = False,
) -> tuple[Profile, ...]:
    """Return what a part must lose, in its own x, y, to clear the fixture.

    The shadow through the whole thickness, widened by the clearance. Openings within the shadow
    are filled: what stood in them would be loose. The gap left is the clearance at least and
    0.02 mm more at most. Empty where the fixture stays that far away by itself.

    Parameters
    ----------
    part
        Whole, posed in the world.
    vertices_mm, triangles : (N, 3) float, (M, 3) int
        The fixture in world mm.
    clearance_mm
        Gap to leave all round; below 0 to press the part on.
    fitted
        Fit lines, arcs and curves to the rim as a whole, as files of 0.1.0 have it, instead of
        following it; about ten times as slow and within the same tolerance.

    Raises
    ------
    AssemblyError
        If the clearance is no length, the mesh is not usable, or the fixture swallows the part.
    """
    if not math.isfinite(clearance_mm):
        raise AssemblyError(
            "The clearance to the fixture must be a finite length in mm. Type it again."
        )
    vertices, corners = as_mesh(vertices_mm, triangles)
    key = mesh_key(vertices, corners)
    return _known.get(
        (part_key(part), part.name, key, clearance_mm, fitted),
        (part.profile,),
        lambda: _cuts(part, (vertices, corners, key), clearance_mm, fitted),
    )


def _cuts(
    part: Part, mesh: tuple[Points, IntArray, bytes], clearance_mm: float, fitted: bool
) -> tuple[Profile, ...]:
    shadow = kept_silhouette(*mesh, as_pose(part.pose), part.stock.thickness_mm)
    by_mm = clearance_mm + FIT_MM
    quarter = QUARTER if fitted else _chords(by_mm)
    grown = shadow.geometry.buffer(by_mm, quad_segs=quarter)
    whole = part.profile.polygon(FIT_MM)
    cuts = []
    for piece in shapely.get_parts(grown):
        filled = shapely.Polygon(piece.exterior) if not piece.is_empty else piece
        if filled.covers(whole):
            name = f"“{part.name}”" if part.name else "The part"
            raise AssemblyError(
                "{name} lies wholly within the fixture, so cutting it back leaves "
                "nothing. Move it, or draw it larger than the fixture.",
                name=name,
            )
        if filled.intersection(whole).area > FIT_MM**2:
            simple = filled.simplify(CHORD * FIT_MM)
            cuts.append(
                Profile.from_polygon(simple, (1.0 - CHORD) * FIT_MM)
                if fitted
                else followed(simple, (1.0 - 2.0 * CHORD) * FIT_MM)
            )
    return tuple(cuts)


def _chords(radius_mm: float) -> int:
    """Chords to a quarter round of a widened corner, near enough to it."""
    off = min(CHORD * FIT_MM / max(abs(radius_mm), FIT_MM), 1.0)
    # A chord of a turn φ lies r (1 - cos φ/2) inside its arc.
    return math.ceil(0.25 * math.pi / math.acos(1.0 - off))
