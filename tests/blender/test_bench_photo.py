"""Ways to a photo: dropped, imported, and seen at once."""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


def drawn_by(menu):
    """Our room's functions that draw into one of Blender's menus."""
    drawing = getattr(menu.draw, "_draw_funcs", [])
    return [f for f in drawing if "flatwright.addon.photo" in f.__module__]


def test_pictures_can_be_dropped_into_the_viewport():
    handler = bpy.types.FLATWRIGHT_FH_photo
    assert handler.bl_import_operator == "flatwright.add_photo"
    endings = handler.bl_file_extensions.split(";")
    assert {".jpg", ".png", ".heic"} <= set(endings)
    assert all(ending.startswith(".") for ending in endings)


def test_import_menu_has_one_entry_while_switched_on(package):
    menu = bpy.types.TOPBAR_MT_file_import
    assert len(drawn_by(menu)) == 1
    for _ in range(3):
        bpy.ops.preferences.addon_disable(module=package)
        assert drawn_by(menu) == []
        assert not hasattr(bpy.types, "FLATWRIGHT_FH_photo")
        bpy.ops.preferences.addon_enable(module=package)
    assert len(drawn_by(menu)) == 1


@pytest.mark.parametrize(
    ("size", "region_px"), [((0.4, 0.3), (1000, 800)), ((0.3, 0.4), (1000, 800))]
)
def test_the_photo_fits_between_toolbar_and_sidebar(package, size, region_px):
    views = import_module(f"{package}.addon.blender.views")
    look = views.look_down_on(size, region_px, (50, 250))
    # A viewport shows 2 · 36 / 50 of its distance over its longer side.
    per_px = look.distance * 72.0 / 50.0 / max(region_px)
    left, right = (
        region_px[0] / 2.0 + (edge - look.middle[0]) / per_px
        for edge in (-size[0] / 2, size[0] / 2)
    )
    assert left > 50
    assert right < 750
    assert left - 50 == pytest.approx(750 - right, abs=0.01)
    assert size[1] / per_px < region_px[1]
    # It fills nine tenths of what is free, one way or the other.
    assert max((right - left) / 700.0, size[1] / per_px / 800.0) == pytest.approx(0.9)
