"""A photograph of coins on a sheet of paper by others: traced, each has its mint's diameter.

Diameters: Council Regulation (EC) No 975/98. The sheet is A4 (ISO 216), its corners marked by hand.
The source and licence of the photograph stand beside it.
"""

from pathlib import Path

import numpy as np
import pytest
import shapely

from geometry.bench import bench_from_rectangle
from geometry.outline import trace
from geometry.photo import read_photo

pytestmark = pytest.mark.outside

PHOTO = Path(__file__).resolve().parents[1] / "data" / "coins" / "on_a4.jpg"
CORNERS_PX = [(376.9, 738.6), (1094.6, 761.3), (1271.3, 1907.3), (255.2, 1946.1)]
DIAMETERS_MM = {
    "1 euro": 23.25,
    "20 cent": 22.25,
    "5 cent": 21.25,
    "2 cent": 18.75,
    "1 cent": 16.25,
}
CLICKS_PX = [
    ("1 euro", (909, 1048)),
    ("20 cent", (596, 1056)),
    ("20 cent", (865, 1145)),
    ("5 cent", (755, 1320)),
    ("2 cent", (786, 1152)),
    ("2 cent", (864, 1309)),
    ("2 cent", (820, 964)),
    ("1 cent", (1009, 1234)),
]
PX_MM = 0.28
WITHIN_MM = 0.4
"""A pixel is 0.28 mm; each side of a coin may be off by 0.7 of it: focal length and lens are not
known, and a coin's rim stands 1.7 to 2.3 mm over the sheet in a photo tilted by 28°."""


@pytest.fixture(scope="module")
def seen():
    photo = read_photo(PHOTO)
    bench = bench_from_rectangle(photo.size_px, CORNERS_PX, 210.0, 297.0)
    return photo.pixels, bench


@pytest.mark.parametrize(("coin", "click_px"), CLICKS_PX)
def test_a_coin_has_its_published_diameter(seen, coin, click_px):
    pixels, bench = seen
    doubts = []
    face = trace(pixels, bench, click_px, doubts=doubts).polygon(0.005)
    assert not face.interiors
    # Where a bevel is as dark as paper in shade, the outline says by how much it may be off.
    off_mm = max((PX_MM * doubt.off_px for doubt in doubts), default=0.0)
    told_mm = 2.0 * sum(2.0 * doubt.reach_px * doubt.off_px for doubt in doubts) * PX_MM**2
    within = WITHIN_MM + told_mm / face.length
    assert 2.0 * np.sqrt(face.area / np.pi) == pytest.approx(DIAMETERS_MM[coin], abs=within)
    # Round besides: a coin with a dent or a bump would have the area of another.
    rim = shapely.get_coordinates(face.exterior) - shapely.get_coordinates(face.centroid)
    assert np.ptp(np.hypot(*rim.T)) < 1.2 + off_mm
