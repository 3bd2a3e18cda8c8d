"""Readiness: every rule finds its fault, and is silent just beside it."""

import math
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import Cancelled
from geometry.outline import (
    Arc,
    Loop,
    Profile,
    circle,
    rectangle,
    regular_polygon,
    ring,
    slot,
    subtract,
)
from geometry.part import Lettering, Stock, fit_series, readiness, relieve_corners
from geometry.part.narrow import MOST_RAYS, narrow_places

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))
import globe_cradle

LASER = Stock("birch ply", 3.0, 0.2)
ROUTER = Stock("birch ply", 3.0, 6.0, "router", 6.0)
PLATE = rectangle(60.0, 40.0)


def rules(profiles, stock=LASER, **how):
    return [(f.rule, f.severity) for f in readiness(profiles, stock, **how)]


def test_crossing_stops_and_says_where():
    (finding,) = readiness([Profile(Loop.through([(0, 0), (40, 0), (0, 20), (40, 30)]))], LASER)
    assert (finding.rule, finding.severity) == ("crossing", "stop")
    # Lines (40, 0)-(0, 20) and (40, 30)-(0, 0) meet where 20 - x/2 = 3x/4.
    assert finding.place == (pytest.approx(16.0), pytest.approx(12.0))
    assert "(16.0, 12.0) mm" in finding.sentence


def test_hole_across_the_outline_is_a_crossing_and_one_inside_is_not():
    assert rules([Profile(PLATE.outer, circle(10.0, (28.0, 0.0)).loops)]) == [("crossing", "stop")]
    assert rules([Profile(PLATE.outer, circle(10.0, (21.0, 0.0)).loops)]) == []


@pytest.mark.parametrize(("length", "found"), [(0.09, 1), (0.11, 0)])
def test_short_segments(length, found):
    part = Profile(Loop.through([(0, 0), (40, 0), (40, 20), (20, 20), (20 - length, 20), (0, 20)]))
    findings = readiness([part], LASER)
    assert [f.rule for f in findings] == ["short segment"] * found
    assert all(f.size_mm == pytest.approx(length) for f in findings)


@pytest.mark.parametrize(("web", "found"), [(2.9, 1), (3.0, 0), (3.1, 0)])
def test_web_beside_a_hole(web, found):
    part = subtract(PLATE, circle(10.0, (0.0, 15.0 - web)))
    findings = readiness([part], LASER)
    assert [f.rule for f in findings] == ["thin web"] * found
    for finding in findings:
        assert finding.severity == "caution"
        assert finding.size_mm == pytest.approx(web, abs=0.01)
        assert finding.place == (pytest.approx(0.0, abs=0.3), pytest.approx(20 - web / 2, abs=0.05))


@pytest.mark.parametrize(("gap", "found"), [(2.0, 1), (2.2, 0)])
def test_web_between_the_corners_of_two_holes(gap, found):
    # Corner to corner √2 times the gap: 2.83 and 3.11 mm.
    place = 5.0 + gap / 2.0
    part = subtract(PLATE, rectangle(10.0, 10.0, (place, place)))
    part = subtract(part, rectangle(10.0, 10.0, (-place, -place)))
    findings = readiness([part], LASER)
    assert [f.rule for f in findings] == ["thin web"] * found
    assert all(f.size_mm == pytest.approx(gap * math.sqrt(2.0), abs=1e-6) for f in findings)


@pytest.mark.parametrize(("diameter", "found"), [(2.9, 1), (3.0, 0)])
def test_round_holes_smaller_than_the_thickness(diameter, found):
    findings = readiness([subtract(PLATE, circle(diameter, (7.0, 3.0)))], LASER)
    assert [f.rule for f in findings] == ["small hole"] * found
    for finding in findings:
        assert finding.place == (pytest.approx(7.0), pytest.approx(3.0))
        assert finding.size_mm == pytest.approx(diameter)


def test_square_hole_is_small_by_its_diagonal_and_a_press_slot_is_not():
    assert rules([subtract(PLATE, rectangle(2.1, 2.1))]) == [("small hole", "caution")]
    assert rules([subtract(PLATE, rectangle(2.2, 2.2))]) == []
    assert rules([subtract(PLATE, rectangle(20.0, 2.9))]) == []


