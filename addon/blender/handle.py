"""Handles to take hold of in the viewport: a ring, a square or a diamond that fills when hovered.

What a handle does is an operator's work, never a property's: undo moves properties in memory.
Blender scales handles with the interface and with the gizmo size of its preferences.
"""

import math
from typing import Any

import bpy
import gpu
from mathutils import Matrix, Vector

__all__ = ["Handle", "hold", "place_handle"]

Corner = tuple[float, float]
COLOUR, HELD = (0.94, 0.89, 0.26), (0.0, 0.62, 0.45)
"""Yellow and bluish green of Okabe and Ito's palette, which people see apart."""
DARK = (0.0, 0.0, 0.0, 0.6)
SIZE = 11.0 / 75.0
"""Half a handle's width beside Blender's own gizmos, 75 px at the usual size."""
THICK, HALO = 0.20, 0.10
CORNERS = {"RING": (32, 0.0), "SQUARE": (4, math.pi / 4.0), "DIAMOND": (4, 0.0)}


class Handle:
    """Mixin for gizmos that start an operator; ``sign`` is the shape people know them by."""

    sign = "RING"

    color: Any
    color_highlight: Any
    alpha: float
    alpha_highlight: float
    is_highlight: bool
    new_custom_shape: Any
    draw_custom_shape: Any
    matrix_world: Matrix

    def setup(self) -> None:
        outer = _corners(self.sign, 1.0)
        inner = _corners(self.sign, 1.0 - THICK)
        self._band = self.new_custom_shape("TRIS", _band(outer, inner))
        wide = _corners(self.sign, 1.0 + HALO), _corners(self.sign, 1.0 - THICK - HALO)
        self._dark = self.new_custom_shape("TRIS", _band(*wide))
        self._whole = self.new_custom_shape("TRIS", _fan(outer))

    def draw(self, context: bpy.types.Context) -> None:
        gpu.state.blend_set("ALPHA")
        _paint(self._dark, DARK, self.matrix_world)
        # Filled when hovered: the colour alone would tell too few people.
        self.draw_custom_shape(self._whole if self.is_highlight else self._band)
        gpu.state.blend_set("NONE")

    def draw_select(self, context: bpy.types.Context, select_id: int) -> None:
        # All of it can be gripped, the gap in the middle too.
        self.draw_custom_shape(self._whole, select_id=select_id)


def hold(gizmo: Any, operator: str) -> Any:
    """Make a handle start an operator; return the operator's properties to be set."""
    gizmo.color, gizmo.alpha = COLOUR, 1.0
    gizmo.color_highlight, gizmo.alpha_highlight = HELD, 0.55
    gizmo.scale_basis = SIZE
    gizmo.use_draw_modal = False
    return gizmo.target_set_operator(operator)


def place_handle(gizmo: Any, view: bpy.types.RegionView3D, at: Vector) -> None:
    """Put a handle at a place in the scene, turned to the viewer.

    Parameters
    ----------
    gizmo, view
        The handle, and the viewport's view.
    at
        In the scene's axes, Blender's units.
    """
    gizmo.matrix_basis = Matrix.Translation(at) @ view.view_rotation.to_matrix().to_4x4()


def _corners(sign: str, size: float) -> list[Corner]:
    count, start = CORNERS[sign]
    turns = [start + 2.0 * math.pi * k / count for k in range(count + 1)]
    return [(size * math.cos(t), size * math.sin(t)) for t in turns]


def _band(outer: list[Corner], inner: list[Corner]) -> list[tuple[float, float, float]]:
    """Triangles between two lines of as many corners."""
    found = []
    for k in range(len(outer) - 1):
        a, b, c, d = outer[k], outer[k + 1], inner[k], inner[k + 1]
        found += [a, b, c, b, d, c]
    return [(x, y, 0.0) for x, y in found]


def _fan(outer: list[Corner]) -> list[tuple[float, float, float]]:
    found = [p for k in range(len(outer) - 1) for p in ((0.0, 0.0), outer[k], outer[k + 1])]
    return [(x, y, 0.0) for x, y in found]


def _paint(shape: Any, colour: tuple[float, float, float, float], matrix: Matrix) -> None:
    batch, shader = shape
    shader.bind()
    shader.uniform_float("color", colour)
    # The stubs do not know that it is a context.
    stack: Any = gpu.matrix
    with stack.push_pop():
        gpu.matrix.multiply_matrix(matrix)
        batch.draw(shader)
