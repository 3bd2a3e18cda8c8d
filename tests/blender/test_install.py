"""The zip installs, enables and leaves nothing behind."""

import sys

import bpy
import pytest

pytestmark = pytest.mark.blender

MENUS = (
    "TOPBAR_MT_file_import",
    "TOPBAR_MT_file_export",
    "VIEW3D_MT_add",
    "VIEW3D_MT_object_context_menu",
)
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
    keys = {
        item.idname
        for config in bpy.context.window_manager.keyconfigs
        for keymap in config.keymaps
        for item in keymap.keymap_items
        if "flatwright" in item.idname
    }
    menus = {
        name
        for name in MENUS
        for function in getattr(getattr(bpy.types, name).draw, "_draw_funcs", ())
        if "flatwright" in function.__module__
    }
    return classes, properties, handlers, keys, menus


HANDLES = {
    "FLATWRIGHT_GGT_split",
    "FLATWRIGHT_GGT_marks",
    "FLATWRIGHT_GGT_axis",
    "FLATWRIGHT_GGT_signs",
    "FLATWRIGHT_GT_mark",
    "FLATWRIGHT_GT_signs",
    "FLATWRIGHT_GT_axis_end",
    "FLATWRIGHT_GT_axis_middle",
}


def handles(package):
    """Groups of handles in the viewport, and their kinds, that Blender still knows."""
    kinds = (k for base in (bpy.types.GizmoGroup, bpy.types.Gizmo) for k in base.__subclasses__())
    ours = (kind for kind in kinds if kind.__module__.startswith(f"{package}."))
    # Blender hands a class its description when it is registered and takes it back after.
    return {kind.__name__ for kind in ours if "bl_rna" in vars(kind)}


def test_it_is_enabled(package):
    assert package in bpy.context.preferences.addons
    assert bpy.ops.flatwright.add_photo.get_rna_type().name == "Add Photo"


def test_switching_off_and_on_again_leaves_nothing(package):
    before = ours()
    assert before[0]
    assert handles(package) == HANDLES
    assert before[1]
    assert before[4] >= {"TOPBAR_MT_file_import", "VIEW3D_MT_object_context_menu"}
    for _ in range(3):
        bpy.ops.preferences.addon_disable(module=package)
        assert ours() == (set(),) * 5
        bpy.ops.preferences.addon_enable(module=package)
        assert ours() == before
    # What the preferences do besides takes long; the extension's own part is done far oftener.
    module = sys.modules[package]
    for _ in range(50):
        module.unregister()
        assert ours() == (set(),) * 5
        assert handles(package) == set()
        module.register()
        assert ours() == before


def test_it_is_switched_on_in_the_middle_of_a_session(package):
    """With work in the scene, and after the factory settings were loaded."""
    bpy.ops.preferences.addon_disable(module=package)
    bpy.ops.mesh.primitive_cube_add()
    cube = bpy.context.object
    bpy.ops.preferences.addon_enable(module=package)
    bpy.ops.flatwright.set_fixture()
    assert bpy.context.scene.flatwright_assembly.fixture == cube
    bpy.ops.preferences.addon_disable(module=package)
    bpy.ops.preferences.addon_enable(module=package)
    # What was chosen lives on in the file.
    assert bpy.context.scene.flatwright_assembly.fixture == cube


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