@pytest.mark.parametrize(("width", "found"), [(5.9, 1), (6.0, 0), (6.1, 0)])
def test_slots_a_cutter_does_not_enter(width, found):
    for part in (
        subtract(PLATE, slot(30.0, width)),
        subtract(PLATE, slot(60.0, width, (0.0, 20.0), math.pi / 2)),
    ):
        findings = readiness([part], ROUTER)
        assert [(f.rule, f.severity) for f in findings] == [
            ("cutter does not enter", "stop")
        ] * found
        assert all(f.size_mm == pytest.approx(width, abs=0.01) for f in findings)


@pytest.mark.parametrize(("diameter", "found"), [(5.9, 1), (6.0, 0)])
def test_round_holes_a_cutter_does_not_enter(diameter, found):
    findings = readiness([subtract(PLATE, circle(diameter))], ROUTER)
    assert [f.rule for f in findings] == ["cutter does not enter"] * found


def test_triangular_hole_without_room_is_one_finding():
    # Inscribed circle of a regular triangle: half its circumscribed one.
    part = subtract(PLATE, regular_polygon(3, 11.0))
    (finding,) = readiness([part], ROUTER)
    assert finding.rule == "cutter does not enter"
    assert finding.size_mm == pytest.approx(5.5, abs=0.01)


def test_sharp_inside_corners_are_named_with_what_is_left_and_relief_cures_them():
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))
    findings = readiness([pocket], ROUTER)
    assert [(f.rule, f.severity) for f in findings] == [("corner not reached", "caution")] * 4
    # r (√2 - 1), elementary, for a cutter of 6 mm.
    assert all(f.size_mm == pytest.approx(1.242641, abs=0.003) for f in findings)
    assert {(round(f.place[0]), round(f.place[1])) for f in findings} == {
        (x, y) for x in (-30, 30) for y in (-20, 20)
    }
    for style in ("corner", "wall"):
        assert rules([relieve_corners(pocket, 6.0, style=style)], ROUTER) == []
    assert rules([pocket], LASER) == []


@pytest.mark.parametrize(("radius", "found"), [(2.8, 4), (3.0, 0)])
def test_inside_radii_below_the_cutters(radius, found):
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0, (0.0, 0.0), radius))
    assert rules([pocket], ROUTER) == [("corner not reached", "caution")] * found


@pytest.mark.parametrize(("width", "found"), [(599.9, 1), (599.7, 0)])
def test_sheet_is_large_enough_with_the_kerf(width, found):
    findings = readiness([rectangle(width, 390.0)], LASER)
    assert [(f.rule, f.severity) for f in findings] == [("larger than the sheet", "stop")] * found
    assert all(f.size_mm == pytest.approx(width + 0.2 - 600.0, abs=1e-6) for f in findings)


def test_part_that_fits_turned_is_not_too_large():
    assert rules([rectangle(390.0, 590.0)]) == []
    # A strip of 660 × 10 lies along the diagonal of 721 mm.
    assert rules([rectangle(660.0, 10.0)]) == []
    assert rules([rectangle(730.0, 10.0)]) == [("larger than the sheet", "stop")]


def test_duplicates_and_overlaps_stop_and_neighbours_do_not():
    assert rules([PLATE, PLATE]) == [("duplicate", "stop")]
    assert rules([PLATE, PLATE.moved(59.9, 0.0)]) == [("overlap", "stop")]
    assert rules([PLATE, PLATE.moved(60.2, 0.0)]) == []
    assert rules([ring(60.0, 40.0), circle(39.0)]) == []
    assert rules([PLATE, PLATE], together=False) == []
    assert readiness([circle(9.0, (90.0, 0.0)), PLATE, PLATE], LASER)[0].subject.numbers == (2,)


def test_neighbours_that_share_an_edge_would_cut_it_twice():
    beside = PLATE.moved(60.0, 10.0)
    (finding,) = readiness([PLATE, beside], LASER)
    assert (finding.rule, finding.severity) == ("duplicate line", "caution")
    # Edges of 40 mm, shifted by 10: 30 mm in common, their middle at x = 30, y = 5.
    assert finding.size_mm == pytest.approx(30.0)
    assert finding.place == (pytest.approx(30.0), pytest.approx(5.0))
    assert rules([PLATE, PLATE.moved(60.0, 39.95)]) == []
    assert rules([PLATE, PLATE.moved(60.002, 10.0)]) == []
    assert rules([PLATE, beside], together=False) == []


