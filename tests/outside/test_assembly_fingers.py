"""Finger joints and boxes of boards against manifold3d's solids."""

import itertools
import math
from dataclasses import replace

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import (
    FingerRule,
    Joint,
    Part,
    assembly_order,
    join_parts,
    turn_about_axis,
)
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


def corner(degrees, ta, tb, drawn):
    """Two boards that meet along the world's x, drawn as far as a share of the corner."""
    c, s = 1.0 / math.tan(math.radians(degrees)), 1.0 / math.sin(math.radians(degrees))
    inner_a, inner_b = (0.5 * (t * s + own * abs(c)) for t, own in ((tb, ta), (ta, tb)))
    outer_a, outer_b = (t * s for t in (tb, ta))
    a = Part(box(-60.0, inner_a - drawn * outer_a, 60.0, 70.0), Stock("a", ta, 0.1), np.eye(4), "A")
    turn = turn_about_axis((0, 0, 0), (1, 0, 0), math.radians(degrees))
    b = Part(box(-60.0, inner_b - drawn * outer_b, 60.0, 50.0), Stock("b", tb, 0.1), turn, "B")
    return a, b


def joined(parts, joints):
    shapes = join_parts(parts, joints)
    assert shapes.unmatched == ()
    made = [replace(p, profile=q) for p, q in zip(parts, shapes.profiles, strict=True)]
    return made, shapes


@settings(max_examples=60, deadline=None)
@given(
    st.floats(60.0, 120.0),
    st.floats(2.0, 9.0),
    st.floats(2.0, 9.0),
    st.sampled_from([0.0, 0.6, 1.0, 1.4]),
    st.sampled_from([FingerRule(), FingerRule(count=1), FingerRule(2), FingerRule(width_mm=11.0)]),
    st.sampled_from([0.0, 0.2]),
)
def test_corners_at_any_angle_share_nothing_and_come_out(degrees, ta, tb, drawn, rule, clearance):
    parts = corner(degrees, ta, tb, drawn)
    made, shapes = joined(parts, [Joint(0, 1, "finger", clearance, fingers=rule)])
    a, b = (solid(part) for part in made)
    assert (a ^ b).volume() < 1e-3
    (found,) = shapes.connections
    if found.finger_joint.count > 2:
        # Without clearance the walls of fingers touch: a step along the edge and they bite.
        for step in (-1.0, 1.0):
            moved = b.translate((step * (0.5 * clearance + 0.05), 0.0, 0.0))
            assert (a ^ moved).volume() > 1e-3
    order = assembly_order(made)
    assert order.can_be_built
    mover = order.steps[1].parts[0]
    for away in np.linspace(0.0, 30.0, 16):
        back = tuple(-away * np.array(order.steps[1].direction))
        assert (solid(made[mover]).translate(back) ^ solid(made[1 - mover])).volume() < 1e-2


def test_a_square_corner_is_filled_and_flush():
    parts = corner(90.0, 4.0, 6.0, 1.0)
    made, _ = joined(parts, [Joint(0, 1, "finger")])
    a, b = (solid(part) for part in made)
    whole = (solid(parts[0]) + solid(parts[1])).volume()
    assert (a + b).volume() == pytest.approx(whole, rel=1e-6)
    assert (a ^ b).volume() < 1e-6


def six_boards(size, stock):
    """The six boards of a box of an outside size, each drawn as large as its side."""
    (w, d, h), t = size, stock.thickness_mm
    faces = []
    for axis, (u, v) in enumerate(((1, 2), (2, 0), (0, 1))):
        for sign in (-1.0, 1.0):
            lengths = (w, d, h)
            pose = np.eye(4)
            pose[:3, :3] = np.eye(3)[[u, v, axis]].T
            pose[axis, 3] = sign * 0.5 * (lengths[axis] - t)
            half_u, half_v = 0.5 * lengths[u], 0.5 * lengths[v]
            name = "xyz"[axis] + "-+"[sign > 0]
            faces.append(Part(box(-half_u, -half_v, half_u, half_v), stock, pose, name))
    return faces


@pytest.mark.parametrize("size", [(120.0, 80.0, 60.0), (50.0, 50.0, 50.0), (200.0, 33.0, 71.0)])
def test_six_boards_of_outside_size_become_a_closed_box(size):
    stock = Stock("plywood", 4.0, 0.2)
    parts = six_boards(size, stock)
    pairs = [
        (i, j)
        for i, j in itertools.combinations(range(6), 2)
        if abs(parts[i].pose[:3, 2] @ parts[j].pose[:3, 2]) < 0.5
    ]
    made, _ = joined(parts, [Joint(i, j, "finger") for i, j in pairs])
    solids = [solid(part) for part in made]
    for one, other in itertools.combinations(solids, 2):
        assert (one ^ other).volume() < 1e-3
    together = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    w, d, h = size
    hollow = (w - 8.0) * (d - 8.0) * (h - 8.0)
    # Nothing stands out, and all but corner cubes is filled.
    low, high = np.array(together.bounding_box()).reshape(2, 3)
    assert high - low == pytest.approx(size, abs=1e-4)
    assert w * d * h - hollow - together.volume() < 8.0 * 4.0**3 + 1e-3
    assert assembly_order(made).can_be_built
