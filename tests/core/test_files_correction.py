"""Paths corrected for a machine: what the machine makes of the file is what was drawn."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Polygon

from geometry.errors import FileError
from geometry.files import (
    MachineScale,
    drawing,
    read_back,
    write_cut_list,
    write_dxf,
    write_pdf_template,
    write_svg,
)
from geometry.outline import circle, rectangle, slot, subtract
from geometry.part import Stock
from geometry.sheet import Piece

PLATE = subtract(rectangle(200.0, 120.0, corner_radius_mm=8.0), circle(40.0, (-50.0, 10.0)))
MACHINE = MachineScale(-0.001, 0.003, 0.002, "Red one")


def drawn(machine=MACHINE):
    inner = slot(60.0, 12.0, (30.0, 0.0)).moved(20.0, 0.0)
    plain = drawing([subtract(PLATE, inner).moved(120.0, 80.0)], title="Plate")
    return replace(plain, machine=machine)


def cut_by_the_machine(path):
    """Rings of the file's outside and inside cuts after a machine that is wrong, independently."""
    wrong = np.array([[1.0 - 0.001, 0.002], [0.0, 1.003]])
    shapes = [s for s in read_back(path).shapes if s.operation in ("outside", "inside")]
    return [Polygon(s.points(0.002) @ wrong.T) for s in shapes]


@pytest.mark.parametrize("ending", ["dxf", "svg"])
def test_the_machine_makes_of_the_file_what_was_drawn(tmp_path, ending):
    path = tmp_path / f"plate.{ending}"
    write = write_dxf if ending == "dxf" else write_svg
    verified = write(path, drawn())
    assert verified.worst_mm < 0.006
    assert verified.size_mm == pytest.approx((200.0, 120.0), abs=1e-3)
    meant = [Polygon(s.points(0.002)) for s in drawn().shapes]
    for found, wanted in zip(cut_by_the_machine(path), meant, strict=True):
        assert shapely.hausdorff_distance(found.exterior, wanted.exterior, 0.05) < 0.01
    # The file itself is not what was drawn: at the sheet's far end by half a millimetre.
    raw = Polygon(read_back(path).shapes[-1].points(0.01))
    assert raw.bounds[3] == pytest.approx((80.0 + 60.0) / 1.003, abs=0.01)


def test_nothing_is_corrected_unless_it_was_chosen(tmp_path):
    write_svg(tmp_path / "plain.svg", drawn(None))
    write_svg(tmp_path / "other.svg", replace(drawn(), machine=None))
    plain, other = ((tmp_path / f"{n}.svg").read_bytes() for n in ("plain", "other"))
    assert plain == other
    assert b"corrected for the machine" not in plain


def test_the_paper_template_is_never_corrected(tmp_path):
    for name, machine in (("plain", None), ("corrected", MACHINE)):
        write_pdf_template(tmp_path / f"{name}.pdf", drawn(machine), paper="A4")
    assert (tmp_path / "plain.pdf").read_bytes() == (tmp_path / "corrected.pdf").read_bytes()


def test_the_cut_list_says_what_was_corrected_and_draws_the_parts(tmp_path):
    stock = Stock("Plywood", 3.0, 0.2)
    pieces = [Piece(PLATE, 1, "Plate")]
    for name, machine in (("plain", None), ("corrected", MACHINE)):
        write_cut_list(
            tmp_path / f"{name}.html",
            title="Job",
            stock=stock,
            pieces=pieces,
            sheets=[drawn(machine)],
            kerf_state="nominal",
        )
    plain, told = (
        (tmp_path / f"{n}.html").read_text(encoding="utf-8") for n in ("plain", "corrected")
    )
    assert "Corrected for the machine" not in plain
    assert "“Red one”: x by +1.00 ‰, y by -2.99 ‰, squareness by -2.00 ‰" in told
    assert plain[plain.index("<h2>Sheets") :] == told[told.index("<h2>Sheets") :]


def test_what_was_found_on_corrected_parts_adds_to_what_was_known():
    known = MachineScale(0.0, 0.003, 0.001)
    left = MachineScale(0.0005, -0.0002, 0.0)
    both = left.after(known)
    there = left.matrix @ known.matrix
    assert np.allclose(both.matrix, there, atol=1e-15)
    assert left.after(None) == left


@pytest.mark.parametrize("wrong", [math.nan, 0.03, -0.5])
def test_a_machine_that_is_none_is_refused(wrong):
    with pytest.raises(FileError, match="Measure it again"):
        MachineScale(0.0, wrong)
