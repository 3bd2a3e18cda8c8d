"""Evaluated Blender meshes as triangle arrays in mm, and poses as rigid matrices."""

import bpy
import numpy as np
from mathutils import Matrix

from ...geometry.errors import AssemblyError
from .poses import RIGID, world_matrix
from .units import blender_per_mm

__all__ = ["pose_mm", "read_mesh", "refuse_to_move", "set_pose_mm"]


def read_mesh(context: bpy.types.Context, thing: bpy.types.Object) -> tuple[np.ndarray, np.ndarray]:
    """Return ((N, 3) vertices in world mm, (M, 3) triangles) with all modifiers applied.

    Raises
    ------
    AssemblyError
        If the object has no faces, or it is hidden and Blender would have to work its shape out.
    """
    world = world_matrix(thing)
    evaluated = thing
    if thing.visible_get():
        evaluated = thing.evaluated_get(context.evaluated_depsgraph_get())
    elif _is_worked_out(thing):
        raise AssemblyError(
            "“{name}” is hidden, and Blender works its modifiers and shape keys out "
            "only for what is seen. Show it.",
            name=thing.name,
        )
    mesh = evaluated.to_mesh()
    try:
        if mesh is None or not mesh.polygons:
            raise AssemblyError(
                "The fixture “{name}” has no faces. Choose the mesh your parts must fit.",
                name=thing.name,
            )
        mesh.calc_loop_triangles()
        vertices = np.zeros(len(mesh.vertices) * 3, dtype=np.float32)
        mesh.vertices.foreach_get("co", vertices)
        triangles = np.zeros(len(mesh.loop_triangles) * 3, dtype=np.int32)
        mesh.loop_triangles.foreach_get("vertices", triangles)
    finally:
        evaluated.to_mesh_clear()
    points = vertices.reshape(-1, 3).astype(np.float64) @ world[:3, :3].T + world[:3, 3]
    return points / blender_per_mm(context.scene), triangles.reshape(-1, 3).astype(np.int64)


def _is_worked_out(thing: bpy.types.Object) -> bool:
    """Whether a mesh is seen in another shape than it is stored in."""
    data = thing.data
    shaped = isinstance(data, bpy.types.Mesh) and data.shape_keys is not None
    return shaped or any(modifier.show_viewport for modifier in thing.modifiers)


def pose_mm(thing: bpy.types.Object) -> np.ndarray:
    """Return an object's rigid 4×4 pose in mm.

    Raises
    ------
    AssemblyError
        If the object is scaled, sheared or mirrored: a part's size belongs to its outline. Or if
        its place is not known, see `world_matrix`.
    """
    matrix = world_matrix(thing)
    rotation = matrix[:3, :3]
    if np.linalg.det(rotation) < 0.0:
        raise AssemblyError(
            "“{name}” is mirrored by a negative scale. Clear it with Object ▸ Clear "
            "▸ Scale; Mirror Parts in the Assembly panel makes a mirror image.",
            name=thing.name,
        )
    if np.abs(rotation.T @ rotation - np.eye(3)).max() > RIGID:
        raise AssemblyError(
            "“{name}” is scaled in the scene, so its real size is unclear. Reset it "
            "with Object ▸ Clear ▸ Scale and change the outline instead.",
            name=thing.name,
        )
    # The nearest true rotation takes away single-precision noise.
    u, _, vt = np.linalg.svd(rotation)
    matrix[:3, :3] = u @ vt
    matrix[:3, 3] /= blender_per_mm()
    return matrix


def refuse_to_move(thing: bpy.types.Object) -> None:
    """Say so if an object lives in another file: opened again it would be back where it was.

    Raises
    ------
    AssemblyError
        If it is linked.
    """
    if thing.library is not None:
        raise AssemblyError(
            "“{name}” is linked from another file and cannot be moved here. Make it "
            "local first: Object ▸ Relations ▸ Make Local.",
            name=thing.name,
        )


def set_pose_mm(thing: bpy.types.Object, pose: np.ndarray) -> None:
    """Place an object by a rigid 4×4 pose in mm.

    Raises
    ------
    AssemblyError
        If it is linked, see `refuse_to_move`.
    """
    refuse_to_move(thing)
    matrix = np.array(pose, dtype=np.float64)
    matrix[:3, 3] *= blender_per_mm()
    thing.matrix_world = Matrix(matrix.tolist())
