"""Butt joints against manifold3d's solids, and their holes against the published tables."""

import itertools
import math
import random
from dataclasses import replace

import manifold3d
import numpy as np
import pytest

from geometry.assembly import Joint, Part, join_parts
from geometry.assembly.joints import ButtRule, butt_joint, kind_named
from geometry.errors import AssemblyError, PartsDoNotMeetError
from geometry.outline import Loop, Profile
from geometry.part import Stock

pytestmark = pytest.mark.outside


def box(x0, y0, x1, y1):
    return Profile(Loop.through([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def solid(part):
    """The part as manifold3d's own extrusion."""
    polygon = part.profile.polygon(1e-3)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    t = part.stock.thickness_mm
    return manifold3d.Manifold.extrude(flat, t).translate((0, 0, -t / 2)).transform(part.pose[:3])


UPRIGHT = np.array([[1.0, 0, 0, 0], [0, 0, -1.0, 0], [0, 1.0, 0, 0], [0, 0, 0, 1.0]])
"""Stands a board on the world's x, its own y upwards, its mid-plane at y = 0."""


def board(name, thickness, x0, y0, x1, y1, pose):
    return Part(box(x0, y0, x1, y1), Stock(name, thickness, 0.1), pose, name)


def tee(ta, tb, past):
    """A floor, and a board that stands in the middle of it, drawn past its upper face."""
    floor = board("floor", ta, -100, -60, 100, 60, np.eye(4))
    wall = board("wall", tb, -80, ta / 2 - past, 80, 70, UPRIGHT)
    return floor, wall


def joined(parts, joints):
    shapes = join_parts(parts, joints)
    assert shapes.unmatched == ()
    return [replace(p, profile=q) for p, q in zip(parts, shapes.profiles, strict=True)], shapes


def overlap_mm3(parts):
    return max((solid(a) ^ solid(b)).volume() for a, b in itertools.combinations(parts, 2))


@pytest.mark.parametrize("fastener", ["none", "screw", "nut", "dowel"])
def test_a_board_ends_at_the_face_it_stands_on_however_it_was_drawn(fastener):
    rng = random.Random(5)
    for _ in range(10):
        ta, tb = rng.uniform(4, 18), rng.uniform(9, 18)
        size = rng.choice([5.0, 6.0] if fastener == "dowel" else [3.0, 4.0])
        parts = tee(ta, tb, rng.uniform(-0.4, 0.8) * ta)
        rule = ButtRule(fastener, size, rng.choice([0, 1, 3]))
        made, shapes = joined(parts, [Joint(0, 1, "butt", own=rule)])
        assert overlap_mm3(made) < 0.02
        # The edge lies on the face: a hair lower it would overlap all along.
        low = replace(made[1], pose=made[1].pose - 0.05 * np.outer([0, 0, 1, 0], [0, 0, 0, 1]))
        if fastener != "nut":
            assert overlap_mm3([made[0], low]) == pytest.approx(0.05 * tb * 160 * 1.0, rel=0.15)
        (one,) = shapes.connections
        count = rule.count or 2
        assert len(made[0].profile.holes) == (0 if fastener == "none" else count)
        assert one.butt_joint.count == len(made[0].profile.holes)


def test_a_screw_goes_straight_through_the_hole_and_its_slot_into_the_nut():
    # ISO 273 medium M4: 4.5; ISO 4032 M4: 7.0 across flats, 3.2 high; ISO 4762: 16, 20, 25 mm.
    # All from memory of the standards.
    parts = tee(6.0, 9.0, 0.0)
    made, shapes = joined(parts, [Joint(0, 1, "butt", own=ButtRule("nut", 4.0, 2))])
    (one,) = shapes.connections
    assert one.butt_joint.screw_mm == 20.0
    both = solid(made[0]) + solid(made[1])
    for x in (-40.0, 40.0):
        shank = manifold3d.Manifold.cylinder(20.0, 2.0, 2.0, 48).translate((x, 0.0, -3.0))
        assert (shank ^ both).volume() < 1e-6
        wide = manifold3d.Manifold.cylinder(20.0, 2.3, 2.3, 48).translate((x, 0.0, -3.0))
        assert (wide ^ both).volume() > 1.0
        # 6 mm of board, 8 of wood, then the nut; its flats keep it from turning.
        nut = manifold3d.Manifold.cube((7.0, 7.0, 3.2)).translate((x - 3.5, -3.5, 11.0))
        assert (nut ^ both).volume() < 1e-6
        turned = nut.translate((-x, 0, 0)).rotate((0, 0, 30)).translate((x, 0, 0))
        assert (turned ^ both).volume() > 1.0
    assert one.butt_joint.count == 2


def corner(ta, tb, past_a, past_b):
    """Two boards that meet at an edge, each drawn past the other's mid-plane by so much."""
    a = board("A", ta, -60, -past_a, 60, 80, np.eye(4))
    return a, board("B", tb, -60, -past_b, 60, 60, UPRIGHT)


def test_boards_that_overlap_at_a_corner_are_trimmed_by_choice_of_which_goes_over():
    rng = random.Random(9)
    for _ in range(12):
        ta, tb = rng.uniform(3, 12), rng.uniform(3, 12)
        a, b = corner(ta, tb, tb * rng.uniform(-0.5, 1.2), ta * rng.uniform(-0.5, 1.2))
        for joint, over, under in ((Joint(0, 1, "butt"), 0, 1), (Joint(1, 0, "butt"), 1, 0)):
            made, _ = joined((a, b), [joint])
            assert overlap_mm3(made) < 0.02
            boxes = [m.profile.bounds_mm for m in made]
            thickness = (ta, tb)
            assert boxes[over][1] == pytest.approx(-thickness[under] / 2, abs=1e-6)
            assert boxes[under][1] == pytest.approx(thickness[over] / 2, abs=1e-6)


def test_three_boards_at_one_corner_share_nothing_and_leave_nothing_out():
    turn = np.array([[0, 0, 1.0, 0], [1.0, 0, 0, 0], [0, 1.0, 0, 0], [0, 0, 0, 1.0]])
    for ta, tb, tc in ((3.0, 3.0, 3.0), (3.0, 6.0, 9.0), (12.0, 4.0, 6.0)):
        # Drawn to outside size: the corner at the origin of every two boards' planes.
        a = board("A", ta, -tc / 2, -tb / 2, 60, 50, np.eye(4))
        b = board("B", tb, -tc / 2, -ta / 2, 60, 40, UPRIGHT)
        c = board("C", tc, -tb / 2, -ta / 2, 50, 40, turn)
        box_mm3 = manifold3d.Manifold.cube((60 + tc / 2, 50 + tb / 2, 40 + ta / 2)).translate(
            (-tc / 2, -tb / 2, -ta / 2)
        )
        inner = manifold3d.Manifold.cube((60, 50, 40)).translate((tc / 2, tb / 2, ta / 2))
        shell = box_mm3 - inner
        for order in itertools.permutations(range(3)):
            ranks = {part: rank for rank, part in enumerate(order)}
            pairs = [sorted(pair, key=ranks.get) for pair in itertools.combinations(range(3), 2)]
            made, _ = joined((a, b, c), [Joint(i, j, "butt") for i, j in pairs])
            assert overlap_mm3(made) < 0.02
            whole = solid(made[0]) + solid(made[1]) + solid(made[2])
            assert (shell - whole).volume() < 0.5
            assert (whole - shell).volume() < 0.5


def test_pairs_are_found_standing_and_at_corners_but_not_crossing():
    kind = kind_named("butt")
    assert kind.pairs(tee(6.0, 9.0, 0.0)) == ((0, 1),)
    assert kind.pairs(corner(6.0, 6.0, 3.0, 3.0)) == ((0, 1),)
    crossing = (tee(6.0, 9.0, 0.0)[0], board("B", 6.0, -50, -40, 50, 40, UPRIGHT))
    assert kind.pairs(crossing) == ()


def test_what_cannot_be_held_is_refused_with_its_place():
    parts = tee(3.0, 3.0, 0.0)
    with pytest.raises(AssemblyError, match="no screw of 7 mm"):
        butt_joint(*parts, rule=ButtRule("screw", 7.0))
    with pytest.raises(AssemblyError, match="no dowel of 3 mm"):
        butt_joint(*parts, rule=ButtRule("dowel", 3.0))
    # At a corner of 3 mm boards a hole of 3.4 mm comes out at the edge.
    with pytest.raises(AssemblyError, match="leaves less than 1 mm"):
        butt_joint(*corner(3.0, 3.0, 1.5, 1.5), rule=ButtRule("screw", 3.0))
    short = (parts[0], board("low", 3.0, -50, 1.5, 50, 10, UPRIGHT))
    with pytest.raises(AssemblyError, match="captive nut"):
        butt_joint(*short, rule=ButtRule("nut", 4.0))
    with pytest.raises(PartsDoNotMeetError):
        butt_joint(parts[0], board("far", 3.0, 300, 1.5, 400, 40, UPRIGHT))
    lean = np.array(UPRIGHT)
    lean[1:3, 1:3] = [[math.sin(0.3), -math.cos(0.3)], [math.cos(0.3), math.sin(0.3)]]
    with pytest.raises(AssemblyError, match="made square"):
        butt_joint(parts[0], board("lean", 3.0, -50, 1.0, 50, 40, lean))


def test_a_screw_too_thick_for_the_edge_is_told():
    shapes = join_parts(tee(9.0, 3.0, 0.0), [Joint(0, 1, "butt", own=ButtRule("screw", 4.0))])
    (one,) = shapes.connections
    (finding,) = one.findings("floor", "wall")
    assert finding.severity == "caution"
    assert "splits the edge of wall, which is 3 mm thick" in finding.sentence
    assert [str(s) for s in one.figures(lambda mm: f"{mm:g} mm")][1] == "2 screws of 4"
