"""What is stored of a thing, as a digest bit for bit, and what Blender evaluates of it, as figures.

The digest is the same on every computer, for nothing rounded goes into it. Only where it differs,
or where there is none because a driver, a simulation or another object has a say, figures of the
evaluated shape are compared with kept ones.
"""

import hashlib
from typing import Any

import bpy
import numpy as np

from ...geometry.errors import FlatwrightError
from ..blender.curve_refusals import is_drawn_otherwise
from ..blender.curves import curve_of, points_of, record_of
from ..blender.meshes import read_mesh
from ..blender.poses import moved_by, world_matrix
from ..blender.units import blender_per_mm
from .cache import forget, kept_of

__all__ = [
    "curve_digest",
    "curve_figures",
    "digest",
    "mesh_figures",
    "outline_mark",
    "picture_mark",
    "pose_figures",
    "shape_mark",
    "size_figures",
    "truth_of",
]

BLOCKS, FEWER = 128, 16
"""Meshes and curves are compared by so many runs of their points, so that no dent is lost among
the others."""
REACH_MM = 500.0
"""Half a board: single precision turns a place so far out by less than 1e-4 mm."""
SEEN_ALONE = {"name", "show_expanded", "is_active", "use_pin_to_last", "persistent_uid"}
"""Properties of a modifier that say how it is listed, not what it does."""


def digest(*told: object) -> str:
    """Shorten bytes and exact values to compare; floats by their shortest exact spelling."""
    made = hashlib.blake2b(digest_size=16)
    for one in told:
        made.update(one if isinstance(one, bytes) else repr(one).encode())
        made.update(b"\0")
    return made.hexdigest()


def curve_digest(thing: bpy.types.Object) -> str:
    """Everything stored of an object's curve: its splines, its thickness and the records on it."""
    data: Any = thing.data
    if not isinstance(data, bpy.types.Curve):
        return digest("no curve any more", thing.type)
    return kept_of(data, thing.visible_get(), lambda: _curve(data))


def outline_mark(thing: bpy.types.Object) -> str:
    """What tells an outline from what it was before, to the last bit and in mm."""
    return digest(curve_digest(thing), blender_per_mm())


def picture_mark(photo: bpy.types.Object) -> str:
    """What tells the picture that a photo keeps whole from any other; "" where it has none."""
    image = photo.flatwright_photo.original
    if image is None or image.packed_file is None:
        return ""
    # Blender does not always tell of other bytes, but keeps them at another place.
    packed = image.packed_file
    place = (packed.as_pointer(), packed.size)
    kept = kept_of(image, True, lambda: (place, digest(bytes(packed.data))))
    if kept[0] != place:
        forget(image)
        return picture_mark(photo)
    return str(kept[1])


def shape_mark(thing: bpy.types.Object) -> str:
    """What tells the shape an outline draws from any other; "" for one that cannot be read.

    Another unit scale makes all of a scene larger or smaller, and is no edit of a shape.
    """
    try:
        record = record_of(
            curve_of(thing), float(thing.flatwright_outline.per_mm or blender_per_mm())
        )
    except (FlatwrightError, ValueError):
        return ""
    return hashlib.sha256(record.encode()).hexdigest()


def _curve(data: bpy.types.Curve) -> str:
    splines = [(s.type, s.use_cyclic_u, len(s.bezier_points), len(s.points)) for s in data.splines]
    records = sorted((k, _plain(v)) for k, v in data.items() if k.startswith("flatwright_"))
    otherwise = data.shape_keys is not None or is_drawn_otherwise(data)
    return digest(points_of(data).tobytes(), splines, records, otherwise)


def _plain(value: Any) -> Any:
    return list(value) if hasattr(value, "__len__") and not isinstance(value, str) else value


def truth_of(thing: bpy.types.Object) -> str | None:
    """Everything stored that says what shape an object has, and where; None if that is not all.

    None as well for what a constraint, a driver, a shape key or another data-block has a say in.
    """
    data = thing.data
    if not isinstance(data, bpy.types.Mesh) or data.shape_keys is not None or moved_by(thing):
        return None
    if data.animation_data is not None:
        return None
    settings = [_settings(modifier) for modifier in thing.modifiers]
    if None in settings:
        return None
    stored = kept_of(data, thing.visible_get(), lambda: _mesh(data))
    return digest(stored, settings, world_matrix(thing).tobytes(), blender_per_mm())


