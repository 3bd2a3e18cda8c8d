"""Arcs and sizes in DXF files, where the reference and the trade have a say.

ezdxf reads the files here with its own geometry; the expected numbers are literals.
"""

import math

import ezdxf
import pytest
from ezdxf import bbox

from geometry.files import drawing, write_dxf
from geometry.outline import Arc, Line, Loop, Profile

pytestmark = pytest.mark.outside


def segment_of_circle(angle_deg):
    """A whole circle's part of ``angle_deg``, radius 40, closed by its chord."""
    arc = Arc((3.0, 7.0), 40.0, 0.3, math.radians(angle_deg))
    return Profile(Loop((arc, Line(arc.end, arc.start))))


def test_more_than_half_a_turn_comes_in_two_halves(tmp_path):
    # 270° as two arcs of 135°: tan(33.75°) = 0.6681786 (a table of tangents, from memory).
    write_dxf(tmp_path / "a.dxf", drawing([segment_of_circle(270)]), entities="polylines")
    (line,) = ezdxf.readfile(tmp_path / "a.dxf").modelspace()
    assert sorted(p[4] for p in line) == pytest.approx([0.0, 0.6681786, 0.6681786], abs=5e-8)


@pytest.mark.parametrize(("unit", "per_unit"), [("mm", 1.0), ("in", 25.4)])
@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_a_hundred_millimetres_are_a_hundred_millimetres(tmp_path, unit, per_unit, version):
    square = Profile(Loop.through([(0, 0), (100, 0), (100, 100), (0, 100)]))
    write_dxf(tmp_path / "a.dxf", drawing([square]), version=version, unit=unit)
    outside = ezdxf.readfile(tmp_path / "a.dxf").modelspace().query("*[layer=='outside']")
    size = bbox.extents(outside).size
    assert size.x * per_unit == pytest.approx(100.0, abs=1e-6)


def test_an_arc_is_counter_clockwise_in_degrees(tmp_path):
    # ARC: 40 radius, 50 and 51 start and end in degrees, counter-clockwise (DXF reference; from
    # memory). A slot's end travelled clockwise must still read so.
    clockwise = Profile(
        Loop.through([(-50, -50), (50, -50), (50, 50), (-50, 50)]),
        (Loop((Arc((0, 0), 10.0, 0.0, math.pi), Line((-10, 0), (10, 0)))),),
    )
    write_dxf(tmp_path / "a.dxf", drawing([clockwise]))
    (arc,) = ezdxf.readfile(tmp_path / "a.dxf").modelspace().query("ARC")
    assert arc.dxf.start_angle == pytest.approx(0.0, abs=1e-9)
    assert arc.dxf.end_angle == pytest.approx(180.0, abs=1e-9)
    assert max(p.y for p in arc.flattening(0.001)) == pytest.approx(10.0, abs=1e-3)
