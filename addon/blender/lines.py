"""Lines that are no outlines: chains of segments as curves, and curves read as chains."""

from collections.abc import Sequence

import bpy
import numpy as np

from ...geometry.outline import Segment
from ...geometry.outline.curves import chain_from_knots, chain_to_knots, loop_from_knots
from .curves import FREE, nodes_of, refuse_space
from .units import blender_per_mm

__all__ = ["chains_of", "new_line_curve"]


def new_line_curve(name: str, chain: Sequence[Segment]) -> bpy.types.Curve:
    """Return a new 2D curve that draws an open chain."""
    curve = bpy.data.curves.new(name, "CURVE")
    curve.dimensions = "2D"
    curve.fill_mode = "NONE"  # type: ignore[assignment]  # the stubs know 3D curves' modes only
    knots, _ = chain_to_knots(chain)
    points = curve.splines.new("BEZIER").bezier_points
    points.add(len(knots) - 1)
    flat = np.zeros((len(knots), 3, 3))
    flat[:, :, :2] = knots * blender_per_mm()
    for kind in ("handle_left_type", "handle_right_type"):
        points.foreach_set(kind, [FREE] * len(knots))
    for attribute, column in (("co", 1), ("handle_left", 0), ("handle_right", 2)):
        points.foreach_set(attribute, flat[:, column].ravel())
    return curve


def chains_of(curve: bpy.types.Curve) -> tuple[tuple[Segment, ...], ...]:
    """Return what a curve draws, open or closed, as chains in mm in its own axes.

    Raises
    ------
    OutlineError
        If it leaves its plane or is of a kind that is not read.
    """
    chains: list[tuple[Segment, ...]] = []
    for spline in curve.splines:
        refuse_space(spline, curve.name)
        knots = nodes_of(spline, curve.name)
        if len(knots) < 2:
            continue
        closed = spline.use_cyclic_u
        chains.append(loop_from_knots(knots).segments if closed else chain_from_knots(knots))
    return tuple(chain for chain in chains if chain)
