"""Measuring outlines against the truth: shapes whose distances are known in closed form."""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from shapely import Point, Polygon, box

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from campaign.measure import (
    coverage,
    crossings,
    far_off,
    gaps,
    marked,
    overlap,
    stated_by,
    told,
    verdict,
)

SCALE = 0.2
"""mm a pixel of the plain camera of these tests."""


def to_mm(places):
    return SCALE * np.asarray(places)


@dataclass(frozen=True)
class Spot:
    """A doubt as tracing tells it today: a place alone."""

    place: tuple


@dataclass(frozen=True)
class Stretch:
    """A doubt that says how far it reaches and how far off the edge may be."""

    place: tuple
    reach_px: float
    off_px: float


def disk(radius, x=0.0, y=0.0):
    return Point(x, y).buffer(radius, quad_segs=400)


SQUARE = box(0, 0, 200, 100)


def bumped(high):
    """The square with a bump 10 px wide on its upper side."""
    return SQUARE.union(box(100, 100, 110, 100 + high))


def test_rings_about_one_centre_are_apart_by_the_difference_of_their_radii():
    away = gaps(disk(100.3), disk(100.0), to_mm)
    assert away.px.min() == pytest.approx(0.3, abs=0.002)
    assert away.worst_px == pytest.approx(0.3, abs=0.002)
    assert away.most_mm == pytest.approx(0.06, abs=0.001)


def test_places_lie_on_both_outlines_in_proportion_to_their_lengths():
    away = gaps(disk(50.0), disk(100.0), to_mm)
    assert away.own / len(away.px) == pytest.approx(1.0 / 3.0, abs=0.01)
    radii = np.hypot(*away.places.T)
    assert np.allclose(radii[: away.own], 50.0, atol=0.01)
    assert np.allclose(radii[away.own :], 100.0, atol=0.01)


def test_a_hole_that_was_missed_shows_from_the_truth_alone():
    ring = disk(100.0) - disk(20.0)
    away = gaps(disk(100.0), ring, to_mm)
    assert away.px[: away.own].max() == pytest.approx(0.0, abs=0.01)
    assert away.worst_px == pytest.approx(80.0, abs=0.1)


def test_a_hole_too_many_shows_from_the_found_outline_alone():
    away = gaps(disk(100.0) - disk(20.0), disk(100.0), to_mm)
    assert away.px[: away.own].max() == pytest.approx(80.0, abs=0.1)
    assert away.px[away.own :].max() == pytest.approx(0.0, abs=0.01)


def test_mm_follow_a_scale_that_changes_over_the_picture():
    def stretched(places):
        return np.asarray(places) * (0.4, 0.1)

    away = gaps(box(0, 0, 201, 100), SQUARE, stretched)
    assert away.worst_px == pytest.approx(1.0)
    assert away.worst_mm == pytest.approx(0.4)


def test_within_needs_both_limits():
    assert verdict(gaps(disk(100.4), disk(100.0), to_mm), stated_by([]), to_mm) == "within"
    assert verdict(gaps(disk(100.6), disk(100.0), to_mm), stated_by([]), to_mm) == "loose"
    assert verdict(gaps(bumped(1.3), SQUARE, to_mm), stated_by([]), to_mm) == "within"
    assert verdict(gaps(bumped(4.0), SQUARE, to_mm), stated_by([]), to_mm) == "wrong"


def test_far_off_is_the_larger_of_px_and_mm():
    coarse = gaps(bumped(4.0), SQUARE, to_mm)
    fine = gaps(bumped(4.0), SQUARE, lambda places: 0.05 * np.asarray(places))
    assert far_off(coarse).any()
    assert not far_off(fine).any(), "4 px of 0.05 mm are 0.2 mm, less than 0.30 mm"


def test_a_doubt_tells_of_places_within_three_mm_of_it():
    away = gaps(bumped(4.0), SQUARE, to_mm)
    near, far = Spot((105.0, 104.0)), Spot((105.0, 100.0 + 4.0 + 20.0))
    assert verdict(away, stated_by([near]), to_mm) == "told"
    assert verdict(away, stated_by([far]), to_mm) == "wrong"
    wide = Stretch(far.place, reach_px=10.0, off_px=4.0)
    assert verdict(away, stated_by([wide]), to_mm) == "told"


def test_one_silent_place_is_enough_to_be_wrong():
    both = bumped(4.0).union(box(10, 100, 20, 104))
    away = gaps(both, SQUARE, to_mm)
    assert verdict(away, stated_by([Spot((105.0, 104.0))]), to_mm) == "wrong"
    spots = [Spot((105.0, 104.0)), Spot((15.0, 104.0))]
    assert told(away, stated_by(spots), to_mm)[far_off(away)].all()


def test_marked_is_the_share_of_the_found_edge_in_reach():
    away = gaps(SQUARE, SQUARE, to_mm)
    # A stretch of 30 px reach on the lower side's middle marks 60 of 600 px.
    share = marked(away, stated_by([Stretch((100.0, 0.0), 30.0, 1.0)]), to_mm).mean()
    assert share == pytest.approx(0.1, abs=0.004)
    # A bare spot marks 3 mm, 15 px, either way.
    assert marked(away, stated_by([Spot((100.0, 0.0))]), to_mm).mean() == pytest.approx(
        0.05, abs=0.004
    )
    assert not marked(away, stated_by([]), to_mm).any()


def test_coverage_counts_stated_doubts_that_hold_for_normal_errors():
    rng = np.random.default_rng(4)
    turn = rng.uniform(0.0, 2.0 * np.pi, 4000)
    sigma = rng.uniform(0.05, 0.4, 4000)
    radius = 100.0 + rng.normal(0.0, sigma)
    places = np.column_stack((radius * np.cos(turn), radius * np.sin(turn)))
    doubts = [
        Stretch(tuple(place), 1.0, 1.96 * sd) for place, sd in zip(places, sigma, strict=True)
    ]
    held, count = coverage(disk(100.0), stated_by([*doubts, Spot((0.0, 0.0))]))
    assert count == 4000
    # 95 % of a normal distribution; the count's own deviation is 0.34 %.
    assert held / count == pytest.approx(0.95, abs=0.015)


def test_overlap_of_squares_moved_by_half_is_a_third():
    one, two = box(0, 0, 10, 10), box(5, 0, 15, 10)
    assert overlap(one, two) == pytest.approx(1.0 / 3.0)


def test_overlap_is_told_for_an_outline_that_crosses_itself():
    bow = Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    assert overlap(bow, box(0, 0, 10, 10)) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("shape", "count"),
    [
        (SQUARE, 0),
        (SQUARE - disk(20.0, 50.0, 50.0), 0),
        (Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]), 1),
        (Polygon(SQUARE.exterior, [disk(20.0, 0.0, 50.0).exterior]), 1),
        (Polygon(SQUARE.exterior, [disk(20.0, 400.0, 50.0).exterior]), 1),
        (
            Polygon(
                SQUARE.exterior, [disk(20.0, 50.0, 50.0).exterior, disk(20.0, 70.0, 50.0).exterior]
            ),
            1,
        ),
    ],
    ids=["plain", "holed", "bow", "hole over the rim", "hole outside", "holes over each other"],
)
def test_crossings_are_counted(shape, count):
    assert crossings(shape) == count
