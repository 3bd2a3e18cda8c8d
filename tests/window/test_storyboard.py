"""The README's storyboard: every frame is taken, set in its place, and small enough."""

import numpy as np
import pytest
import storyboard
from conftest import HERE
from PIL import Image

pytestmark = pytest.mark.window


@pytest.fixture
def pictures(tmp_path):
    """A picture of one colour for every frame, each of its own."""
    made = {}
    for number, name in enumerate(storyboard.FRAMES):
        made[name] = tmp_path / f"{name}.png"
        Image.new("RGB", storyboard.WINDOW_PX, (20 * number, 90, 200)).save(made[name])
    return made


def test_the_scenario_takes_every_frame():
    scenario = (HERE / "scenario_storyboard.py").read_text(encoding="utf-8")
    for name in (*storyboard.FRAMES, "window"):
        assert f'see(driver, "{name}"' in scenario


def test_frames_stand_in_reading_order_under_their_words(pictures):
    board = np.asarray(storyboard.compose(pictures))
    across = board.shape[1] // 2
    down = board.shape[0] // 4
    reds = [
        int(board[row * down + down // 2, column * across + across // 2, 0])
        for row in range(4)
        for column in range(2)
    ]
    assert reds == [20 * number for number in range(8)]
    # Dark letters on white above the first frame.
    words = board[storyboard.BETWEEN_PX : storyboard.BETWEEN_PX + storyboard.CAPTION_PX]
    assert words.min() < 60
    assert words.max() == 255


def test_a_picture_too_rich_is_made_smaller_or_refused(tmp_path, monkeypatch):
    noise = np.random.default_rng(5).integers(0, 255, (300, 300, 3), dtype=np.uint8)
    storyboard.save(Image.fromarray(noise), tmp_path / "a.jpg")
    best = (tmp_path / "a.jpg").stat().st_size
    monkeypatch.setattr(storyboard, "LARGEST_BYTES", int(0.8 * best))
    storyboard.save(Image.fromarray(noise), tmp_path / "a.jpg")
    assert (tmp_path / "a.jpg").stat().st_size <= 0.8 * best
    monkeypatch.setattr(storyboard, "LARGEST_BYTES", 1000)
    with pytest.raises(SystemExit, match="cannot be made smaller"):
        storyboard.save(Image.fromarray(noise), tmp_path / "b.jpg")
    assert not (tmp_path / "b.jpg").exists()


def test_without_a_windowed_blender_one_sentence_says_so(monkeypatch):
    monkeypatch.setattr(storyboard.harness, "find_blender", lambda: None)
    with pytest.raises(SystemExit, match="put one on PATH or name it in BLENDER"):
        storyboard.main()
