"""Strips that bend: in one piece, bridged in every row, to the radius the formula states."""

import math
import random

import numpy as np
import pytest
import shapely
from shapely import LineString

from geometry.assembly import Part, apply_cuts
from geometry.assembly.joints import ButtRule, butt_joint
from geometry.errors import PartError
from geometry.files import LaidSheet, sheet_drawings, write_dxf, write_svg
from geometry.outline import Arc, Line, Loop, Profile, circle, rectangle, subtract
from geometry.part import BendRule, Mark, Stock, Strip, bend_strip, perforated, readiness
from geometry.part.bending import torsion_ratio


def lines(length, width):
    return (
        Line((-length / 2, -width / 2), (-length / 2, width / 2)),
        Line((length / 2, width / 2), (length / 2, -width / 2)),
    )


def cut(profile, bend, kerf):
    """What a beam of the kerf's width leaves of the part, by shapely alone."""
    slits = [LineString([s.start, s.end]).buffer(kerf / 2, cap_style="flat") for (s,) in bend.slits]
    return shapely.difference(profile.polygon(1e-3), shapely.union_all(slits))


def test_a_bent_strip_stays_in_one_piece_and_every_row_has_its_bridges():
    rng = random.Random(1)
    for _ in range(20):
        length, width = rng.uniform(25, 90), rng.uniform(40, 200)
        thickness, kerf = rng.uniform(1.5, 6.0), rng.uniform(0.1, 0.3)
        part = rectangle(length + 60, width)
        rule = BendRule(rng.uniform(0.5, 3.0), rng.choice([0.0, 2.0]))
        first, last = lines(length, width)
        try:
            bend = bend_strip(part, first, last, thickness, kerf, rule)
        except PartError:
            assert width < 120.0
            continue
        left = cut(part, bend, kerf)
        assert left.geom_type == "Polygon"
        # Straight through each row no more is left than its bridges, each as wide as asked.
        xs = sorted({round(s.start[0], 6) for (s,) in bend.slits})
        assert len(xs) == bend.rows
        for x in xs:
            row = LineString([(x, -width), (x, width)]).intersection(left)
            widths = [piece.length for piece in shapely.get_parts(row)]
            assert min(widths) == pytest.approx(bend.bridge_mm, abs=1e-6)
            assert max(widths) == pytest.approx(bend.bridge_mm, abs=1e-6)


def test_radius_is_length_by_angle_and_the_least_is_what_kerf_or_strain_allow():
    # 60 mm bent by 90°: r = 60 / (π / 2) = 38.2 mm.
    part, (first, last) = rectangle(120, 100), lines(60, 100)
    bend = bend_strip(part, first, last, 3.0, 0.2, BendRule())
    assert bend.radius_mm == pytest.approx(60.0 / (math.pi / 2.0))
    assert not bend.is_too_tight
    # A slit of 0.2 mm in 3 mm closes at 2 arctan(0.2 / 3) = 7.63°; nothing bends further a row.
    spacing = 60.0 / bend.rows
    assert bend.least_radius_mm >= spacing / (2.0 * math.atan(0.2 / 3.0)) - 1e-9
    tight = bend_strip(part, *lines(12, 100), 3.0, 0.2, BendRule(math.pi))
    assert tight.radius_mm == pytest.approx(12.0 / math.pi)
    assert tight.is_too_tight
    # Material that bears no more needs longer slits for the same bend.
    stiff = bend_strip(part, first, last, 3.0, 0.2, BendRule(strain=0.005))
    assert stiff.slit_mm > bend.slit_mm


def test_torsion_agrees_with_saint_venants_series():
    # τ = G φ' b (1 - 8/π² Σ 1 / (n² cosh(n π a / 2 b))), n odd, at the middle of the longer side:
    # Timoshenko and Goodier, Theory of Elasticity; from memory.
    odd = np.arange(1.0, 60.0, 2.0)
    for ratio in (1.0, 1.5, 2.0, 3.0, 5.0, 10.0):
        inner = np.minimum(odd * math.pi * ratio / 2.0, 700.0)
        stress = 1.0 - 8.0 / math.pi**2 * (1.0 / (odd**2 * np.cosh(inner))).sum()
        assert torsion_ratio(ratio, 1.0) == pytest.approx(1.0 / stress, rel=0.01)


def test_slits_end_in_holes_and_at_slanting_edges():
    trapeze = Profile(Loop.through([(-60, -40), (60, -60), (60, 60), (-60, 40)]))
    part = subtract(trapeze, circle(20, (0.0, 0.0)))
    bend = bend_strip(part, *lines(50, 60), 2.0, 0.2, BendRule(1.0))
    left = cut(part, bend, 0.2)
    assert left.geom_type == "Polygon"
    grown = part.polygon().buffer(0.21)
    assert all(LineString([s.start, s.end]).within(grown) for (s,) in bend.slits)


