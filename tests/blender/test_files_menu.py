"""The entry in File ▸ Export comes and goes with the extension."""

import bpy
import pytest

pytestmark = pytest.mark.blender


def entries():
    drawn = getattr(bpy.types.TOPBAR_MT_file_export.draw, "_draw_funcs", [])
    return [f for f in drawn if "flatwright" in f.__module__]


class Layout:
    """Notes what a menu asks for."""

    def __init__(self):
        self.asked = []

    def operator(self, name, text):
        self.asked.append((name, text))


def test_export_menu_offers_the_cut_files():
    (entry,) = entries()
    menu = type("Menu", (), {"layout": Layout()})()
    entry(menu, bpy.context)
    assert menu.layout.asked == [("flatwright.save_cut_files", "Cut Files (.dxf, .svg)")]


def test_nothing_stays_in_the_menu(package):
    for _ in range(3):
        bpy.ops.preferences.addon_disable(module=package)
        assert entries() == []
        bpy.ops.preferences.addon_enable(module=package)
        assert len(entries()) == 1
