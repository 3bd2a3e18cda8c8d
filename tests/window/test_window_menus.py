"""File ▸ Import and File ▸ Export with the mouse, paths typed in Blender's own file browser."""

import pytest
from pictures import is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("menus")


def test_esc_in_the_file_browser_adds_nothing(outcome):
    assert outcome.checks["esc in the browser"] is True


def test_a_photo_comes_in_and_the_start_up_cube_steps_aside(outcome):
    assert outcome.checks["photo"] == ["photo.jpg", False]
    assert "start-up cube" in outcome.checks["said of the cube"]
    # One step back: no photo, and the cube where it was.
    assert outcome.checks["photo undone"] == [True, True]


def test_an_svg_outline_comes_in_at_its_size(outcome):
    assert outcome.checks["svg"] == [[60.0, 80.0, 1]]


def test_cut_files_go_out_and_come_back_alike(outcome):
    assert {".dxf", ".svg"} <= set(outcome.checks["saved"])
    # The plate and what was read from the DXF: the plate again, and the square to be measured.
    assert outcome.checks["dxf"].count([60.0, 80.0, 1]) == 2


def test_every_stage_can_be_seen(outcome):
    assert len(outcome.pictures) >= 6
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
