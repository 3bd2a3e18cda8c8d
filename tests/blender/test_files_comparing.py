"""A cut part photographed, traced and compared with its drawing; what it teaches, kept and used."""

import datetime
import json
import sys
from importlib import import_module
from pathlib import Path

import bpy
import numpy as np
import pytest
import shapely
from PIL import Image

pytestmark = pytest.mark.blender

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "core"))

SIZE, SCALE = (760, 560), 12.0
DRAWN = shapely.box(-25, -16, 25, 16) - shapely.box(-16, -8, -4, 8) - shapely.box(4, -8, 16, 8)
KERF_MM, CORRECTED_MM = 0.4, 0.2


@pytest.fixture
def photographed(package, tmp_path):
    """Photograph a shape as it was cut, and trace it with a click in its material; mm."""
    pictures = import_module("part_pictures")
    own = import_module(f"{package}.geometry.bench")
    record = import_module(f"{package}.geometry.bench.record")

    def photo_of(shape, inside=(0.0, 0.0), *, size=SIZE, scale=SCALE):
        bench = pictures.camera_over(size, scale)
        path = tmp_path / "cut.png"
        Image.fromarray(pictures.picture(bench, shape)).save(path)
        bpy.ops.flatwright.add_photo(filepath=str(path))
        photo = bpy.context.object
        camera = own.Camera(*(getattr(bench.camera, n) for n in bench.camera.__slots__))
        report = own.BenchReport(mm_per_px=1.0 / scale)
        kept = record.bench_to_record(own.Bench(size, camera, report))
        photo.flatwright_bench.record, photo.flatwright_bench.face_height_mm = kept, 0.0
        ((x, y),) = bench.to_photo(np.array([inside]), 0.0)
        bpy.ops.flatwright.trace_outline(inside_px=(float(x), float(y)))
        return bpy.context.object

    return photo_of


@pytest.fixture
def cut(package, photographed):
    """The part as drawn, its stock, and the outline traced in a photo of it as it was cut."""
    shapes = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    outlines.add_outline(bpy.context, "Frame outline", shapes.Profile.from_polygon(DRAWN, 0.001))
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.name, stock.kerf_mm = "Birch", CORRECTED_MM
    bpy.ops.flatwright.make_part()
    part = bpy.context.object
    part.name = "Frame"
    traced = photographed(DRAWN.buffer((CORRECTED_MM - KERF_MM) / 2.0, join_style="mitre"))
    part.select_set(True)
    return part, stock, traced


@pytest.fixture
def machine(package):
    shelf = bpy.context.preferences.addons[package].preferences
    bpy.ops.flatwright.add_machine()
    made = shelf.machines[len(shelf.machines) - 1]
    made.name = "Red one"
    bpy.context.scene.flatwright_readiness.machine = "Red one"
    yield made
    bpy.ops.flatwright.remove_machine()


def test_the_kerf_is_found_within_its_doubt_and_kept_with_stock_and_machine(cut, machine):
    part, stock, traced = cut
    assert not bpy.ops.flatwright.keep_comparison.poll()
    assert bpy.ops.flatwright.compare_with_drawing() == {"FINISHED"}
    found = traced.flatwright_compared
    assert found.drawing == part
    assert abs(found.kerf_mm - KERF_MM) <= found.kerf_doubt_mm
    assert found.kerf_doubt_mm <= KERF_MM / 4.0
    assert len(json.loads(found.map_record)) > 100
    # All edges lie half of what the kerf was wrong too far in.
    assert found.rms_mm == pytest.approx(0.1, abs=0.03)
    assert bpy.ops.flatwright.keep_comparison() == {"FINISHED"}
    assert stock.kerf_mm == pytest.approx(found.kerf_mm, abs=1e-4)
    assert stock.kerf_doubt_mm == pytest.approx(found.kerf_doubt_mm, abs=1e-4)
    assert "kerf" in stock.measured
    assert machine.is_measured
    assert json.loads(machine.kerfs)["Birch"][0] == pytest.approx(found.kerf_mm, abs=1e-3)


def test_what_is_too_doubtful_is_said_and_not_offered(cut):
    _, stock, traced = cut
    # Corrected for more than it is: the kerf that explains it is a fifth, and its ± stays.
    bpy.ops.flatwright.compare_with_drawing(as_stock=False, corrected_mm=0.02)
    found = traced.flatwright_compared
    found.kerf_doubt_mm = 1.0
    found.tells_kerf = False
    assert not bpy.ops.flatwright.keep_comparison.poll()
    assert stock.kerf_mm == pytest.approx(CORRECTED_MM)


