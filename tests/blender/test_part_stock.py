"""Stock in Blender: what was measured of it, and parts that follow."""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def core(package):
    """The extension's own modules, as they are named inside Blender."""

    def module(name):
        return import_module(f"{package}.{name}")

    return module


@pytest.fixture
def plate(core):
    """A plain part of the first stock."""

    def make(name="Plate", width=60.0, height=40.0):
        outline = core("addon.outline.outline_objects").add_outline(
            bpy.context, f"{name} outline", core("geometry.outline").rectangle(width, height)
        )
        if not bpy.context.scene.flatwright_stocks:
            bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.context.view_layer.objects.active = outline
        bpy.ops.flatwright.make_part()
        return bpy.context.object

    return make


def test_a_starting_stock_counts_as_practice_until_it_is_measured():
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    assert stock.measured == set()
    stock.thickness = 0.0027  # scene units: metres
    assert stock.measured == {"thickness"}
    assert stock.thickness_mm == pytest.approx(2.7)


def test_parts_follow_the_measured_thickness_at_once(plate):
    part = plate()
    assert part.data.extrude == pytest.approx(0.0015)
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 2.7
    assert part.data.extrude == pytest.approx(0.00135)


def test_slots_follow_thickness_and_the_allowance_of_their_fit(core, plate):
    from math import pi

    from mathutils import Matrix

    base, wall = plate("Base", 120.0, 80.0), plate("Wall", 100.0, 40.0)
    wall.matrix_world = Matrix.Rotation(pi / 2, 4, "X")
    base.select_set(True)
    bpy.ops.flatwright.join_parts()

    def width():
        profile = core("addon.blender.curves").read_profile(base.data)
        # What the 120 x 80 base lost, over the half of the wall's 100 mm its slot takes.
        return (120.0 * 80.0 - profile.area_mm2) / 60.0

    scene = bpy.context.scene
    scene.flatwright_assembly.fit = "press"
    assert width() == pytest.approx(3.0, abs=2e-3)
    scene.flatwright_stocks[0].thickness_mm = 2.7
    assert width() == pytest.approx(2.7, abs=2e-3)
    scene.flatwright_assembly.fit = "sliding"
    assert width() == pytest.approx(2.8, abs=2e-3)
    scene.flatwright_stocks[0].sliding_mm = 0.2
    assert width() == pytest.approx(2.9, abs=2e-3)


def test_a_renamed_stock_keeps_its_parts_and_names_stay_single(plate):
    part = plate()
    scene = bpy.context.scene
    scene.flatwright_stocks[0].name = "Birch"
    assert part.flatwright_part.stock == "Birch"
    bpy.ops.flatwright.add_stock(kind="CARD")
    scene.flatwright_stocks[1].name = "Birch"
    assert [s.name for s in scene.flatwright_stocks] == ["Birch", "Birch (2)"]
    assert part.flatwright_part.stock == "Birch"


def test_the_core_gets_everything_that_was_typed(core):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.sheets, stock.grain, stock.sliding_mm, stock.kerf_doubt_mm = 3, "width", 0.15, 0.02
    told = core("addon.part.part_objects").stock_named(bpy.context.scene, stock.name)
    assert (told.sheets, told.grain, told.kerf_doubt_mm) == (3, "width", 0.02)
    assert (told.allowances.press_mm, told.allowances.sliding_mm) == (0.0, 0.15)
