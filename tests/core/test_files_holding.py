"""Bridges hold parts in their sheet, lead-ins begin in the waste, and files hold both."""

import itertools
import math
import random

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box

from geometry.errors import FileError
from geometry.files import HoldRule, LaidSheet, read_back, sheet_drawings, write_dxf, write_svg
from geometry.outline import Loop, Profile, circle, rectangle, ring, subtract
from geometry.part import Stock, compensate_kerf

KERF = 0.2
PLY = Stock("Plywood", 3.0, KERF, sheet_mm=(400.0, 300.0))


def comb(x, y):
    """A plate with four slots from one edge, as laps leave them."""
    plate = rectangle(120.0, 70.0, (x, y))
    slots = [rectangle(3.1, 40.0, (x - 45.0 + 30.0 * k, y + 20.0)) for k in range(4)]
    return subtract(plate, *slots)


def star(x, y):
    corners = [
        (
            x + (40 if k % 2 else 22) * math.cos(k * math.pi / 6),
            y + (40 if k % 2 else 22) * math.sin(k * math.pi / 6),
        )
        for k in range(12)
    ]
    return Profile(Loop.through(corners))


PARTS = (
    comb(80.0, 60.0),
    subtract(ring(90.0, 40.0, (210.0, 60.0)), circle(6.0, (242.0, 60.0))),
    star(320.0, 70.0),
    rectangle(100.0, 60.0, (80.0, 180.0), corner_radius_mm=12.0),
    rectangle(12.0, 12.0, (210.0, 60.0)),
)


def laid(parts=PARTS, stock=PLY, fits=()):
    paths = tuple(compensate_kerf(part, KERF) for part in parts)
    names = tuple(f"part {k}" for k in range(len(parts)))
    return LaidSheet("Sheet", stock, paths, names, True, fits=fits)


def drawn(rule, **how):
    (drawing,) = sheet_drawings(laid(**how), title="t", hold=rule)
    return drawing


def cut_by_beam(drawing):
    """What a round beam of the kerf's width leaves of the sheet, by shapely alone."""
    lines = [LineString(shape.points(1e-3)) for shape in drawing.shapes]
    beam = shapely.union_all([line.buffer(KERF / 2.0) for line in lines])
    return shapely.get_parts(box(0, 0, 400, 300).difference(beam))


def piece_of(pieces, part):
    inside = part.polygon(1e-3).buffer(-1.5).representative_point()
    return next(piece for piece in pieces if piece.contains(inside))


def test_without_bridges_every_part_falls_out_and_with_them_none_does():
    sheet = Point(395.0, 295.0)
    loose = cut_by_beam(drawn(HoldRule()))
    assert not any(piece_of(loose, part).contains(sheet) for part in PARTS)
    for count, width in ((2, 0.4), (3, 0.8), (4, 1.5)):
        pieces = cut_by_beam(drawn(HoldRule(count, width)))
        frame = next(piece for piece in pieces if piece.contains(sheet))
        for part in PARTS[:4]:
            assert piece_of(pieces, part) is frame
        # The last one lies in the ring's waste, which nothing holds: they go together.
        assert piece_of(pieces, PARTS[4]).area < 40.0**2


@pytest.mark.parametrize("width", [0.4, 1.5])
def test_a_bridge_is_as_wide_as_asked_and_off_slots_and_corners(width):
    drawing = drawn(HoldRule(3, width))
    for number, part in enumerate(PARTS[:4]):
        paths = [s for s in drawing.shapes if s.name == f"part {number}" and not s.closed]
        assert len(paths) == 3
        ends = [(p.segments[-1].end, q.segments[0].start) for p in paths for q in paths]
        gaps = [(a, b) for a, b in ends if math.dist(a, b) < width + 2 * KERF]
        assert len(gaps) == 3
        rim = part.polygon(1e-3).exterior
        corners = np.array([s.start for s in part.outer.segments])
        for a, b in gaps:
            left = LineString([a, b]).length - KERF
            assert left == pytest.approx(width, abs=0.02)
            middle = Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            if number in (0, 2):
                assert np.hypot(*(corners - (middle.x, middle.y)).T).min() > 1.5 * width
            # A file of 5 mm reaches it from outside without touching the part.
            out = middle.buffer(6.0).difference(part.polygon(1e-3).buffer(2.4))
            assert out.area > 29.0
            assert rim.distance(middle) < KERF