def test_another_part_is_no_drawing_of_it(cut, plate):
    _, _, traced = cut
    other = plate("Other", 10.0, 8.0)
    bpy.ops.object.select_all(action="DESELECT")
    other.select_set(True)
    traced.select_set(True)
    bpy.context.view_layer.objects.active = traced
    with pytest.raises(RuntimeError, match="not of the same part"):
        bpy.ops.flatwright.compare_with_drawing()
    assert traced.flatwright_compared.of == "NONE"
    bpy.ops.object.select_all(action="DESELECT")
    traced.select_set(True)
    with pytest.raises(RuntimeError, match="Select the traced outline and the part"):
        bpy.ops.flatwright.compare_with_drawing()


def test_files_are_corrected_only_where_it_was_chosen_and_say_so(plate, machine, tmp_path, package):
    plate("Plate", 200.0, 100.0)
    bpy.ops.flatwright.lay_out()
    ready = bpy.context.scene.flatwright_readiness
    files = import_module(f"{package}.geometry.files")

    def saved(name):
        folder = tmp_path / name
        folder.mkdir()
        bpy.ops.flatwright.save_cut_files(directory=str(folder), use_template=True)
        (dxf,), (html,) = folder.glob("*.dxf"), folder.glob("*.html")
        (pdf,) = folder.glob("*.pdf")
        return files.read_back(dxf).size_mm, html.read_text(encoding="utf-8"), pdf.read_bytes()

    plain, listed, template = saved("plain")
    assert "Corrected for the machine" not in listed
    ready.corrects_machine = True
    with pytest.raises(RuntimeError, match="was not measured"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path / "plain"), overwrite=True)
    machine.stretch_x, machine.stretch_y, machine.is_measured = 0.0, 0.003, True
    state = import_module(f"{package}.addon.state.graph")
    bpy.context.view_layer.update()
    assert state.status(bpy.context, "files").state == "stale"
    corrected, listed, same = saved("corrected")
    assert "Corrected for the machine" in listed
    assert same == template
    assert [a / b for a, b in zip(corrected, plain, strict=True)] == pytest.approx(
        [1.0, 1.0 / 1.003], abs=1e-5
    )
    assert state.status(bpy.context, "files").is_current
    # Measured anew, it is corrected for otherwise.
    machine.stretch_y = 0.002
    assert state.status(bpy.context, "files").state == "stale"


def test_a_kept_kerf_is_offered_in_another_file_and_used_only_when_it_is_chosen(
    machine, plate, package, tmp_path
):
    kerfs = import_module(f"{package}.addon.files.kept_kerf")
    plate("Plate", 100.0, 60.0)
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.name, stock.kerf_mm = "Birch", 0.2
    assert kerfs.kept_kerf(bpy.context) is None
    assert not bpy.ops.flatwright.use_kept_kerf.poll()
    kerfs.keep_kerf(bpy.context, "Red one", "Birch", 0.31, 0.02)
    kept = kerfs.kept_kerf(bpy.context)
    assert kept.told(bpy.context.scene) == "0.310 ± 0.020 mm"
    assert kept.day == datetime.datetime.now().astimezone().date().isoformat()
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    text = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    # It stands off until it is chosen.
    assert stock.kerf_mm == pytest.approx(0.2)
    assert "0.20 mm" in text
    assert bpy.ops.flatwright.use_kept_kerf() == {"FINISHED"}
    assert (stock.kerf_mm, stock.kerf_doubt_mm) == pytest.approx((0.31, 0.02))
    assert "kerf" in stock.measured
    assert not bpy.ops.flatwright.use_kept_kerf.poll()
    status = import_module(f"{package}.addon.state.graph").status
    assert status(bpy.context, "sheets").state == "stale"
    # Of another stock, or with no machine, there is none.
    stock.name = "Poplar"
    assert kerfs.kept_kerf(bpy.context) is None
    stock.name = "Birch"
    bpy.context.scene.flatwright_readiness.machine = ""
    assert kerfs.kept_kerf(bpy.context) is None


