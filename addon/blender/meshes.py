"""Evaluated Blender meshes as triangle arrays in mm, and poses as rigid matrices."""

import bpy
import numpy as np
from mathutils import Matrix

from ...geometry.errors import AssemblyError
from .units import blender_per_mm

__all__ = ["pose_mm", "read_mesh", "refuse_to_move", "set_pose_mm"]


def read_mesh(context: bpy.types.Context, thing: bpy.types.Object) -> tuple[np.ndarray, np.ndarray]:
    """Return ((N, 3) vertices in world mm, (M, 3) triangles) with all modifiers applied.

    Raises
    ------
    AssemblyError
        If the object has no faces.
    """
    evaluated = thing.evaluated_get(context.evaluated_depsgraph_get())
    mesh = evaluated.to_mesh()
    try:
        if mesh is None or not mesh.polygons:
            raise AssemblyError(
                f"The fixture “{thing.name}” has no faces. Choose the mesh your parts must fit."
            )
        mesh.calc_loop_triangles()
        vertices = np.zeros(len(mesh.vertices) * 3, dtype=np.float32)
        mesh.vertices.foreach_get("co", vertices)
        triangles = np.zeros(len(mesh.loop_triangles) * 3, dtype=np.int32)
        mesh.loop_triangles.foreach_get("vertices", triangles)
    finally:
        evaluated.to_mesh_clear()
    matrix = np.array(thing.matrix_world)
    points = vertices.reshape(-1, 3).astype(np.float64) @ matrix[:3, :3].T + matrix[:3, 3]
    return points / blender_per_mm(context.scene), triangles.reshape(-1, 3).astype(np.int64)


def pose_mm(thing: bpy.types.Object) -> np.ndarray:
    """Return an object's rigid 4×4 pose in mm.

    Raises
    ------
    AssemblyError
        If the object is scaled or sheared: a part's size belongs to its outline.
    """
    matrix = np.array(thing.matrix_world, dtype=np.float64)
    rotation = matrix[:3, :3]
    if np.abs(rotation.T @ rotation - np.eye(3)).max() > 1e-4:
        raise AssemblyError(
            f"“{thing.name}” is scaled in the scene, so its real size is unclear. "
            "Reset it with Object ▸ Clear ▸ Scale and change the outline instead."
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
            f"“{thing.name}” is linked from another file and cannot be moved here. Make it local "
            "first: Object ▸ Relations ▸ Make Local."
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