def test_a_bridge_keeps_off_the_corners_a_joint_has_cut():
    notch = subtract(rectangle(100.0, 60.0, (80.0, 60.0)), rectangle(30.0, 8.0, (80.0, 90.0)))
    fits = ((65.0, 86.0), (95.0, 86.0))
    drawing = drawn(HoldRule(6, 0.5), parts=(notch,), fits=(fits,))
    paths = [shape for shape in drawing.shapes if not shape.closed]
    assert len(paths) >= 3
    for path, fit in itertools.product(paths, fits):
        for end in (path.segments[0].start, path.segments[-1].end):
            assert math.dist(end, fit) > 4.0


def test_where_no_place_is_good_the_path_stays_whole():
    tiny = rectangle(2.0, 2.0, (50.0, 50.0))
    (shape,) = drawn(HoldRule(2, 1.5), parts=(tiny,)).shapes
    assert shape.closed


def test_lead_ins_begin_in_the_waste_and_touch_no_part():
    drawing = drawn(HoldRule(2, 0.6, lead_mm=1.5))
    bodies = [part.polygon(1e-3) for part in PARTS]
    led = 0
    for shape in drawing.shapes:
        assert not shape.closed
        lead = shape.segments[0]
        assert lead.length_mm == pytest.approx(1.5)
        led += 1
        line = LineString([lead.start, lead.end]).buffer(KERF / 2.0)
        # Its end is on the path, half a kerf off the part.
        assert max(line.intersection(body).area for body in bodies) < 0.01
    # Two pieces of every outside, a bore and a hole.
    assert led == 2 * len(PARTS) + 2
    plain = [s.length_mm for s in drawn(HoldRule(2, 0.6)).shapes]
    assert sum(s.length_mm for s in drawing.shapes) == pytest.approx(sum(plain) + 1.5 * led)


@pytest.mark.parametrize(
    "rule", [HoldRule(3, 0.5), HoldRule(0, 0.5, 2.0), HoldRule(2, 0.8, 1.0)], ids=str
)
@pytest.mark.parametrize("entities", ["segments", "polylines"])
def test_files_are_read_back_with_their_bridges_and_lead_ins(tmp_path, rule, entities):
    drawing = drawn(rule)
    write_dxf(tmp_path / "a.dxf", drawing, entities=entities)
    write_svg(tmp_path / "a.svg", drawing)
    for name in ("a.dxf", "a.svg"):
        read = read_back(tmp_path / name)
        assert read.cut_length_mm == pytest.approx(drawing.cut_length_mm, abs=0.01)
        if rule.bridges:
            sheet = Point(395.0, 295.0)
            pieces = cut_by_beam(read)
            frame = next(piece for piece in pieces if piece.contains(sheet))
            assert all(piece_of(pieces, part) is frame for part in PARTS[:4])


def test_holes_come_before_outsides_and_the_nearest_part_next():
    rng = random.Random(3)
    places = [(30.0 + 60.0 * i, 30.0 + 60.0 * j) for i in range(6) for j in range(4)]
    rng.shuffle(places)
    parts = tuple(subtract(rectangle(40.0, 40.0, at), circle(10.0, at)) for at in places)
    drawing = drawn(HoldRule(2, 0.5, 1.0), parts=parts)
    order = [shape.name for shape in drawing.shapes]
    for name in set(order):
        of_part = [s for s in drawing.shapes if s.name == name]
        assert [s.operation for s in of_part] == ["inside", "outside", "outside"]
    # Part after part: each is finished before the next is begun.
    assert len([name for name, _ in itertools.groupby(order)]) == len(parts)
    ways = [
        math.dist(a.segments[-1].end, b.segments[0].start)
        for a, b in itertools.pairwise(drawing.shapes)
    ]
    # As drawn, in the order the parts were listed, it would be many times as far.
    listed = [math.dist(a, b) for a, b in itertools.pairwise(places)]
    assert sum(ways) < 0.75 * (sum(listed) + 20.0 * 2 * len(parts))


def test_what_is_no_rule_is_refused():
    with pytest.raises(FileError, match="0 or more"):
        HoldRule(-1)
    with pytest.raises(FileError, match="wider than 0"):
        HoldRule(2, 0.0)
    with pytest.raises(FileError, match="share"):
        sheet_drawings(laid(), title="t", share_edges=True, hold=HoldRule(2))


def test_a_polygon_is_closed_whatever_way_its_outline_runs():
    corners = [(10.0, 10.0), (110.0, 10.0), (110.0, 70.0), (10.0, 70.0)]
    for ring_ in (corners, corners[::-1]):
        part = Profile.from_polygon(Polygon(ring_), 0.01)
        (drawing,) = sheet_drawings(
            LaidSheet("s", PLY, (part,), ("p",), True), title="t", hold=HoldRule(2, 0.5, 2.0)
        )
        for shape in drawing.shapes:
            assert part.polygon().distance(Point(shape.segments[0].start)) == pytest.approx(2.0)