@pytest.mark.parametrize("record", ["no JSON", '{"Birch": [-1, 0]}', '{"Birch": 3}', "[1]"])
def test_damaged_kerfs_of_a_machine_are_none(machine, plate, package, record):
    kerfs = import_module(f"{package}.addon.files.kept_kerf")
    plate("Plate", 100.0, 60.0)
    bpy.context.scene.flatwright_stocks[0].name = "Birch"
    machine.kerfs = record
    assert kerfs.kept_kerf(bpy.context) is None
    assert not bpy.ops.flatwright.use_kept_kerf.poll()


def test_what_was_kept_before_days_were_is_still_read(machine, plate, package):
    kerfs = import_module(f"{package}.addon.files.kept_kerf")
    plate("Plate", 100.0, 60.0)
    bpy.context.scene.flatwright_stocks[0].name = "Birch"
    machine.kerfs = '{"Birch": [0.3, 0.02]}'
    kept = kerfs.kept_kerf(bpy.context)
    assert (kept.told(bpy.context.scene), kept.day) == ("0.300 ± 0.020 mm", "")


def as_cut(profile, kerf_mm):
    """What a machine of such a kerf leaves of lines that it follows; shapely's offset."""
    return profile.polygon(0.002).buffer(-kerf_mm / 2.0, join_style="mitre")


def test_the_strip_test_is_photographed_instead_of_typed(photographed, machine, package, tmp_path):
    pieces = import_module(f"{package}.addon.part.kerf_piece")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.name, stock.kerf_mm = "Birch", CORRECTED_MM
    bpy.context.scene.flatwright_kerf_test.strips = 6
    bpy.ops.flatwright.save_kerf_test(directory=str(tmp_path))
    drawn = pieces.saved_test(bpy.context.scene, "Birch").frame
    rim = drawn.bounds_mm[1] + 4.0
    # Meanwhile another kerf was typed, of which the strips would be drawn wider.
    stock.kerf_mm = 0.8
    # Turned a quarter, to fill the picture: the frame, its strips taken out.
    shape = shapely.affinity.rotate(as_cut(drawn, KERF_MM), 90.0, origin=(0.0, 0.0))
    traced = photographed(shape, (rim, 0.0), size=(840, 560), scale=11.0)
    assert bpy.ops.flatwright.compare_with_drawing(of="STRIPS") == {"FINISHED"}
    found = traced.flatwright_compared
    assert found.of == "STRIPS"
    assert abs(found.kerf_mm - KERF_MM) <= found.kerf_doubt_mm
    assert found.kerf_doubt_mm <= KERF_MM / 4.0
    assert found.lies == "EITHER"
    assert bpy.ops.flatwright.keep_comparison() == {"FINISHED"}
    assert stock.kerf_mm == pytest.approx(found.kerf_mm, abs=1e-4)
    assert json.loads(machine.kerfs)["Birch"][0] == pytest.approx(found.kerf_mm, abs=1e-3)


def test_a_coupon_of_a_fit_series_is_photographed(photographed, package):
    curves = import_module(f"{package}.addon.blender.curves")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.name, stock.kerf_mm = "Birch", CORRECTED_MM
    series = bpy.context.scene.flatwright_fit_series
    series.feature, series.first_mm, series.last_mm, series.step_mm = "hole", 11.8, 12.2, 0.2
    assert bpy.ops.flatwright.make_fit_series() == {"FINISHED"}
    coupon = next(o for o in bpy.data.objects if o.flatwright_part.trial)
    drawn = curves.read_profile(coupon.data)
    shape = as_cut(drawn, KERF_MM - CORRECTED_MM)
    inside = shape.representative_point()
    x0, y0, x1, y1 = shape.bounds
    scale = 0.85 * min(SIZE[0] / (x1 - x0), SIZE[1] / (y1 - y0))
    at = shapely.affinity.translate(shape, -(x0 + x1) / 2.0, -(y0 + y1) / 2.0)
    inside = at.representative_point()
    traced = photographed(at, (inside.x, inside.y), scale=scale)
    coupon.select_set(True)
    assert bpy.ops.flatwright.compare_with_drawing() == {"FINISHED"}
    found = traced.flatwright_compared
    assert found.drawing == coupon
    assert abs(found.kerf_mm - KERF_MM) <= found.kerf_doubt_mm
    assert found.kerf_doubt_mm < KERF_MM / 2.0
