"""Suggestions accepted in Blender, and outlines imported from files."""

import math
from importlib import import_module

import bpy
import ezdxf
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def curves(package):
    """Reading and writing of curves."""
    return import_module(f"{package}.addon.blender.curves")


@pytest.fixture
def wonky(package):
    """An outline of a hand-cut rectangle."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    corners = [(0.0, 0.0), (100.05, 0.04), (99.97, 60.06), (-0.03, 59.95)]
    shape = outline.Profile(outline.Loop.through(corners))
    return outlines.add_outline(bpy.context, "Plate", shape)


def off_square(profile):
    turns = [
        math.atan2(s.end[1] - s.start[1], s.end[0] - s.start[0]) / (math.pi / 2)
        for s in profile.segments()
    ]
    return max(abs(t - round(t)) for t in turns)


def test_accepting_all_makes_it_square_and_leaves_nothing(wonky, curves):
    bpy.ops.flatwright.suggest()
    kept = wonky.flatwright_suggestions
    assert {item.kind for item in kept.items} >= {"right angle", "parallel", "level"}
    assert all(0.0 < item.movement_mm <= 0.15 for item in kept.items)
    assert bpy.ops.flatwright.accept_suggestion(index=-1) == {"FINISHED"}
    assert off_square(curves.read_profile(wonky.data)) < 1e-9
    assert len(kept.items) == 0


def test_one_at_a_time_ends_at_the_same(wonky, curves):
    bpy.ops.flatwright.suggest()
    for _ in range(10):
        if not wonky.flatwright_suggestions.items:
            break
        bpy.ops.flatwright.accept_suggestion(index=0)
    assert off_square(curves.read_profile(wonky.data)) < 1e-8


def test_after_an_edit_the_old_suggestions_are_no_offer(wonky):
    bpy.ops.flatwright.suggest()
    wonky.data.splines[0].bezier_points[0].co.x += 0.001
    assert not bpy.ops.flatwright.accept_suggestion.poll()
    bpy.ops.flatwright.suggest()
    assert wonky.flatwright_suggestions.record


def test_a_drawing_comes_in_as_outlines_at_its_place(tmp_path, curves):
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 1
    space = document.modelspace()
    space.add_lwpolyline([(1, 1), (3, 1), (3, 2), (1, 2)], close=True)
    space.add_circle((2, 1.5), 0.25)
    space.add_circle((10, 10), 1.0)
    space.add_text("cut")
    path = tmp_path / "plate.dxf"
    document.saveas(path)
    assert bpy.ops.flatwright.import_outline(filepath=str(path)) == {"FINISHED"}
    plate, disc = sorted(bpy.data.objects, key=lambda o: o.location.x)
    assert tuple(plate.location) == pytest.approx((0.0508, 0.0381, 0.0), abs=1e-7)
    shape = curves.read_profile(plate.data)
    assert shape.area_mm2 == pytest.approx(25.4**2 * (2.0 - math.pi / 16.0), rel=1e-9)
    (circle,) = curves.read_profile(disc.data).segments()
    assert circle.radius_mm == pytest.approx(25.4, rel=1e-12)


def test_a_file_without_a_closed_shape_changes_nothing(tmp_path):
    path = tmp_path / "line.svg"
    path.write_text('<svg xmlns="http://www.w3.org/2000/svg"><path d="M 0 0 L 9 9"/></svg>')
    with pytest.raises(RuntimeError, match="no closed shape"):
        bpy.ops.flatwright.import_outline(filepath=str(path))
    assert not bpy.data.objects


def test_the_doubt_comes_from_bench_and_trace_unless_typed(wonky):
    bpy.ops.flatwright.suggest()
    assert wonky.flatwright_suggestions.doubt_mm == pytest.approx(0.15)
    photo = bpy.data.objects.new("Photo", None)
    photo.flatwright_bench.record, photo.flatwright_bench.doubt_per_100_mm = "known", 0.02
    wonky.flatwright_outline.photo, wonky.flatwright_outline.tolerance_mm = photo, 0.1
    bpy.ops.flatwright.suggest()
    # Twice 0.02 mm in 100 mm, over 100.08 mm, and the trace's 0.1 mm.
    assert wonky.flatwright_suggestions.doubt_mm == pytest.approx(0.14003, abs=2e-5)
    bpy.ops.flatwright.suggest(doubt_mm=0.05)
    assert wonky.flatwright_suggestions.doubt_mm == pytest.approx(0.05)
    bpy.ops.flatwright.suggest(doubt=0.00007)
    assert wonky.flatwright_suggestions.doubt_mm == pytest.approx(0.07)
