"""Lettering goes where its piece goes: onto sheets, with a nudge, into the files."""

import math

import bpy
import ezdxf
import pytest
from shapely import LineString, Point, Polygon, union_all

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def series():
    """A fit series of five slots, laid out."""
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    settings = bpy.context.scene.flatwright_fit_series
    settings.feature = "slot"
    settings.first_mm, settings.last_mm, settings.step_mm = 2.6, 3.0, 0.1
    bpy.ops.flatwright.make_fit_series()
    bpy.ops.flatwright.lay_out()
    return of("PIECE")


def of(role):
    found = [o for o in bpy.data.objects if o.flatwright_sheet.role == role]
    return sorted(found, key=lambda o: o.name)


def strokes_and_pieces(path):
    """Marked lines, and the polygons of all else, of a file of closed polylines."""
    strokes, pieces = [], []
    for entity in ezdxf.readfile(path).modelspace():
        if "mark" in entity.dxf.layer.lower():
            places = [(x, y) for x, y, *_ in _places(entity)]
            strokes.append(LineString(places))
        else:
            pieces.append(Polygon([(x, y) for x, y, *_ in _places(entity)]))
    return strokes, pieces


def _places(entity):
    if entity.dxftype() == "LINE":
        return [entity.dxf.start, entity.dxf.end]
    return entity.get_points()


def test_each_piece_shows_its_lettering_and_carries_it_when_nudged(series):
    marks = of("MARK")
    assert sorted(o.parent.name for o in marks) == [o.name for o in series]
    assert all(o.hide_select and o.data.splines for o in marks)
    bpy.context.view_layer.update()
    before = marks[0].matrix_world.translation.copy()
    marks[0].parent.location.x += 0.05
    bpy.context.view_layer.update()
    moved = marks[0].matrix_world.translation - before
    assert tuple(moved) == pytest.approx((0.05, 0.0, 0.0), abs=1e-7)


def test_a_nudged_piece_has_its_lettering_inside_in_the_file(series, tmp_path):
    # Turned and moved by hand, and its part renamed since: the lettering is the piece's own.
    first = series[0]
    bpy.data.objects[first.flatwright_sheet.label].name = "Other"
    first.location, first.rotation_euler = (0.4, 0.2, 0.0), (0.0, 0.0, math.radians(50.0))
    bpy.ops.flatwright.save_cut_files(
        directory=str(tmp_path), anyway=True, dxf_entities="polylines"
    )
    (path,) = tmp_path.glob("*.dxf")
    strokes, pieces = strokes_and_pieces(path)
    assert len(pieces) == 5
    lettered = [sum(piece.contains(stroke) for stroke in strokes) for piece in pieces]
    assert all(lettered)
    assert sum(lettered) == len(strokes)
    far = max(pieces, key=lambda piece: piece.centroid.x)
    written = union_all([stroke for stroke in strokes if far.contains(stroke)])
    # Where the piece was put: 400 mm along and 200 mm up the sheet.
    assert far.centroid.distance(written.centroid) < 40.0
    assert far.convex_hull.contains(Point(400.0, 200.0))


def test_laying_out_again_leaves_no_lettering_behind(series):
    curves = len(bpy.data.curves)
    for _ in range(3):
        bpy.ops.flatwright.lay_out()
    assert len(of("MARK")) == 5
    assert len(bpy.data.curves) == curves
