"""Lengths written as the scene writes lengths, at the geometry, in panels and in sentences.

An inch is 25.4 mm and a thou a thousandth of it (international yard and pound agreement, 1959).
"""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def units(package):
    return import_module(f"{package}.addon.blender.units")


def scene_in(system, length_unit, scale=1.0):
    settings = bpy.context.scene.unit_settings
    settings.system, settings.scale_length = system, scale
    if length_unit:
        settings.length_unit = length_unit


@pytest.mark.parametrize(
    ("system", "length_unit", "words"),
    [
        ("METRIC", "MILLIMETERS", "12.70 mm"),
        ("METRIC", "CENTIMETERS", "1.270 cm"),
        ("METRIC", "METERS", "0.01270 m"),
        ("METRIC", "ADAPTIVE", "12.70 mm"),
        ("METRIC", "MICROMETERS", "12700 µm"),
        ("IMPERIAL", "INCHES", "0.500″"),
        ("IMPERIAL", "FEET", "0.500″"),
        ("IMPERIAL", "THOU", "500 thou"),
        ("NONE", "", "12.70 mm"),
    ],
)
@pytest.mark.parametrize("scale", [1.0, 0.001])
def test_a_length_is_written_in_the_scene_s_unit_whatever_its_scale(
    units, system, length_unit, words, scale
):
    scene_in(system, length_unit, scale)
    assert units.show_length(12.7) == words


def test_no_length_is_minus_nothing_and_signs_are_said_where_asked(units):
    assert units.show_length(-1e-6) == "0.00 mm"
    assert units.show_length(0.254, signed=True) == "+0.25 mm"
    scene_in("IMPERIAL", "INCHES")
    assert units.show_length(-2.54, signed=True) == "-0.100″"


def test_sides_say_the_unit_once(units):
    assert units.show_sides((210.0, 297.0)) == "210.0 × 297.0 mm"
    assert units.show_sides((210.0, 297.5), short=True) == "210 × 297.5 mm"
    scene_in("METRIC", "CENTIMETERS")
    assert units.show_sides((210.0, 297.0)) == "21.00 × 29.70 cm"
    assert units.show_sides((200.0,), short=True) == "20 cm"


@pytest.mark.parametrize(
    ("system", "length_unit", "size", "round_hole"),
    [
        ("METRIC", "METERS", "0.06000 m", "R 0.00700 m"),
        ("IMPERIAL", "INCHES", "2.362″", "R 0.276″"),
    ],
)
def test_sizes_at_the_outline_are_in_the_scene_s_unit(
    package, system, length_unit, size, round_hole
):
    sizing = import_module(f"{package}.addon.outline.sizes_shown")
    sizes = import_module(f"{package}.geometry.outline.curves.sizes")
    scene_in(system, length_unit)
    assert sizing.size_text(sizes.Size("width", 60.0, (0.0, 0.0))) == size
    assert sizing.size_text(sizes.Size("radius", 7.0, (0.0, 0.0))) == round_hole


def test_the_worst_miss_of_a_grid_is_in_the_scene_s_unit(package):
    residuals = import_module(f"{package}.addon.bench.residuals")
    scene_in("IMPERIAL", "INCHES")
    drawn = residuals.residual_drawing([], [], 100, 0.254, 500.0)
    assert "0.0100″" in drawn.labels[0].text
