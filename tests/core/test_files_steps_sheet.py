"""A sheet of step pictures: where each lands, and what is refused."""

import numpy as np
import pytest
from PIL import Image

from geometry.errors import FileError
from geometry.files.writing.steps_sheet import write_steps_sheet


def test_pictures_stand_three_in_a_row_in_their_order(tmp_path):
    pictures = [np.full((60, 80, 3), 40 * i, np.uint8) for i in range(1, 6)]
    path = write_steps_sheet(
        tmp_path / "steps.png", pictures, [f"Push rib {i} down" for i in range(5)]
    )
    with Image.open(path) as back:
        pixels = np.asarray(back)
    assert pixels.shape == (24 + 2 * (60 + 58 + 24), 24 + 3 * (80 + 24), 3)
    middles = [pixels[24 + 30 + r * 142, 24 + 40 + c * 104, 0] for r in (0, 1) for c in range(3)]
    assert [int(m) for m in middles] == [40, 80, 120, 160, 200, 255]


def test_an_older_file_stays_unless_it_may_be_replaced(tmp_path):
    path = tmp_path / "steps.png"
    path.write_bytes(b"mine")
    picture = [np.zeros((10, 10, 3), np.uint8)]
    with pytest.raises(FileError, match="exists already"):
        write_steps_sheet(path, picture, ["Push"])
    assert path.read_bytes() == b"mine"
    write_steps_sheet(path, picture, ["Push"], overwrite=True)
    assert path.read_bytes() != b"mine"


def test_no_steps_make_no_sheet(tmp_path):
    with pytest.raises(FileError, match="no steps"):
        write_steps_sheet(tmp_path / "steps.png", [], [])
    assert list(tmp_path.iterdir()) == []
