"""Tab and slot against manifold3d's solids, and the widths against printed trigonometry."""

import math

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import Part, apply_cuts, turn_about_axis
from geometry.assembly.joints.cuts import apply_tabs
from geometry.assembly.joints.tabslot import TabRule, tab_slot
from geometry.outline import rectangle
from geometry.part import Stock, relieve_corners

pytestmark = pytest.mark.outside

# Width of a slot cut square to sheet 1 for sheet 2, t2 / sin θ + t1 |cot θ|, and length of the
# tab through sheet 1, t1 / sin θ: elementary trigonometry, worked by hand. (t1, t2, θ, width, tab)
TABLE = [
    (3, 3, 90, 3.0, 3.0),
    (3, 3, 60, 5.196152, 3.464102),
    (3, 3, 45, 7.242641, 4.242641),
    (3, 6, 60, 8.660254, 3.464102),
    (4, 3, 30, 12.928203, 8.0),
    (6, 3, 120, 6.928203, 6.928203),
]


def solid(part):
    """The part as manifold3d's own extrusion."""
    polygon = part.profile.polygon(1e-3)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    t = part.stock.thickness_mm
    return manifold3d.Manifold.extrude(flat, t).translate((0, 0, -t / 2)).transform(part.pose[:3])


def meeting(t1, t2, degrees):
    """A base t1 thick, and a wall t2 thick drawn to its mid-plane, to be ended at the face."""
    base = Part(rectangle(160.0, 140.0), Stock("base", t1, 0.1), np.eye(4))
    pose = turn_about_axis((0, 0, 0), (1, 0, 0), math.radians(degrees))
    return base, Part(rectangle(120.0, 60.0, (0.0, 30.0)), Stock("wall", t2, 0.1), pose)


@pytest.mark.parametrize(("t1", "t2", "degrees", "width", "tab"), TABLE)
def test_slots_and_tabs_are_the_table_s_and_manifold_finds_them_fitting(
    t1, t2, degrees, width, tab
):
    base, wall = meeting(t1, t2, degrees)
    wide = TabRule(ends="wide")
    found = tab_slot(wall, base, rule=wide)
    assert found.slot_width_mm == pytest.approx(width, abs=6e-7)
    assert found.tab_depth_mm == pytest.approx(tab, abs=6e-7)
    cut_base = solid(apply_cuts(base, found.slots))
    cut_wall = solid(apply_tabs(apply_cuts(wall, found.shoulders), found.tabs))
    assert (cut_base ^ cut_wall).volume() < 1e-4
    # They touch: a hundredth of a mm nearer and they bite.
    pushed = cut_wall.translate((0.0, 0.0, -0.01 * math.sin(math.radians(degrees))))
    assert (cut_base ^ pushed).volume() > 1e-3
    # A slot a twentieth of a mm narrower bites, so the width is not merely safe.
    tight = tab_slot(wall, base, -0.05, rule=wide)
    assert (solid(apply_cuts(base, tight.slots)) ^ cut_wall).volume() > 1e-2


# The widest the square end of a tab t2 thick lies in a sheet t1 thick, seen square to that sheet:
# t1 / tan θ + t2 sin θ, but t2 / sin θ at least. Worked by hand. (t1, t2, θ, width)
ENDING = [
    (3, 3, 90, 3.0),
    (3, 3, 60, 4.330127),
    (3, 3, 45, 5.121320),
    (3, 3, 30, 6.696152),
    (3, 6, 60, 6.928203),
    (4, 3, 30, 8.428203),
    (6, 3, 120, 6.062178),
    (3, 6, 30, 12.0),
]


@pytest.mark.parametrize(("t1", "t2", "degrees", "width"), ENDING)
def test_slots_are_as_wide_as_the_end_s_shadow(t1, t2, degrees, width):
    base, wall = meeting(t1, t2, degrees)
    assert tab_slot(wall, base).slot_width_mm == pytest.approx(width, abs=6e-7)


PLAY_MM = 0.15
"""What may be left between a tab and its slot."""


def joined(base, wall, clearance=0.0, ends="fitted"):
    found = tab_slot(wall, base, clearance, rule=TabRule(ends=ends))
    cut_wall = apply_tabs(apply_cuts(wall, found.shoulders), found.tabs)
    return solid(apply_cuts(base, found.slots)), solid(cut_wall), found


def bites(base, wall, across):
    return (base ^ wall.translate((0.0, across, 0.0))).volume() > 1e-3


@settings(max_examples=60, deadline=None)
@given(
    st.floats(30.0, 150.0),
    st.floats(2.0, 12.0),
    st.floats(2.0, 12.0),
    st.booleans(),
    st.sampled_from(["fitted", "through"]),
)
def test_tabs_at_any_angle_fit_without_overlap_and_without_play(t, t1, t2, below, ends):
    base, wall = meeting(t1, t2, t)
    if below:
        turn = turn_about_axis((0, 0, 0), (1, 0, 0), math.pi)
        wall = Part(wall.profile, wall.stock, turn @ wall.pose)
    base_solid, wall_solid, found = joined(base, wall, ends=ends)
    assert (base_solid ^ wall_solid).volume() < 1e-4
    # It bites where it is moved across by more than it may play, one way or the other; a sheet so
    # thin that only a wedge of the end lies in it plays, and that is told.
    play = found.play_mm + PLAY_MM
    assert found.play_mm < 1e-9 or t1 < t2 * abs(math.cos(math.radians(t)))
    assert bites(base_solid, wall_solid, play)
    assert bites(base_solid, wall_solid, -play)
    assert not bites(base_solid, wall_solid, 0.0)
    # Free on the way in, along the tab.
    out = wall.pose[:3, 1]
    for away in np.linspace(0.0, 1.2 * found.tab_depth_mm, 13):
        assert (base_solid ^ wall_solid.translate(tuple(away * out))).volume() < 1e-4


def test_tabs_that_go_through_show_their_whole_end_beyond_the_far_face():
    base, wall = meeting(4.0, 3.0, 50.0)
    _, wall_solid, found = joined(base, wall, ends="through")
    # Sawn off flush at the far face, the cut shows the whole sheet, t / sin θ wide, at every tab.
    flush = wall_solid.translate((0.0, 0.0, 2.0)).slice(1e-6)
    tabs = len(found.slots)
    width = 3.0 / math.sin(math.radians(50.0))
    assert flush.area() == pytest.approx(tabs * found.tab_width_mm * width, rel=1e-4)
    assert found.stands_out_mm == pytest.approx(3.0 / math.tan(math.radians(50.0)))


def test_rounded_slots_and_roots_of_a_router_do_not_loosen_them():
    base, wall = meeting(6.0, 6.0, 55.0)
    found = tab_slot(wall, base)
    cut_base = apply_cuts(base, found.slots)
    cut_wall = apply_tabs(apply_cuts(wall, found.shoulders), found.tabs)
    relieved = [
        solid(Part(relieve_corners(part.profile, 2.0), part.stock, part.pose))
        for part in (cut_base, cut_wall)
    ]
    assert (relieved[0] ^ relieved[1]).volume() < 1e-4
    assert bites(*relieved, PLAY_MM)
    assert bites(*relieved, -PLAY_MM)
