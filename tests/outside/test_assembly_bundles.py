"""Sheets through one line as solids: manifold3d finds no overlap, and every one rests on another.

manifold3d (a library of its own) intersects the solids; its single precision leaves about 1e-3 mm3
on solids of this size. Moved up from its seat along the line, as the order says, each sheet still
meets nothing: the pushes are straight.
"""

import math
from dataclasses import replace
from itertools import combinations

import manifold3d
import numpy as np
import pytest

from geometry.assembly import Part, assembly_order, stand_on_axis, turn_about_axis
from geometry.assembly.joints.joinery import Joint, join_parts
from geometry.outline import circle, rectangle
from geometry.part import Stock

pytestmark = pytest.mark.outside

NOTHING_MM3 = 0.02


def solid(part):
    """The part as manifold3d's own extrusion."""
    polygon = part.profile.polygon(1e-3)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    thickness = part.stock.thickness_mm
    body = flat.extrude(thickness).translate((0.0, 0.0, -thickness / 2.0))
    return body.transform(part.pose[:3])


def discs(sizes):
    """Discs or boards through the upright axis: (turn, thickness, profile) each."""
    parts = []
    for number, (turn, thickness, profile) in enumerate(sizes):
        pose = turn_about_axis((0, 0, 0), (0, 0, 1), turn) @ stand_on_axis(0.0)
        parts.append(Part(profile, Stock("ply", thickness, 0.1), pose, f"sheet {number + 1}"))
    joints = [Joint(i, j) for i, j in combinations(range(len(parts)), 2)]
    shapes = join_parts(parts, joints).profiles
    return [replace(part, profile=shape) for part, shape in zip(parts, shapes, strict=True)]


CASES = {
    "three equal discs": [(math.pi * i / 3, 3.0, circle(100.0)) for i in range(3)],
    "three unlike boards": [
        (0.0, 2.0, rectangle(90.0, 70.0)),
        (0.9, 5.0, rectangle(120.0, 60.0, (10.0, 3.0))),
        (1.8, 3.0, circle(80.0)),
    ],
    "five discs": [(math.pi * i / 5, 2.0, circle(120.0)) for i in range(5)],
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_solids_overlap_nowhere_touch_and_come_down_along_the_line(case):
    parts = discs(case)
    solids = [solid(part) for part in parts]
    order = assembly_order(parts)
    assert order.can_be_built
    for a, b in combinations(solids, 2):
        assert (a ^ b).volume() < NOTHING_MM3
    standing = [solids[order.steps[0].parts[0]]]
    for step in order.steps[1:]:
        (number,) = step.parts
        assert abs(step.direction[2]) == pytest.approx(1.0)
        assert min(solids[number].min_gap(other, 1.0) for other in standing) < 1e-4
        for back in (0.5, 7.0, 23.0, 60.0, 130.0):
            away = solids[number].translate([-back * c for c in step.direction])
            assert max((away ^ other).volume() for other in standing) < NOTHING_MM3
        standing.append(solids[number])


def test_whole_discs_share_what_their_slots_take():
    # Unlapped, two discs of 100 mm and 3 mm at 60 degrees share t1 t2 / sin 60 times about the
    # diameter (from memory); the lapped ones above share nothing.
    whole = [
        replace(part, profile=profile)
        for part, (_, _, profile) in zip(
            discs(CASES["three equal discs"]), CASES["three equal discs"], strict=True
        )
    ]
    shared = (solid(whole[0]) ^ solid(whole[1])).volume()
    assert shared == pytest.approx(9.0 / math.sin(math.pi / 3) * 100.0, rel=2e-3)
