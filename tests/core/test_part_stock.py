"""Stock: what it refuses, and what a fit asks for."""

import math

import pytest

from geometry.errors import PartError
from geometry.part import Allowances, Stock


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"thickness_mm": 0.0}, "thickness"),
        ({"thickness_mm": math.nan}, "not a number"),
        ({"kerf_mm": -0.1}, "negative"),
        ({"process": "router"}, "cutter's diameter"),
        ({"process": "saw"}, "laser, router or knife"),
        ({"sheet_mm": (600.0, 0.0)}, "width and height"),
        ({"sheets": -1}, "-1 sheets"),
        ({"grain": "diagonal"}, "grain"),
        ({"allowances": Allowances(press_mm=math.inf)}, "not a number"),
        ({"kerf_doubt_mm": -0.01}, "negative"),
        ({"thickness_mm": 270.0}, "thickness of 270 mm is more.*unit"),
        ({"kerf_mm": 200.0}, "kerf of 200 mm is more.*unit"),
        ({"cutter_diameter_mm": 317.5}, "cutter diameter of 317.5 mm"),
        ({"sheet_mm": (600e3, 400e3)}, "sheet of 600000 mm"),
    ],
)
def test_a_stock_no_workshop_has_is_refused(changed, said):
    numbers = {"thickness_mm": 2.7, "kerf_mm": 0.2} | changed
    with pytest.raises(PartError, match=said):
        Stock("Plywood", **numbers)


def test_a_fit_names_its_own_allowance():
    learned = Allowances(press_mm=-0.05, sliding_mm=0.12, loose_mm=0.4)
    assert [learned.of(fit) for fit in ("press", "sliding", "loose")] == [-0.05, 0.12, 0.4]
