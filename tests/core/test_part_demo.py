"""The demo's cradle, ready to cut: no false alarm, on no stock it could be made of."""

import sys
from pathlib import Path

import pytest

from geometry.assembly import (
    Part,
    apply_cuts,
    around_axis,
    cross_lap,
    lie_across_axis,
    stand_on_axis,
)
from geometry.outline import ring
from geometry.part import Stock, kerf_losses, readiness
from geometry.sheet.pieces import cut_piece

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))
import globe_cradle as cradle


@pytest.fixture(scope="module")
def slotted():
    stock = cradle.PLYWOOD
    rings = [
        Part(ring(outer, cradle.ring_bore_mm(z)), stock, lie_across_axis(z), f"ring at {z:g}")
        for outer, z in (
            (cradle.UPPER_RING_OUTER_MM, cradle.UPPER_RING_Z_MM),
            (cradle.LOWER_RING_OUTER_MM, cradle.LOWER_RING_Z_MM),
        )
    ]
    poses = around_axis(stand_on_axis(0.0), cradle.RIB_COUNT)
    ribs = [Part(cradle.rib(), stock, pose, f"rib {i}") for i, pose in enumerate(poses)]
    cuts = {id(part): [] for part in (*rings, *ribs)}
    for rib in ribs:
        for other in rings:
            lap = cross_lap(rib, other)
            cuts[id(rib)].append(lap.cut_a)
            cuts[id(other)].append(lap.cut_b)
    return [apply_cuts(part, cuts[id(part)]).profile for part in (*rings, ribs[0])]


def test_finished_parts_of_the_demo_raise_no_alarm(slotted):
    stock = cradle.PLYWOOD
    assert sum(len(p.outer.segments) + len(p.holes) for p in slotted) > 50
    assert readiness(slotted, stock, together=False) == ()
    for profile in slotted:
        assert kerf_losses(profile, stock.kerf_mm) == ()
        path = cut_piece(profile, stock, 1, "", correct_kerf=True).profile
        assert len(path.holes) == len(profile.holes)


def test_routed_they_are_told_only_of_corners_until_these_are_relieved(slotted):
    # Slots of 2.9 mm: a cutter of 2 mm goes in.
    routed = Stock("ply", cradle.PLYWOOD.thickness_mm, 2.0, "router", 2.0)
    found = readiness(slotted, routed, together=False)
    assert {f.rule for f in found} == {"corner not reached"}
    paths = [cut_piece(p, routed, 1, "", correct_kerf=True).profile for p in slotted]
    assert all(len(a.holes) == len(b.holes) for a, b in zip(paths, slotted, strict=True))