def test_line_drawn_there_and_back_or_a_hole_drawn_twice_is_doubled():
    # A cut drawn as a line into the part and the same way back.
    spike = [(-30, -20), (30, -20), (30, 0), (10, 0), (30, 0), (30, 20), (-30, 20)]
    (finding,) = readiness([Profile(Loop.through(spike))], LASER)
    assert (finding.rule, finding.severity) == ("duplicate line", "stop")
    assert finding.size_mm == pytest.approx(20.0)
    assert finding.place == (pytest.approx(20.0), pytest.approx(0.0))
    hole = circle(12.0).loops
    assert rules([Profile(PLATE.outer, hole * 2)]) == [("duplicate line", "stop")]
    # A notch of 0.4 mm is no doubled line.
    notch = [(-30, -20), (30, -20), (30, -0.2), (10, -0.2), (10, 0.2), (30, 0.2), (30, 20)]
    assert rules([Profile(Loop.through([*notch, (-30, 20)]))]) == []


def test_loop_within_a_hole_is_an_island_and_one_beside_it_is_not():
    outer, inner = circle(30.0).loops, circle(12.0).loops
    (finding,) = readiness([Profile(PLATE.outer, outer + inner)], LASER)
    assert (finding.rule, finding.severity) == ("island", "stop")
    assert finding.size_mm == pytest.approx(12.0, abs=0.01)
    assert math.hypot(*finding.place) < 6.0
    assert rules([Profile(PLATE.outer, (*outer, *circle(6.0, (22.0, 0.0)).loops))]) == []


@pytest.mark.parametrize(("width", "found"), [(0.19, 1), (0.21, 0)])
def test_openings_that_the_kerf_fills(width, found):
    part = subtract(PLATE, rectangle(width, 20.0, (0.0, 20.0)))
    lost = [f for f in readiness([part], LASER) if f.rule == "lost to the kerf"]
    assert [f.severity for f in lost] == ["stop"] * found
    assert all(f.size_mm == pytest.approx(width, abs=0.01) for f in lost)
    assert all(f.place == (pytest.approx(0.0, abs=0.1), pytest.approx(15.0, abs=6)) for f in lost)


@pytest.mark.parametrize(("web", "severity"), [(0.19, "stop"), (0.21, "caution")])
def test_web_thinner_than_the_kerf_stops(web, severity):
    part = subtract(PLATE, circle(10.0, (0.0, 15.0 - web)))
    assert rules([part]) == [("thin web", severity)]


@pytest.mark.parametrize(("height", "found"), [(1.99, 1), (2.0, 0)])
def test_lettering_too_small_to_read(height, found):
    label = Lettering("3.05", height, (5.0, 6.0), 0)
    findings = readiness([PLATE], LASER, lettering=[label])
    assert [(f.rule, f.severity) for f in findings] == [("small lettering", "caution")] * found
    assert all((f.place, f.size_mm) == ((5.0, 6.0), height) for f in findings)


@pytest.mark.parametrize(("height", "found"), [(35.9, 1), (36.0, 0)])
def test_lettering_must_be_larger_for_a_wide_cutter(height, found):
    label = Lettering("3", height, (0.0, 0.0))
    wide = Stock("board", 3.0, 6.0, "router", 6.0)
    assert rules([PLATE], wide, lettering=[label]) == [("small lettering", "caution")] * found


def test_parts_not_rebuilt_since_a_change_stop():
    (finding,) = readiness([PLATE, PLATE.moved(90.0, 0.0)], LASER, not_rebuilt={1})
    assert (finding.rule, finding.severity, finding.subject.numbers) == (
        "not rebuilt",
        "stop",
        (1,),
    )
    assert finding.place == (pytest.approx(90.0), pytest.approx(0.0))
    assert rules([PLATE, PLATE.moved(90.0, 0.0)]) == []


def test_every_sentence_names_its_place_and_what_to_do():
    parts = [
        subtract(PLATE, circle(2.0)),
        subtract(PLATE, circle(10.0, (0.0, 13.0))),
        rectangle(900.0, 10.0),
        Profile(PLATE.outer, circle(30.0).loops + circle(12.0).loops),
    ]
    findings = readiness(parts, LASER, together=False, not_rebuilt={0})
    assert len({f.rule for f in findings}) == 5
    for finding in findings:
        assert f"({finding.place[0]:.1f}, {finding.place[1]:.1f}) mm" in finding.sentence
        assert finding.sentence.count(".") >= 2


def test_an_endless_edge_is_looked_at_in_so_many_places_and_no_more():
    edge = np.array([(0.0, 0.0), (1e9, 0.0), (1e9, 1.0), (0.0, 1.0)])
    assert len(narrow_places([edge], 3.0)) <= 2 * MOST_RAYS


def test_stops_come_first():
    found = rules([subtract(PLATE, circle(2.0)), rectangle(900.0, 10.0, (0.0, 90.0))])
    assert found == [("larger than the sheet", "stop"), ("small hole", "caution")]


