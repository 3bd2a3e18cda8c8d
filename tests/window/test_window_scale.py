"""The sidebar in every unit, twice as large, in a light theme and in German."""

import pytest
from pictures import changed, is_blank, read, spread

pytestmark = pytest.mark.window

UNITS = ("millimetres", "inches", "metres of a thousandth")
LOOKS = ("twice as large", "german", "light")


@pytest.fixture(scope="module")
def outcome(play):
    return play("scale")


@pytest.mark.parametrize("name", [*UNITS, *LOOKS])
def test_the_sidebar_is_there(outcome, name):
    picture = read(outcome.pictures[name])
    box = outcome.checks[f"sidebar {name}"]
    assert not is_blank(picture)
    # Letters and buttons, not a flat panel.
    assert spread(picture, box) > 12.0


@pytest.mark.parametrize("name", UNITS[1:])
def test_numbers_are_written_in_the_scene_s_units(outcome, name):
    # That the numbers say so is read by the scenario itself, which would have stopped.
    before, after = (read(outcome.pictures[each]) for each in ("millimetres", name))
    assert changed(before, after, outcome.checks[f"sidebar {name}"]) > 0.001


def test_what_is_kept_does_not_change_with_the_units(outcome):
    assert outcome.checks["kept thickness"] == pytest.approx(2.9, abs=1e-6)
    # One unit is a thousandth of a metre: 2.9 mm are 2.9 of them.
    assert outcome.checks["thickness in units"] == pytest.approx(2.9, abs=1e-6)


def test_a_larger_interface_has_a_larger_sidebar(outcome):
    widths = [
        right - left
        for left, _, right, _ in (
            outcome.checks[f"sidebar {name}"] for name in ("millimetres", "twice as large")
        )
    ]
    assert widths[1] > 1.7 * widths[0]


def test_the_light_theme_is_light(outcome):
    picture = read(outcome.pictures["light"])
    left, bottom, right, top = outcome.checks["sidebar light"]
    height = picture.shape[0]
    panel = picture[height - top : height - bottom, left:right].mean()
    left, bottom, right, top = outcome.checks["sidebar millimetres"]
    dark = read(outcome.pictures["millimetres"])[height - top : height - bottom, left:right].mean()
    assert panel > dark + 40.0


def test_german_is_spoken_until_the_extension_is_off(outcome):
    assert outcome.checks["german"] == "Rasterweite"
    assert outcome.checks["german operator"] == "Teile überblatten"
    # Blender's own German for a slot is a place in a list.
    assert outcome.checks["german slot"] == "Schlitz"
    assert outcome.checks["german when off"] == "Grid Pitch"


def test_no_panel_raises(outcome):
    assert "Traceback" not in outcome.log
    assert "Error" not in outcome.log
    assert "rna_uiItem" not in outcome.log
