"""A photograph by others without any grid is refused within little memory.

Its source and licence stand beside the picture.
"""

import tracemalloc
from pathlib import Path

import pytest

from geometry.bench import bench_from_grid
from geometry.errors import GridNotFoundError
from geometry.photo import read_photo

pytestmark = pytest.mark.outside

COINS = Path(__file__).resolve().parents[1] / "data" / "coins" / "on_a4.jpg"
MOST_BYTES = 1_000_000_000
"""A computer of 4 GB has so much to spare beside Blender."""


def test_coins_on_a_sheet_are_no_grid_and_cost_little_memory():
    pixels = read_photo(COINS).pixels
    tracemalloc.start()
    try:
        with pytest.raises(GridNotFoundError, match="No regular grid"):
            bench_from_grid(pixels, 25.0)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    print(peak / 1e6, "MB")
    assert peak < MOST_BYTES
