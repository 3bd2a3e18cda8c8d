"""What is symmetric in the drawing is symmetric in the file, to the last digit."""

import math
import xml.etree.ElementTree as ElementTree

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.files import drawing, read_back, verify, write_dxf, write_svg
from geometry.files.writing.rounding import roundings
from geometry.outline import Arc, Line, Loop, Profile

lengths = st.floats(0.5, 300.0)
places = st.floats(-500.0, 500.0)


def arch(axis, low, wide, high, slot):
    """A foot with a round top and two holes, mirrored about x = axis."""
    left, right, r = axis - wide, axis + wide, wide
    outer = Loop(
        (
            Line((left, low), (axis - slot * wide, low)),
            Line((axis - slot * wide, low), (axis, low + high / 2)),
            Line((axis, low + high / 2), (axis + slot * wide, low)),
            Line((axis + slot * wide, low), (right, low)),
            Line((right, low), (right, low + high)),
            Arc((axis, low + high), r, 0.0, math.pi),
            Line((left, low + high), (left, low)),
        )
    )
    holes = tuple(Loop.circle((axis + s * 0.6 * wide, low + high), 0.1 * wide) for s in (-1, 1))
    return Profile(outer, holes)


def mirrored_to_the_last_digit(points, axis):
    """Every point has its mirror image among the points, as the file's own digits say it."""
    seen = {(round(x - axis, 9) + 0.0, y) for x, y in points}
    return all((-x + 0.0, y) in seen for x, y in seen)


@settings(max_examples=60, deadline=None)
@given(places, places, lengths, lengths, st.floats(0.1, 0.9))
def test_rounding_keeps_both_sides_alike(axis, low, wide, high, slot):
    made = drawing([arch(axis, low, wide, high, slot)])
    for digits in (6, 9):
        rounded = roundings(made.shapes, digits)
        ends = [
            rounding.at(end)
            for shape, rounding in zip(made.shapes, rounded, strict=True)
            if not shape.is_circle
            for segment in shape.segments
            for end in (segment.start, segment.end)
        ]
        middle = (min(x for x, _ in ends) + max(x for x, _ in ends)) / 2.0
        assert mirrored_to_the_last_digit(ends, middle)
        for shape, rounding in zip(made.shapes, rounded, strict=True):
            x, y = rounding.at(shape.segments[0].start)
            assert math.dist((x, y), shape.segments[0].start) < 1.5 * 10.0**-digits


@pytest.mark.parametrize("turn", [0, 1, 2, 3])
@pytest.mark.parametrize("entities", ["segments", "polylines"])
def test_a_mirrored_part_is_mirrored_in_the_dxf(tmp_path, entities, turn):
    # Thirds and sevenths, that no decimal holds; laid in quarter turns, which stay exact.
    part = arch(100 / 3, 10 / 7, 20 / 7, 31 / 3, 1 / 3).rotated(turn * math.pi / 2.0)
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([part]), entities=entities)
    points = []
    for e in ezdxf.readfile(path).modelspace():
        if e.dxftype() == "LINE":
            points += [e.dxf.start, e.dxf.end]
        elif e.dxftype() == "LWPOLYLINE":
            points += e.get_points("xy")
    across = turn % 2
    pairs = [(p[across], p[1 - across]) for p in points]
    axis = (min(x for x, _ in pairs) + max(x for x, _ in pairs)) / 2.0
    assert mirrored_to_the_last_digit(pairs, axis)
    circles = [c.dxf for c in ezdxf.readfile(path).modelspace().query("CIRCLE")]
    a, b = sorted(c.center[across] for c in circles)
    assert abs((axis - a) - (b - axis)) < 1e-9
    assert circles[0].radius == circles[1].radius


def test_a_mirrored_part_is_mirrored_in_the_svg(tmp_path):
    write_svg(tmp_path / "a.svg", drawing([arch(100 / 3, 10 / 7, 20 / 7, 31 / 3, 1 / 3)]))
    data = ElementTree.parse(tmp_path / "a.svg").getroot().find(".//{*}path").get("d").split()
    points = []
    while data:
        command = data.pop(0)
        if command == "A":
            del data[:5]
        if command != "Z":
            points.append((float(data.pop(0)), float(data.pop(0))))
    axis = (min(x for x, _ in points) + max(x for x, _ in points)) / 2.0
    assert mirrored_to_the_last_digit(points, axis)


def test_what_is_rounded_still_reads_back_within_a_millionth(tmp_path):
    made = drawing([arch(1e3 / 3, -700 / 9, 20 / 7, 31 / 3, 1 / 3)])
    assert write_dxf(tmp_path / "a.dxf", made).worst_mm < 1e-8
    assert verify(tmp_path / "a.dxf", made).worst_mm < 1e-8
    assert write_dxf(tmp_path / "b.dxf", made, unit="in").worst_mm < 1e-8
    assert read_back(tmp_path / "b.dxf").counts == made.counts


def test_handles_are_the_entities_own(tmp_path):
    for version in ("R2010", "R12"):
        path = tmp_path / f"{version}.dxf"
        write_dxf(path, drawing([arch(0, 0, 30, 40, 0.5)]), version=version)
        lines = [line.strip() for line in path.read_text().splitlines()]
        pairs = list(zip(lines[::2], lines[1::2], strict=True))
        handles = [v for i, (code, v) in enumerate(pairs) if code == "5" and pairs[i - 1][0] == "0"]
        assert len(handles) == len(set(handles)) > 0
        # The seed is above every handle (published DXF reference, $HANDSEED).
        seed = pairs[pairs.index(("9", "$HANDSEED")) + 1][1] if version == "R2010" else "FFFFFF"
        assert max(int(h, 16) for h in handles) < int(seed, 16)
        auditor = ezdxf.readfile(path).audit()
        assert not auditor.errors
        assert not auditor.fixes
