"""The shadow that a mesh throws, along a part's normal, from within the part's thickness.

A place of the part's plane lies in the shadow if the short line through the sheet there meets
the mesh. Either it meets the surface, then the place is in the projection of the surface clipped
to the slab; or it lies inside the solid all along, then it is in the section by the mid-plane.
So projection and filled section together are the exact shadow of a closed solid.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from ...arrays import Matrix, Points
from ...errors import AssemblyError
from ...progress import Progress, tell
from ...sentences import Sentence
from ...uniting import united
from .cache import BoundedCache
from .frames import IntArray, as_mesh, as_pose
from .rim import Rim, merged, shadow_rim, within_slab
from .section import Section, section
from .slab import clip
from .winding import region

__all__ = ["Silhouette", "kept_silhouette", "silhouette", "slab_shadow", "slab_silhouette"]

KEPT = 512
"""Shadows kept: every part of a large job around several fixtures. Chosen."""
FOLDS, FOLDED = 200, 0.1
"""A rim with more folds than these, in number and as a fraction of its edges, is a tangle: a body
of 200,000 facets with a flat roof crossed itself 50,000 times and took eight times as long."""
SLIT_MM2 = 1e-6
"""Smaller holes and pieces of a tangle are rounding."""
EDGE_ON_MM2 = 1e-9
"""A triangle whose shadow is smaller is seen edge on; no rounding of places covers less."""


@dataclass(frozen=True, slots=True)
class Silhouette:
    """A shadow in a part's own x, y (mm), and what had to be assumed to draw it."""

    geometry: BaseGeometry
    warnings: tuple[Sentence, ...] = ()


_known: BoundedCache[Silhouette] = BoundedCache(KEPT)


def _mending(sections: list[Section]) -> tuple[Sentence, ...]:
    warnings = []
    gap = max(s.widest_gap_mm for s in sections)
    if gap > 0.0:
        warnings.append(
            Sentence(
                "{fixture}'s surface is open where the part crosses it: gaps up to {gap_mm:.3g} mm "
                "were bridged straight. Close the mesh for an exact shadow.",
                {"fixture": Sentence("The fixture"), "gap_mm": gap},
            )
        )
    if any(s.turned_faces for s in sections):
        warnings.append(
            Sentence(
                "Some faces of {fixture} point inwards. The shadow was drawn all the same; "
                "recalculate the normals to be sure of it.",
                {"fixture": Sentence("the fixture")},
            )
        )
    return tuple(warnings)


def slab_silhouette(
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    pose: ArrayLike,
    thickness_mm: float,
    progress: Progress | None = None,
) -> Silhouette:
    """Shadow of a mesh within a posed slab, with warnings about the mesh; see `silhouette`.

    Parameters
    ----------
    vertices_mm, triangles
        (N, 3) world mm and (M, 3) numbers of them.
    pose
        (4, 4) of the slab's mid-plane.
    thickness_mm
        Of the slab.
    progress
        Told 0 to 1.
    """
    vertices, corners = as_mesh(vertices_mm, triangles)
    if not (np.isfinite(thickness_mm) and thickness_mm > 0.0):
        raise AssemblyError(
            "A part's thickness must be above 0 mm, not {thickness_mm}. Measure the sheet and "
            "type it.",
            thickness_mm=thickness_mm,
        )
    tell(progress, 0.0, "Turning the fixture into the part's plane")
    half = 0.5 * thickness_mm
    return slab_shadow(*within_slab(vertices, corners, as_pose(pose), half), half, progress)


def kept_silhouette(
    vertices_mm: Points, triangles: IntArray, key: bytes, pose: Matrix, thickness_mm: float
) -> Silhouette:
    """`slab_silhouette` of a checked mesh, kept for as long as the same is asked.

    Parameters
    ----------
    vertices_mm, triangles
        A mesh as `as_mesh` returns it, in world mm.
    key
        What `mesh_key` says of it.
    pose, thickness_mm
        Of the slab.
    """
    return _known.get(
        (key, pose.tobytes(), thickness_mm),
        (),
        lambda: slab_silhouette(vertices_mm, triangles, pose, thickness_mm),
    )