def _mesh(data: bpy.types.Mesh) -> str:
    places = np.zeros(len(data.vertices) * 3, dtype=np.float32)
    data.vertices.foreach_get("co", places)
    corners = np.zeros(len(data.loops), dtype=np.int32)
    data.loops.foreach_get("vertex_index", corners)
    starts = np.zeros(len(data.polygons), dtype=np.int32)
    data.polygons.foreach_get("loop_start", starts)
    return digest(places.tobytes(), corners.tobytes(), starts.tobytes())


def _settings(modifier: bpy.types.Modifier) -> tuple[Any, ...] | None:
    """What a modifier is told to do; None if something else than numbers and words says so."""
    found: list[Any] = [modifier.type]
    for prop in modifier.bl_rna.properties:
        if prop.is_readonly and prop.type not in ("POINTER", "COLLECTION"):
            continue
        if prop.identifier in SEEN_ALONE or prop.identifier == "rna_type":
            continue
        value = getattr(modifier, prop.identifier)
        if prop.type == "POINTER" and value is not None:
            return None
        if prop.type == "COLLECTION" and len(value):
            return None
        if prop.type not in ("POINTER", "COLLECTION"):
            plain = sorted(value) if isinstance(value, set) else _plain(value)
            found.append((prop.identifier, plain))
    return tuple(found)


def placed_by(thing: bpy.types.Object) -> str:
    """Where an object and its parents are put; to tell a moved one by, not to be kept."""
    told: list[Any] = [_rows(thing.matrix_world)] if moved_by(thing) else []
    one: bpy.types.Object | None = thing
    while one is not None:
        told += [_rows(one.matrix_basis), _rows(one.matrix_parent_inverse)]
        one = one.parent
    return digest(told)


def _rows(matrix: Any) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in matrix)


def mesh_figures(context: bpy.types.Context, thing: bpy.types.Object) -> tuple[float, ...]:
    """Figures of a mesh as it stands in the world, in mm; none where it cannot be read.

    Its counts and bounds, and for every run of vertices the sums of their coordinates with signs
    that differ from one to the next: a vertex that moves alone moves a sum by as much, and single
    precision, whose errors go either way, moves it by little.
    """
    try:
        vertices, triangles = read_mesh(context, thing)
    except FlatwrightError:
        return ()
    bounds = (vertices.min(axis=0), vertices.max(axis=0), vertices.mean(axis=0))
    # How corners are joined is whole numbers: 48 bits of their digest are one exact figure.
    joined = float(int(digest(triangles.tobytes())[:12], 16))
    return (*_sums(vertices, BLOCKS), joined, *np.concatenate(bounds).tolist())


def curve_figures(thing: bpy.types.Object) -> tuple[float, ...]:
    """Figures of an object's curve in its own axes, in mm; none where it is no curve any more."""
    if not isinstance(thing.data, bpy.types.Curve):
        return ()
    thickness, *flat = points_of(thing.data).astype(np.float64) / blender_per_mm()
    joined = [float(len(spline.bezier_points)) for spline in thing.data.splines]
    return (*_sums(np.array(flat).reshape(-1, 3), FEWER), float(thickness), *joined)


def _sums(places: np.ndarray, blocks: int) -> tuple[float, ...]:
    """Count of (N, 3) places and their sums, with signs, over so many runs of them."""
    if not len(places):
        return (0.0,)
    signs = np.random.default_rng(1).choice((-1.0, 1.0), len(places))
    starts = np.unique(np.linspace(0, len(places), blocks + 1).astype(np.int64)[:-1])
    sums = np.add.reduceat(places * signs[:, None], starts, axis=0)
    return (float(len(places)), *sums.ravel().tolist())


def size_figures(thing: bpy.types.Object) -> tuple[float, ...]:
    """How large an object's axes are in the world, in mm for `REACH_MM`; none if not known."""
    try:
        world = world_matrix(thing)
    except FlatwrightError:
        return ()
    return tuple((np.linalg.norm(world[:3, :3], axis=0) * REACH_MM).tolist())


def pose_figures(thing: bpy.types.Object) -> tuple[float, ...]:
    """Where four places on an object are in the world, in mm; none where that is not known.

    Three of them lie far out, so that what is turned by little is told from what is not.
    """
    try:
        world = world_matrix(thing)
    except FlatwrightError:
        return ()
    places = np.vstack((np.zeros(3), np.eye(3) * REACH_MM * blender_per_mm()))
    moved = places @ world[:3, :3].T + world[:3, 3]
    return tuple((moved / blender_per_mm()).ravel().tolist())