def test_sane_parts_are_ready():
    parts = [globe_cradle.rib(), ring(228.0, 175.4), slot(60.0, 10.0), regular_polygon(6, 30.0)]
    parts += [rectangle(60.0, 40.0, (0.0, 0.0), r) for r in (0.5, 3.0, 20.0)]
    parts += [
        p.profile for f in ("ring bore", "slot", "tab") for p in fit_series(8, 0.1, 3, feature=f)
    ]
    parts.append(Profile(Loop.through([(0, 0), (60, 0), (0, 35)])))
    assert rules(parts, LASER, together=False) == []


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 8.0), st.floats(0.0, 6.3), st.floats(-15.0, 15.0))
def test_web_between_two_holes_anywhere(web, turn, shift):
    # Two discs of 8 mm, centres 8 + web apart; nothing else is near.
    away = 4.0 + web / 2.0
    shape = subtract(rectangle(120.0, 90.0), circle(8.0, (away, 0.0)))
    part = subtract(shape, circle(8.0, (-away, 0.0))).rotated(turn).moved(shift, 2.0 * shift)
    findings = readiness([part], LASER)
    if web < 2.98:
        (finding,) = findings
        assert finding.size_mm == pytest.approx(web, abs=0.03)
        assert shapely.Point(finding.place).distance(shapely.Point(shift, 2.0 * shift)) < 0.6
    elif web > 3.0:
        assert findings == ()


def test_long_checks_can_be_stopped():
    def stop(fraction, message):
        raise Cancelled

    with pytest.raises(Cancelled):
        readiness([PLATE], LASER, progress=stop)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.floats(30.0, 50.0), min_size=5, max_size=12),
    st.floats(0.0, 6.3),
    st.sampled_from(["laser", "knife"]),
)
def test_broad_parts_of_any_shape_raise_no_alarm(radii, turn, process):
    # Stars whose corners are blunt and far from each other, sharp and with rounded corners.
    count = len(radii)
    places = [
        (r * math.cos(2.0 * math.pi * i / count), r * math.sin(2.0 * math.pi * i / count))
        for i, r in enumerate(radii)
    ]
    drawn = Profile(Loop.through(places), circle(12.0).loops).rotated(turn)
    bent = [Arc.from_bulge(a, b, 0.2) for a, b in zip(places, places[1:] + places[:1], strict=True)]
    round_sided = Profile(Loop(bent), slot(20.0, 6.0).loops).rotated(turn)
    stock = Stock("ply", 2.7, 0.2, process)
    assert readiness([drawn, round_sided.moved(150.0, 0.0)], stock) == ()


@pytest.mark.parametrize(
    ("degrees", "kerf", "missing"),
    [
        # r (1 / sin(a / 2) - 1): 0.1 (1 / sin 0.5° - 1) = 11.359; 0.1 (1 / sin 2° - 1) = 2.765;
        # 0.05 (1 / sin 0.5° - 1) = 5.680.
        (1.0, 0.2, 11.359),
        (4.0, 0.2, 2.765),
        (1.0, 0.1, 5.680),
        # 0.1 (1 / sin 10° - 1) = 0.476 and 0.1 (√2 - 1) = 0.041: nobody misses that.
        (20.0, 0.2, None),
        (90.0, 0.2, None),
        (1.0, 0.0, None),
    ],
)
def test_pointed_notches_that_come_out_less_deep(degrees, kerf, missing):
    half = 25.0 * math.tan(math.radians(degrees / 2.0))
    plate = Profile(
        Loop.through([(-80, -30), (80, -30), (80, 0), (half, 0), (0, -25), (-half, 0), (-80, 0)])
    )
    found = [f for f in readiness([plate], Stock("ply", 3.0, kerf)) if f.rule == "shallow notch"]
    if missing is None:
        assert found == []
        return
    (notch,) = found
    assert notch.severity == "caution"
    assert notch.place == (0.0, -25.0)
    assert notch.size_mm == pytest.approx(missing, abs=0.01)
    assert f"{missing:.1f} mm less deep" in notch.sentence
    # What a round spot on the corrected path leaves standing, by the library's own buffers.
    spot = plate.polygon().buffer(kerf / 2.0, quad_segs=64).buffer(-kerf / 2.0, quad_segs=64)
    cut = shapely.box(-1.0, -26.0, 1.0, 0.0).difference(spot)
    assert cut.bounds[1] + 25.0 == pytest.approx(missing, rel=0.05)
