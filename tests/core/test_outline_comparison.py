"""Cut parts compared with their drawings: what a wrong machine did is found, within its ±.

What came out is made by shapely alone: an offset of the drawn polygon, stretched, turned, moved,
and unsettled the way a trace is, alike over stretches of a centimetre or two.
"""

import math

import numpy as np
import pytest
import shapely
from scipy import stats

from geometry.bench import Bench, BenchReport
from geometry.errors import OutlineError
from geometry.outline import Profile, ReadEdge, circle, rectangle, ring, slot, subtract
from geometry.outline.comparison import MachinePrior, compare
from geometry.outline.comparison.estimate import student
from tests.core.part_pictures import camera_over

PLATE = subtract(
    subtract(rectangle(200.0, 120.0, corner_radius_mm=6.0), circle(40.0, (-55.0, 10.0))),
    slot(70.0, 20.0, (45.0, -15.0)),
)
KERF_MM, CORRECTED_MM = 0.30, 0.20


def as_cut(drawn, *, kerf_mm=KERF_MM, x=0.0, y=0.003, shear=0.0, turn=0.0, at=(0.0, 0.0)):
    """Polygon of what a machine leaves of a drawing, where it lies on the bench."""
    shape = drawn.polygon(0.002).buffer((CORRECTED_MM - kerf_mm) / 2.0, join_style="mitre")
    machine = np.array([[1.0 + x, shear], [0.0, 1.0 + y]])
    c, s = math.cos(turn), math.sin(turn)
    matrix = np.array([[c, -s], [s, c]]) @ machine
    return shapely.transform(shape, lambda p: p @ matrix.T + at)


