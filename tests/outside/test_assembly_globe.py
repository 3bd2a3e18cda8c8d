"""The whole cradle for a display globe: six ribs lapped into two rings, checked by manifold3d."""

import math

import manifold3d
import numpy as np
import pytest
import trimesh

from geometry.assembly import (
    Part,
    apply_cuts,
    around_axis,
    assembly_order,
    clearance,
    cross_lap,
    find_axis,
    fixture_circle,
    interference,
    lie_across_axis,
    stand_on_axis,
)
from geometry.outline import Arc, Line, Loop, Profile
from geometry.part import Stock

pytestmark = pytest.mark.outside

PLY = Stock("ply", 2.9, 0.15)
UPPER, LOWER = -50.0, -120.0


def rib_profile():
    """In (radius, height): foot, quarter round, upright, and an arc 3 mm off the ball."""
    reach = math.sqrt(103.0**2 - 26.0**2)
    top, low = math.atan2(-26.0, reach), math.atan2(-reach, 26.0)
    return Profile(
        Loop(
            (
                Line((26, -140), (80, -140)),
                Arc((80, -80), 60, -math.pi / 2, math.pi / 2),
                Line((140, -80), (140, -26)),
                Line((140, -26), (reach, -26)),
                Arc((0, 0), 103, top, low - top),
                Line((26, -reach), (26, -140)),
            )
        )
    )


def ring(outer_mm, bore_mm, height_mm, name):
    loops = [Loop.circle((0, 0), d / 2) for d in (outer_mm, bore_mm)]
    return Part(Profile(loops[0], (loops[1],)), PLY, lie_across_axis(height_mm), name)


@pytest.fixture(scope="module")
def globe():
    """Ball 200 mm across on a neck 42 mm across."""
    ball = trimesh.creation.uv_sphere(100.0, count=[320, 314])
    neck = trimesh.creation.cylinder(21.0, 60.0, sections=256)
    neck.apply_translation((0, 0, -130.0))
    return trimesh.util.concatenate([ball, neck])


@pytest.fixture(scope="module")
def whole():
    rings = [ring(228.0, 175.5, UPPER, "upper ring"), ring(112.0, 42.6, LOWER, "lower ring")]
    poses = around_axis(stand_on_axis(0.0), 6)
    return rings + [Part(rib_profile(), PLY, pose, f"rib {i}") for i, pose in enumerate(poses)]


@pytest.fixture(scope="module")
def laps(whole):
    return {(i, j): cross_lap(whole[i], whole[j]) for j in (0, 1) for i in range(2, 8)}


@pytest.fixture(scope="module")
def slotted(whole, laps):
    cuts = {i: [] for i in range(8)}
    for (i, j), lap in laps.items():
        cuts[i].append(lap.cut_a)
        cuts[j].append(lap.cut_b)
    return [apply_cuts(part, cuts[i]) for i, part in enumerate(whole)]


def solid(part):
    polygon = part.profile.polygon(1e-3)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    return manifold3d.Manifold.extrude(flat, 2.9).translate((0, 0, -1.45)).transform(part.pose[:3])


def test_twelve_laps_lie_where_plane_geometry_puts_them(laps):
    """Rib edges on radius 103 at the ring's lower face, and on 26; ring edges on 114 and 56."""
    inner = {0: math.sqrt(103.0**2 - 51.45**2), 1: 26.0}
    outer = {0: 114.0, 1: 56.0}
    assert len(laps) == 12
    for (_, j), lap in laps.items():
        ends = sorted(math.hypot(x, y) for x, y, _ in lap.line)
        assert ends == pytest.approx([inner[j], outer[j]], abs=1e-6)
        assert lap.width_a_mm == pytest.approx(2.9)
        assert lap.width_b_mm == pytest.approx(2.9)
        half = 0.5 * (outer[j] - inner[j])
        assert (lap.depth_a_mm, lap.depth_b_mm) == pytest.approx((half, half), abs=1e-6)
        # The ribs are open inwards, the rings outwards.
        assert lap.mouth_a[0] == pytest.approx(inner[j], abs=1e-6)
        assert math.hypot(*lap.mouth_b) == pytest.approx(outer[j], abs=1e-6)


def test_every_rib_gets_the_same_slots(laps):
    for j in (0, 1):
        first = laps[2, j].cut_a.polygon()
        for i in range(3, 8):
            assert laps[i, j].cut_a.polygon().symmetric_difference(first).area < 1e-6


def test_slotted_parts_hang_together_and_keep_their_arcs(slotted):
    assert [len(p.profile.holes) for p in slotted] == [1, 1] + 6 * [0]
    assert slotted[0].profile.count(Arc) >= 7
    assert all(p.profile.count(Line) == 3 * 6 for p in slotted[:2])
    assert all(p.profile.count(Arc) >= 2 for p in slotted[2:])


def test_manifold_finds_no_interference_in_the_assembled_cradle(whole, slotted):
    raw = (solid(whole[0]) ^ solid(whole[2])).volume()
    assert raw == pytest.approx(interference(whole[0], whole[2]).volume_mm3, rel=1e-4)
    solids = [solid(part) for part in slotted]
    for i in range(8):
        for j in range(i):
            assert abs((solids[i] ^ solids[j]).volume()) < 1e-3
            assert interference(slotted[i], slotted[j]).volume_mm3 < 1e-6


def test_every_part_clears_the_globe_by_what_was_drawn(slotted, globe):
    gaps = [clearance(p, globe.vertices, globe.faces).gap_mm for p in slotted]
    # Upper ring: half of 175.5, less √(100² - 48.55²) = 87.4237 at its upper face.
    assert gaps[0] == pytest.approx(87.75 - 87.4237, abs=2e-3)
    # Lower ring: half of 42.6 less the neck's 21.
    assert gaps[1] == pytest.approx(0.3, abs=1e-3)
    # Ribs: 3 mm off the ball; square to its radius the sheet's faces are no nearer.
    assert gaps[2:] == pytest.approx([3.0] * 6, abs=3e-3)


def test_bores_follow_from_the_globe(globe):
    axis = find_axis(globe.vertices, globe.faces)
    assert axis.direction == pytest.approx((0, 0, 1), abs=1e-6)
    assert axis.point[:2] == pytest.approx((0, 0), abs=1e-4)
    bores = [
        fixture_circle(globe.vertices, globe.faces, lie_across_axis(z), 2.9, axis).bore_mm(0.3)
        for z in (UPPER, LOWER)
    ]
    assert bores == pytest.approx([2 * (87.4237 + 0.3), 42.6], abs=2e-3)


def test_ribs_go_in_last_pushed_straight_inwards(slotted):
    order = assembly_order(slotted)
    assert order.can_be_built
    assert order.overlapping == ()
    assert sorted(p for s in order.steps for p in s.parts) == list(range(8))
    ribs = [s for s in order.steps if s.parts[0] >= 2]
    assert order.steps[-6:] == tuple(ribs)
    for step in ribs:
        azimuth = (step.parts[0] - 2) * math.pi / 3
        assert step.direction == pytest.approx(
            (-math.cos(azimuth), -math.sin(azimuth), 0), abs=1e-9
        )
