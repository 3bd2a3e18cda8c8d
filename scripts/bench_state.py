"""How long it takes to say whether 60 parts round a fixture of 200,000 triangles are up to date.

Run by ``python scripts/bench.py``, in a process of its own: Blender as a module ends it.
"""

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "scripts"), str(ROOT)]

PARTS, SEGMENTS, RINGS = 60, 400, 251
"""A ball of 400 segments and 251 rings has 2 × 400 × 250 triangles."""
PICTURE, RECORD = 6 << 20, 40_000
"""Bytes of a photo of 12 megapixels, and letters of a bench that was found in it."""
TIMES = 20


def _photo(package: str) -> Any:
    """Add a photo with a bench, in which every outline was traced."""
    import bpy

    graph = import_module(f"{package}.addon.state.graph")
    stored = import_module(f"{package}.addon.state.stored")
    packed = import_module(f"{package}.addon.photo.packed_photo")
    thing: Any = bpy.data.objects.new("Photo", None)
    bpy.context.collection.objects.link(thing)
    thing.flatwright_photo.is_photo = True
    thing.flatwright_photo.original = packed.pack_original("photo.jpg", os.urandom(PICTURE))
    thing.flatwright_bench.record = "0123456789" * (RECORD // 10)
    thing.flatwright_bench.picture_mark = stored.picture_mark(thing)
    for one in bpy.context.scene.objects:
        if one.flatwright_outline.is_outline:
            one.flatwright_outline.photo = thing
            one.flatwright_outline.bench_mark = graph.bench_mark(thing)
    return thing


def measure(package: str) -> None:
    """Print milliseconds: after a part moved, after the fixture changed, and with all read anew."""
    import bpy

    outlines = import_module(f"{package}.addon.outline.outline_objects")
    shapes = import_module(f"{package}.geometry.outline")
    graph = import_module(f"{package}.addon.state.graph")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    context, operators = bpy.context, bpy.ops.flatwright
    operators.add_stock(kind="PLYWOOD")
    for number in range(PARTS):
        outlines.add_outline(context, f"Outline {number}", shapes.ring(100.0, 60.0))
        operators.make_part()
        bpy.context.object.location.z = 0.01 * number
    bpy.ops.mesh.primitive_uv_sphere_add(segments=SEGMENTS, ring_count=RINGS, radius=0.02)
    operators.set_fixture()
    fixture = bpy.context.object
    photo = _photo(package)
    for result in ("parts", "check", "sheets"):
        graph.made(context, result)
    context.scene.flatwright_assembly.checked = True
    part = bpy.data.objects["Outline 0 part"]

    def asked(change: Callable[[], None]) -> float:
        best = float("inf")
        for _ in range(TIMES):
            change()
            context.view_layer.update()
            start = time.perf_counter()
            for result in graph.RESULTS:
                graph.what_changed(context, result) if result in ("parts", "check") else None
            graph.stale_photos(context)
            graph.stale_outlines(context)
            best = min(best, time.perf_counter() - start)
        return 1e3 * best

    def move() -> None:
        part.location.x += 1e-6

    def grow() -> None:
        fixture.data.vertices[0].co.x += 1e-5

    triangles = sum(len(face.vertices) - 2 for face in fixture.data.polygons)
    print(
        f"{PARTS} parts, fixture of {triangles} triangles: parts and check held against the scene"
    )
    print(f"  nothing changed {asked(lambda: None):6.2f} ms")
    print(f"  a part moved    {asked(move):6.2f} ms")
    stored = import_module(f"{package}.addon.state.stored")
    again = asked(lambda: stored.forget(photo.flatwright_photo.original))
    print(f"  a picture read  {again:6.2f} ms, {PICTURE >> 20} MB hashed anew")
    print(f"  fixture changed {asked(grow):6.2f} ms, its mesh hashed and compared")


def main() -> None:
    """Install the extension into a folder of its own, measure, and end without waiting."""
    folder = Path(tempfile.mkdtemp(prefix="flatwright-bench-"))
    os.environ["BLENDER_USER_RESOURCES"] = str(folder / "resources")
    from build_extension import build, this_platform
    from install_extension import install

    measure(install(build(this_platform(), folder=folder / "dist"), folder / "resources"))
    sys.stdout.flush()
    shutil.rmtree(folder, ignore_errors=True)
    # Blender as a module can hang when Python takes it down with an extension enabled.
    os._exit(0)


if __name__ == "__main__":
    main()