def unsettled(shape, sigma_mm, rng):
    """The polygon with its edges off as a trace's are: alike over 12 to 24 mm of them."""

    def ring_of(line):
        line = shapely.segmentize(line, 1.0)
        points = shapely.get_coordinates(line)[:-1]
        along = np.arange(len(points)) / len(points)
        waves = max(int(line.length / 24.0), 2)
        off = np.zeros(len(points))
        for k in range(max(waves // 2, 1), waves + 1):
            off += rng.normal() * np.cos(2.0 * math.pi * (k * along + rng.random()))
        off *= sigma_mm / max(off.std(), 1e-12)
        tangent = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
        tangent /= np.hypot(*tangent.T)[:, None]
        return points + off[:, None] * np.column_stack((tangent[:, 1], -tangent[:, 0]))

    return shapely.Polygon(ring_of(shape.exterior), [ring_of(h) for h in shape.interiors])


def traced(shape):
    return Profile.from_polygon(shape, 0.01)


@pytest.mark.parametrize(
    "wrong",
    [
        {"y": 0.003},
        {"x": -0.002, "y": 0.001, "turn": 2.0, "at": (300.0, -40.0)},
        {"y": 0.0, "shear": 0.002, "turn": -1.1},
        {"kerf_mm": 0.12, "y": -0.003, "turn": 0.4},
    ],
)
def test_a_machine_and_its_kerf_are_told_apart(wrong):
    found = compare(traced(as_cut(PLATE, **wrong)), PLATE, corrected_kerf_mm=CORRECTED_MM)
    asked = {"kerf_mm": KERF_MM, "x": 0.0, "y": 0.003, "shear": 0.0, **wrong}
    assert found.kerf_mm.value == pytest.approx(asked["kerf_mm"], abs=0.004)
    assert found.scale_x.value == pytest.approx(asked["x"], abs=3e-5)
    assert found.scale_y.value == pytest.approx(asked["y"], abs=3e-5)
    ratio = (1.0 + asked["y"]) / (1.0 + asked["x"]) - 1.0
    assert found.y_against_x.value == pytest.approx(ratio, abs=3e-5)
    assert found.shear.value == pytest.approx(asked["shear"], abs=3e-5)
    assert found.tells_kerf


def test_the_axes_are_those_of_the_machine_as_the_part_lay_on_it():
    # Cut turned by 90°: what the machine draws too long along its y is the drawing's x.
    turn = math.pi / 2.0
    sheet = PLATE.rotated(turn)
    shape = as_cut(sheet, y=0.003)
    found = compare(traced(shape), PLATE, corrected_kerf_mm=CORRECTED_MM, turn_rad=-turn)
    assert found.y_against_x.value == pytest.approx(0.003, abs=3e-5)
    plain = compare(traced(shape), PLATE, corrected_kerf_mm=CORRECTED_MM)
    assert plain.y_against_x.value == pytest.approx(-0.003, abs=4e-5)


def test_the_stated_doubt_holds_in_95_of_100(request):
    """At least 10 of 12 for each value: fewer are 2 % likely; with --long 20 of 24, 0.6 %.

    By the binomial distribution (scipy).
    """
    trials, least = (24, 20) if request.config.getoption("--long") else (12, 10)
    rng = np.random.default_rng(5)
    held = np.zeros(3, dtype=int)
    doubts = []
    for _ in range(trials):
        y, kerf = rng.uniform(-0.003, 0.003), rng.uniform(0.1, 0.4)
        shape = as_cut(PLATE, y=y, kerf_mm=kerf, turn=rng.uniform(0.0, 6.28))
        found = compare(traced(unsettled(shape, 0.01, rng)), PLATE, corrected_kerf_mm=CORRECTED_MM)
        truths = (kerf, y, 0.0)
        values = (found.kerf_mm, found.y_against_x, found.shear)
        held += [abs(v.value - t) <= v.doubt for v, t in zip(values, truths, strict=True)]
        doubts.append([v.doubt for v in values])
    assert (held >= least).all(), held
    usual = np.median(doubts, axis=0)
    assert usual[0] <= 0.05
    assert usual[1] <= 0.0005


def test_a_benchs_own_doubt_goes_into_the_scale_and_hardly_into_the_kerf():
    camera = camera_over((2400, 1700), 10.0, tilt_deg=5.0).camera
    sure = Bench((2400, 1700), camera, BenchReport(mm_per_px=0.1))
    doubtful = Bench((2400, 1700), camera, BenchReport(mm_per_px=0.1), scale_sigma=0.001)
    shape = traced(as_cut(PLATE))
    one, two = (
        compare(shape, PLATE, corrected_kerf_mm=CORRECTED_MM, bench=bench)
        for bench in (sure, doubtful)
    )
    assert two.scale_x.doubt == pytest.approx(1.96 * 0.001, rel=0.1)
    assert two.scale_x.doubt > 5.0 * one.scale_x.doubt
    # One factor for all is no y against x, and holes and outside tell it from the kerf.
    assert two.y_against_x.doubt == pytest.approx(one.y_against_x.doubt, rel=0.2)
    assert two.kerf_mm.doubt < one.kerf_mm.doubt + 0.01


def read_places(shape, off=None):
    """The polygon's edge every 2 mm, as a trace keeps it; ``off`` moves a place by its normal."""
    found = []
    for line in (shape.exterior, *shape.interiors):
        at = np.arange(0.0, line.length, 2.0)
        here, before, after = (
            shapely.get_coordinates(shapely.line_interpolate_point(line, (at + d) % line.length))
            for d in (0.0, -0.05, 0.05)
        )
        along = after - before
        # Rings of shapely.geometry.polygon.orient run with the material on their left.
        normal = np.column_stack((along[:, 1], -along[:, 0])) / np.hypot(*along.T)[:, None]
        found.append(here if off is None else here + off(normal)[:, None] * normal)
    places = np.vstack(found)
    return ReadEdge(places, np.full(len(places), 0.01), 0.5)


def test_the_edge_is_compared_as_it_was_read_not_as_a_fit_drew_it():
    """A fit makes circles and right angles of what the machine drew 0.3 % too long."""
    fitted, read = traced(as_cut(PLATE, y=0.0)), read_places(as_cut(PLATE))
    told = {"corrected_kerf_mm": CORRECTED_MM}
    assert compare(fitted, PLATE, **told).y_against_x.value == pytest.approx(0.0, abs=1e-4)
    found = compare(fitted, PLATE, read=read, **told)
    assert found.y_against_x.value == pytest.approx(0.003, abs=1e-4)
    assert found.kerf_mm.value == pytest.approx(KERF_MM, abs=0.005)


def test_a_round_part_is_laid_on_by_its_holes():
    """Most of its edge is the rim, which fits at any turn."""
    wheel = subtract(circle(120.0), circle(40.0, (30.0, 0.0)), circle(20.0, (-30.0, 12.0)))
    found = compare(wheel.rotated(2.2).moved(150.0, 90.0), wheel, corrected_kerf_mm=CORRECTED_MM)
    assert found.rms_mm < 0.001
    assert found.kerf_mm.value == pytest.approx(CORRECTED_MM, abs=0.001)


@pytest.mark.parametrize("lit_deg", [0.0, 35.0, 90.0])
def test_edges_seen_too_far_out_one_way_pass_for_no_stretch(lit_deg):
    """0.02 mm at edges that face the light and away from it, as much too far in at the others."""
    camera = camera_over((2400, 1700), 10.0, tilt_deg=5.0).camera
    bench = Bench((2400, 1700), camera, BenchReport(mm_per_px=0.1))
    shape = shapely.geometry.polygon.orient(as_cut(PLATE))
    lit = math.radians(lit_deg)

    def off(normal):
        return 0.02 * np.cos(2.0 * (np.arctan2(normal[:, 1], normal[:, 0]) - lit))

    told = {"corrected_kerf_mm": CORRECTED_MM, "bench": bench}
    found = compare(traced(shape), PLATE, read=read_places(shape, off), **told)
    assert found.y_against_x.value == pytest.approx(0.003, abs=1e-4)
    assert found.y_against_x.doubt <= 0.0005
    assert found.shear.value == pytest.approx(0.0, abs=1e-4)
    assert found.kerf_mm.value == pytest.approx(KERF_MM, abs=0.01)


def test_without_holes_a_disc_tells_no_kerf_and_says_so():
    disc = circle(60.0)
    found = compare(traced(as_cut(disc, y=0.0)), disc, corrected_kerf_mm=CORRECTED_MM)
    assert not found.tells_kerf
    assert found.kerf_mm.doubt > 0.1
    # What is known of the machine tells it: a stretch of 60 mm known to 0.01 %.
    known = MachinePrior(sigma=5e-5)
    found = compare(traced(as_cut(disc, y=0.0)), disc, corrected_kerf_mm=CORRECTED_MM, prior=known)
    assert found.tells_kerf
    assert found.kerf_mm.value == pytest.approx(KERF_MM, abs=found.kerf_mm.doubt)
    wheel = ring(60.0, 30.0)
    found = compare(traced(as_cut(wheel, y=0.0)), wheel, corrected_kerf_mm=CORRECTED_MM)
    assert found.kerf_mm.value == pytest.approx(KERF_MM, abs=0.005)


def test_a_broken_off_corner_does_not_bend_the_rest_and_shows_in_the_map():
    shape = as_cut(PLATE) - shapely.Point(95.0, 55.0).buffer(9.0)
    found = compare(traced(shape), PLATE, corrected_kerf_mm=CORRECTED_MM)
    assert found.kerf_mm.value == pytest.approx(KERF_MM, abs=0.02)
    assert found.y_against_x.value == pytest.approx(0.003, abs=2e-4)
    worst, place = found.worst
    assert worst < -0.5
    assert math.dist(place, (97.0, 57.0)) < 15.0


def test_another_part_is_refused():
    with pytest.raises(OutlineError, match="not of the same part"):
        compare(rectangle(30.0, 20.0), PLATE, corrected_kerf_mm=0.2)


@pytest.mark.parametrize("freedom", [3, 5, 10, 40, 200])
def test_students_quantile_is_that_of_scipy(freedom):
    assert student(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=0.01)


@pytest.mark.parametrize("is_over", [False, True])
def test_a_part_photographed_face_down_is_turned_over_and_told(is_over):
    shape = as_cut(PLATE, y=0.003)
    if is_over:
        shape = shapely.transform(shape, lambda p: p * (-1.0, 1.0))
    turned = shapely.affinity.rotate(shape, 50.0, origin=(0.0, 0.0))
    shape = unsettled(turned, 0.02, np.random.default_rng(3))
    found = compare(traced(shape), PLATE, corrected_kerf_mm=CORRECTED_MM)
    assert found.lies == ("down" if is_over else "up")
    # Turned over it tells the same of the machine, whose axes are those of the drawing.
    assert found.kerf_mm.value == pytest.approx(KERF_MM, abs=0.03)
    assert found.y_against_x.value == pytest.approx(0.003, abs=2e-4)
    assert np.linalg.det(found.matrix[:2, :2]) == pytest.approx(-1.0 if is_over else 1.0)


def test_a_hole_off_the_axis_tells_the_face_and_one_on_it_does_not():
    plain = rectangle(120.0, 80.0)
    for off, lies in ((0.0, "either"), (0.5, "up")):
        drawn = subtract(plain, circle(30.0, (20.0, off)))
        shape = unsettled(as_cut(drawn, y=0.002), 0.02, np.random.default_rng(5))
        found = compare(traced(shape), drawn, corrected_kerf_mm=CORRECTED_MM)
        assert found.lies == lies
        assert found.scale_y.value == pytest.approx(0.002, abs=3e-4)
