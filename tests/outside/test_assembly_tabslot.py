"""Tab and slot against manifold3d's solids, and the widths against printed trigonometry."""

import math

import manifold3d
import numpy as np
import pytest

from geometry.assembly import Part, apply_cuts, turn_about_axis
from geometry.assembly.joints.cuts import apply_tabs
from geometry.assembly.joints.tabslot import tab_slot
from geometry.outline import rectangle
from geometry.part import Stock

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
    found = tab_slot(wall, base)
    assert found.slot_width_mm == pytest.approx(width, abs=6e-7)
    assert found.tab_depth_mm == pytest.approx(tab, abs=6e-7)
    cut_base = solid(apply_cuts(base, found.slots))
    cut_wall = solid(apply_tabs(apply_cuts(wall, found.shoulders), found.tabs))
    assert (cut_base ^ cut_wall).volume() < 1e-4
    # They touch: a hundredth of a mm nearer and they bite.
    pushed = cut_wall.translate((0.0, 0.0, -0.01 * math.sin(math.radians(degrees))))
    assert (cut_base ^ pushed).volume() > 1e-3
    # A slot a twentieth of a mm narrower bites, so the width is not merely safe.
    tight = tab_slot(wall, base, -0.05)
    assert (solid(apply_cuts(base, tight.slots)) ^ cut_wall).volume() > 1e-2