@pytest.mark.parametrize(
    ("first", "last", "rule", "words"),
    [
        (Line((0, 0), (0, 50)), Line((30, 0), (35, 50)), BendRule(), "not parallel"),
        (Line((0, 0), (0, 50)), Line((0, 10), (0, 40)), BendRule(), "on each other"),
        (Line((0, 0), (0, 50)), Line((30, 0), (30, 50)), BendRule(0.0), "more than 0°"),
        (Line((0, 0), (0, 50)), Line((30, 0), (30, 50)), BendRule(bridge_mm=40.0), "too narrow"),
        (Line((0, 0), (0, 50)), Line((30, 0), (30, 50)), BendRule(strain=math.nan), "numbers"),
    ],
)
def test_what_bounds_no_strip_is_refused(first, last, rule, words):
    with pytest.raises(PartError, match=words):
        bend_strip(rectangle(100, 60), first, last, 3.0, 0.2, rule)


def test_a_fold_is_cut_in_dashes_that_leave_both_ends():
    chain = (Line((0, 0), (60, 0)), Arc((60, 20), 20.0, -math.pi / 2, math.pi / 2))
    whole = sum(s.length_mm for s in chain)
    dashes = perforated(chain, 1.5)
    done = sum(s.length_mm for dash in dashes for s in dash)
    assert done == pytest.approx(whole - 3.0 * (len(dashes) + 1), abs=0.1)
    assert dashes[0][0].start == pytest.approx((3.0, 0.0))


def test_slits_are_saved_as_open_cuts_and_read_back(tmp_path):
    part = rectangle(120, 100, (100, 80))
    first, last = Line((70, 30), (70, 130)), Line((130, 130), (130, 30))
    bend = bend_strip(part, first, last, 3.0, 0.2, BendRule())
    marks = tuple(Mark(slit, "cut") for slit in bend.slits)
    stock = Stock("s", 3.0, 0.2, sheet_mm=(300.0, 200.0))
    (drawn,) = sheet_drawings(LaidSheet("s", stock, (part,), ("p",), False, marks), title="t")
    assert drawn.counts == {"inside": len(bend.slits), "outside": 1}
    write_dxf(tmp_path / "a.dxf", drawn)
    write_svg(tmp_path / "a.svg", drawn)


def test_before_cutting_a_bend_is_looked_at_for_the_sheet_as_it_is_now():
    part, (first, last) = rectangle(120, 100), lines(60, 100)
    bend = bend_strip(part, first, last, 3.0, 0.2, BendRule())
    strip = Strip(first, last, BendRule(), len(bend.slits))

    def told(strip, thickness=3.0, profile=part):
        stock = Stock("s", thickness, 0.2, sheet_mm=(300.0, 200.0))
        found = readiness([profile], stock, bends=[strip])
        return [one.sentence for one in found if one.rule == "bend"]

    assert told(strip) == []
    (otherwise,) = told(strip, 5.0)
    assert "another outline, thickness or kerf" in otherwise
    (gone,) = told(strip, profile=rectangle(120, 6))
    assert "no longer be slit" in gone
    short = lines(12, 100)
    slits = len(bend_strip(part, *short, 3.0, 0.2, BendRule(math.pi)).slits)
    (tight,) = told(Strip(*short, BendRule(math.pi), slits))
    # 12 mm bent by 180°: r = 12 / π = 3.8 mm.
    assert "radius of 3.8 mm" in tight


def test_bores_for_screws_are_looked_at_before_cutting_as_every_other_hole():
    upright, other = np.eye(4), np.eye(4)
    upright[:3, :3] = [[1, 0, 0], [0, 0, -1], [0, 1, 0]]
    upright[2, 3] = 39.0
    thick = Stock("Board", 18.0, 0.2, sheet_mm=(600.0, 400.0))
    floor = Part(rectangle(200, 120), thick, other, "Floor")
    wall = Part(rectangle(160, 60), thick, upright, "Wall")
    joint = butt_joint(floor, wall, rule=ButtRule("nut", 4.0))
    bored = [apply_cuts(floor, joint.cuts_over), apply_cuts(wall, joint.cuts_under)]
    holes, pockets = (readiness([part.profile], thick) for part in bored)
    # ISO 273: 4.5 mm for M4, in a sheet of 18.
    assert {f.rule for f in holes} == {"small hole"}
    assert len(holes) == len(joint.holes)
    assert all("4.50 mm wide" in f.sentence for f in holes)
    # The nut's pocket leaves less than the sheet is thick towards the edge.
    assert "thin web" in {f.rule for f in pockets}
