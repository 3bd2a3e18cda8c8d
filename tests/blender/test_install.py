"""The zip installs, enables and leaves nothing behind."""

import sys

import bpy
import pytest

pytestmark = pytest.mark.blender

OWNERS = (bpy.types.Scene, bpy.types.Object, bpy.types.WindowManager)


def ours():
    """Everything of the extension's that Blender knows of."""
    classes = {name for name in dir(bpy.types) if name.upper().startswith("FLATWRIGHT")}
    properties = {f"{o.__name__}.{n}" for o in OWNERS for n in dir(o) if n.startswith("flatwright")}
    handlers = {
        f.__module__
        for name in dir(bpy.app.handlers)
        if isinstance(getattr(bpy.app.handlers, name), list)
        for f in getattr(bpy.app.handlers, name)
        if "flatwright" in f.__module__
    }
    return classes, properties, handlers


def test_it_is_enabled(package):
    assert package in bpy.context.preferences.addons
    assert bpy.ops.flatwright.add_photo.get_rna_type().name == "Add Photo"


def test_switching_off_and_on_again_leaves_nothing(package):
    before = ours()
    assert before[0]
    assert before[1]
    for _ in range(10):
        bpy.ops.preferences.addon_disable(module=package)
        assert ours() == (set(), set(), set())
        bpy.ops.preferences.addon_enable(module=package)
        assert ours() == before


def test_libraries_are_those_of_this_python(package):
    import PIL
    import shapely

    tag = f"cpython-{sys.version_info[0]}{sys.version_info[1]}"
    for library, binary in ((shapely, "lib"), (PIL, "_imaging")):
        module = __import__(f"{library.__name__}.{binary}", fromlist=["x"])
        assert tag in module.__file__


def test_only_the_permission_it_uses_is_declared(package):
    import tomllib
    from pathlib import Path

    folder = Path(sys.modules[package].__file__).parent
    manifest = tomllib.loads((folder / "blender_manifest.toml").read_text())
    assert list(manifest["permissions"]) == ["files"]
    assert not any("numpy" in wheel for wheel in manifest["wheels"])
    source = "".join(p.read_text() for p in folder.rglob("*.py"))
    for word in ("urllib", "socket", "requests", "http.client"):
        assert f"import {word}" not in source


def test_every_operator_has_a_tooltip_and_can_be_undone(package):
    for name in dir(bpy.ops.flatwright):
        kind = getattr(bpy.ops.flatwright, name).get_rna_type()
        assert len(kind.description) > 20, name
        assert not kind.description.endswith("."), name
