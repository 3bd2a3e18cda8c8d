"""What the check says, where, and what stops the work."""

import math

import numpy as np
import pytest

from geometry.assembly import Part, stand_on_axis, turn_about_axis
from geometry.assembly.check import Fixture, check_assembly
from geometry.assembly.joints.joinery import Joint, join_parts
from geometry.assembly.remarks import remarks
from geometry.outline import rectangle
from geometry.part import Stock

PLY = Stock("Plywood", 3.0, 0.2)


def box(x0, x1, *, name="Box", required=0.0, hole=False):
    """An upright box, 20 mm deep and high, with its top left off on request."""
    corners = np.array([(x, y, z) for x in (x0, x1) for y in (-10, 10) for z in (-10, 10)], float)
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = [t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]
    # One triangle of the side that crosses the plate's plane.
    kept = triangles[1:] if hole else triangles
    return Fixture(corners, np.array(kept), name, required)


PLATE = Part(rectangle(100.0, 60.0), PLY, np.eye(4), "Plate")


def said(parts, fixtures, joinery=None):
    return remarks(check_assembly(parts, fixtures), parts, fixtures, joinery)


def test_a_clear_assembly_has_nothing_to_say():
    assert said([PLATE], [box(60.0, 80.0, required=9.9)]) == ()


def test_every_fixture_has_its_own_required_gap():
    near, far = box(50.5, 60.0, name="Post", required=1.0), box(-80.0, -60.0, required=1.0)
    (remark,) = said([PLATE], [near, far])
    assert remark.severity == "caution"
    assert remark.label == "Too close: Plate + Post"
    assert "clears Post by 0.50 mm, but 1 mm is required" in remark.sentence
    assert remark.place[0] == pytest.approx(50.25, abs=1e-6)


def test_what_passes_over_a_part_is_seen_though_its_plane_is_free():
    raised = np.add(box(-20.0, 20.0).vertices_mm, (0.0, 0.0, 11.9))
    lid = Fixture(raised, box(0, 1).triangles, "Lid", 1.0)
    (remark,) = said([PLATE], [lid])
    # The lid begins at 1.9, the plate ends at 1.5.
    assert "Lid passes over Plate at 0.40 mm, but 1 mm is required" in remark.sentence
    assert remark.place[2] == pytest.approx(1.7)
    stem = Fixture(*both(lid, box(58.0, 70.0)), "Lid", 1.0)
    (remark,) = said([PLATE], [stem])
    assert "passes over Plate at 0.40 mm" in remark.sentence


def both(one, other):
    count = len(one.vertices_mm)
    return (
        np.concatenate((one.vertices_mm, other.vertices_mm)),
        np.concatenate((one.triangles, other.triangles + count)),
    )


def test_a_part_in_the_fixture_stops():
    (remark, *_) = said([PLATE], [box(45.0, 60.0, name="Post")])
    assert (remark.severity, remark.label) == ("stop", "Overlap: Plate + Post")
    assert "runs 5.00 mm into Post" in remark.sentence


def test_parts_in_each_other_stop_and_say_how_much():
    other = Part(rectangle(50.0, 40.0), PLY, stand_on_axis(0.0), "Rib")
    (remark,) = said([PLATE, other], [])
    assert remark.label == "Overlap: Plate + Rib"
    # 3 × 3 mm of common cross-section along the rib's 25 mm on either side of the axis.
    assert "450 mm³ along 50.0 mm" in remark.sentence
    assert remark.subject.numbers == (0, 1)


def test_sheets_that_cross_askew_are_said_to_play():
    turn = turn_about_axis((0, 0, 0), (1, 0, 0), math.radians(60.0))
    parts = [PLATE, Part(rectangle(80.0, 60.0), PLY, turn, "Brace")]
    joinery = join_parts(parts, [Joint(0, 1)])
    built = [
        Part(shape, p.stock, p.pose, p.name)
        for shape, p in zip(joinery.profiles, parts, strict=True)
    ]
    (remark,) = said(built, [], joinery)
    # 3 mm × cot 60°
    assert (remark.severity, "1.73 mm of play" in remark.sentence) == ("caution", True)


def test_a_torn_mesh_is_answered_and_named_once():
    parts = [PLATE, Part(rectangle(30.0, 20.0, (90.0, 0.0)), PLY, np.eye(4), "Other")]
    (remark,) = said(parts, [box(51.0, 74.0, name="Scan", hole=True)])
    assert remark.label == "Mesh: Scan"
    assert remark.sentence.startswith("Scan's surface is open")
