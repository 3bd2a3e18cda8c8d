"""What is drawn while marking, and that nothing of it stays."""

from importlib import import_module

import bpy
import numpy as np
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def overlay(package):
    return import_module(f"{package}.addon.bench.overlay")


@pytest.fixture
def drawing(package):
    return import_module(f"{package}.addon.blender.drawing")


def lines(drawn):
    return [line for stroke in drawn.strokes for line in stroke.lines]


def test_nothing_marked_draws_nothing(overlay):
    drawn = overlay.marks_drawing([], 2, (50.0, 60.0))
    assert (drawn.strokes, drawn.labels) == ((), ())


def test_marks_are_numbered_crosses_joined_in_turn(overlay):
    a, b = (100.0, 100.0), (300.0, 140.0)
    drawn = overlay.marks_drawing([a, b], 4, (310.0, 400.0))
    assert [label.text for label in drawn.labels] == ["1", "2"]
    assert (a, b) in lines(drawn)
    assert (b, (310.0, 400.0)) in lines(drawn)
    arms = [line for line in lines(drawn) if line not in ((a, b), (b, (310.0, 400.0)))]
    assert len(arms) == 8
    # The marked place itself stays in sight.
    assert all(place not in (a, b) for arm in arms for place in arm)


def test_the_last_corner_closes_the_rectangle_but_a_length_stays_open(overlay):
    corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 40.0), (0.0, 40.0)]
    drawn = lines(overlay.marks_drawing(corners, 4, (9.0, 9.0)))
    assert (corners[3], corners[0]) in drawn
    assert not any((9.0, 9.0) in line for line in drawn)
    ends = lines(overlay.marks_drawing(corners[:2], 2))
    assert (corners[0], corners[1]) in ends
    assert (corners[1], corners[0]) not in ends


def test_marks_out_of_view_are_left_out_and_keep_their_numbers(overlay):
    drawn = overlay.marks_drawing([None, (50.0, 0.0)], 4)
    assert [label.text for label in drawn.labels] == ["2"]
    assert len(lines(drawn)) == 4


def test_sizes_are_written_at_the_sides_with_room_for_them(overlay):
    corners = [(0.0, 0.0), (200.0, 0.0), (200.0, 40.0), None]
    drawn = overlay.sizes_drawing(corners, ["210 mm", "297 mm"])
    assert [label.text for label in drawn.labels] == ["210 mm"]
    x, y = drawn.labels[0].at
    assert 90.0 < x < 120.0
    assert y < 0.0
    assert overlay.sizes_drawing(corners, ["210 mm"], 4.0).labels == ()


def test_size_follows_the_interfaces_scale(overlay):
    def reach(scale):
        drawn = overlay.marks_drawing([(0.0, 0.0)], 2, ui_scale=scale)
        return max(x for line in lines(drawn) for x, _ in line)

    assert reach(2.0) == pytest.approx(2.0 * reach(1.0))


def test_nothing_is_drawn_without_a_window(drawing):
    made = drawing.Overlay(lambda region, view: drawing.Drawing())
    assert drawing.LIVE == []
    assert drawing.remove_overlays not in bpy.app.handlers.load_pre
    made.remove()
    assert drawing.LIVE == []


@pytest.fixture
def residuals(package):
    return import_module(f"{package}.addon.bench.residuals")


def test_misses_are_arrows_with_a_note_of_their_scale(residuals):
    ends = [(30.0, 10.0), (5.0, 5.0)]
    drawn = residuals.residual_drawing([(10.0, 10.0), None], ends, 200, 0.042, 900.0)
    arrows, heads = drawn.strokes
    assert arrows.lines == (((10.0, 10.0), (30.0, 10.0)),)
    assert len(heads.lines) == 2
    assert "200 times" in drawn.labels[0].text
    assert "0.042 mm" in drawn.labels[0].text


@pytest.mark.parametrize(("away_px", "times"), [(0.1, 500), (0.3, 200), (1.0, 50), (500.0, 1)])
def test_arrows_are_lengthened_by_a_round_number(residuals, away_px, times):
    # A fiftieth of 4000 px is 80 px: 0.1 px may be 800 times as long, and 500 is the round number.
    assert residuals.exaggeration(np.full((9, 2), [away_px, 0.0]), 4000) == times