def slab_shadow(
    points: Points, corners: IntArray, half: float, progress: Progress | None = None
) -> Silhouette:
    """Shadow of what reaches a slab, in the slab's own axes; see `within_slab`.

    Parameters
    ----------
    points, corners
        (N, 3) mm in the slab's axes and (M, 3) numbers of them.
    half
        Half its thickness, mm.
    progress
        Told 0 to 1.
    """
    if len(corners) == 0:
        return Silhouette(shapely.Polygon())
    tell(progress, 0.3, "Filling the section")
    sections = [section(points, corners, 0.0)]
    if not sections[0].is_closed:
        # Where the mesh is torn, a second and third look bridge other gaps.
        sections += [section(points, corners, z) for z in (-half, half)]
    tell(progress, 0.5, "Projecting the surface")
    rim = merged(shadow_rim(points, corners, half))
    tangled = _is_tangled(rim)
    surface = _united(points, corners, half) if tangled else region(*rim)
    pieces = [*(s.geometry for s in sections), surface]
    tell(progress, 1.0, "Silhouette ready")
    whole = united([p for p in pieces if not p.is_empty])
    return Silhouette(_without_slits(whole) if tangled else whole, _mending(sections))


def _is_tangled(rim: Rim) -> bool:
    """Whether so much of the rim is folds that they cross each other again and again.

    That is where a surface is seen nearly edge on, such as a flat roof by an upright part: what its
    facets hide and show changes from one to the next.
    """
    folds = int((rim.weight > 1.0).sum())
    return folds > max(FOLDS, FOLDED * len(rim.weight))


def _united(points: Points, corners: IntArray, half: float) -> BaseGeometry:
    """Shadow of the surface as the union of its triangles, cut off at both faces of the slab."""
    polygons, counts = points[corners], np.full(len(corners), 3)
    for sign in (1.0, -1.0):
        polygons, counts = clip(polygons, counts, sign, half)
    kept = counts >= 3
    polygons, counts = polygons[kept], counts[kept]
    # Short ones repeat their last corner.
    slots = np.minimum(np.arange(polygons.shape[1]), (counts - 1)[:, None])
    flat = np.take_along_axis(polygons, slots[:, :, None], axis=1)[:, :, :2]
    pieces = shapely.polygons(flat)
    pieces = pieces[shapely.area(pieces) > EDGE_ON_MM2]
    return united(shapely.make_valid(pieces))


def _without_slits(shape: BaseGeometry) -> BaseGeometry:
    """A shape without the holes that triangles seen edge on leave between their neighbours."""
    whole = [
        shapely.Polygon(p.exterior, [r for r in p.interiors if shapely.Polygon(r).area > SLIT_MM2])
        for p in shapely.get_parts(shape)
        if p.geom_type == "Polygon" and p.area > SLIT_MM2
    ]
    return shapely.multipolygons(whole) if len(whole) != 1 else whole[0]


def silhouette(
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    pose: ArrayLike,
    thickness_mm: float,
    progress: Progress | None = None,
) -> BaseGeometry:
    """Exact shadow of a mesh within a posed slab, in the part's own x, y.

    Exact for what the mesh is: places are rounded to 6e-8 mm and nothing is sampled. A hollow
    that is closed stays a hole; an open mesh is bridged (`slab_silhouette` says so).

    Parameters
    ----------
    vertices_mm, triangles : (N, 3) float, (M, 3) int
        The fixture in world mm.
    pose : (4, 4) float
        Part to world; the slab fills z from minus to plus half ``thickness_mm``.

    Returns
    -------
    shapely geometry
        A Polygon or MultiPolygon, empty if the mesh does not reach the slab.

    Raises
    ------
    AssemblyError
        If the mesh, the pose or the thickness is not usable.
    """
    return slab_silhouette(vertices_mm, triangles, pose, thickness_mm, progress).geometry
