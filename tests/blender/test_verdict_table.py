"""Every way that was found to make the tool say yes although the answer had changed."""

import json

import bpy
import numpy as np
import pytest

from tests.blender.verdict_scene import MM, Job, stretch

pytestmark = pytest.mark.blender


@pytest.fixture
def job(package, plate):
    return Job(package, plate)


@pytest.fixture
def run(job):
    return job.core("addon.commands").run


@pytest.fixture
def checked(job):
    """A collar round a ball, checked and clear by 0.30 mm."""
    lamp, collar = job.ball(), job.collar()
    job.follow()
    bpy.ops.flatwright.check_assembly()
    assert bpy.context.scene.flatwright_assembly.least_gap_mm == pytest.approx(0.3, abs=0.05)
    assert job.state("check") == "current"
    return lamp, collar


def test_a_fixture_grown_in_edit_mode_makes_its_check_stale(job, checked):
    stretch(checked[0], 1.15)
    assert job.state("check") == "stale"
    assert "the fixture" in job.why("check")


def test_a_modifier_put_on_the_fixture_makes_its_check_stale(job, checked):
    modifier = checked[0].modifiers.new("Puff", "DISPLACE")
    modifier.strength, modifier.mid_level = 11.3 * MM, 0.0
    assert job.state("check") == "stale"
    bpy.ops.flatwright.check_assembly()
    assert job.state("check") == "failed"
    assert bpy.context.scene.flatwright_assembly.least_gap_mm < -10.0


def test_a_cut_follows_when_the_fixture_grows(job):
    lamp, plate = job.ball(), job.plate("Sheet", 140.0, 140.0)
    bpy.ops.flatwright.cut_to_fixture(clearance=0.5 * MM)
    before = job.profile(plate).area_mm2
    stretch(lamp, 1.08)
    assert job.state("parts") == "stale"
    job.follow()
    assert job.state("parts") == "current"
    grown = np.pi * ((50.0 * 1.08 + 0.5) ** 2 - 50.5**2)
    assert before - job.profile(plate).area_mm2 == pytest.approx(grown, rel=0.02)


def test_another_thickness_makes_the_check_stale_without_any_joint(job, checked):
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 12.0
    job.follow()
    assert job.state("check") == "stale"
    assert "its stock" in job.why("check") or "its shape" in job.why("check")


def test_a_clash_that_was_measured_stops_cutting(job, tmp_path):
    job.ball()
    job.collar(bore_mm=99.2)
    job.measured()
    job.follow()
    bpy.ops.flatwright.check_assembly()
    bpy.ops.flatwright.lay_out()
    assert job.state("check") == "failed"
    bpy.ops.flatwright.check_readiness()
    found = bpy.context.scene.flatwright_readiness.findings
    assert [f.severity for f in found] == ["stop"]
    assert "runs" in found[0].sentence
    with pytest.raises(RuntimeError, match="Nothing was saved"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("how", ["monitor", "excluded"])
def test_a_hidden_part_keeps_its_slots_and_waits_for_a_decision(job, run, tmp_path, how, capsys):
    one, other = job.crossing()
    job.measured()
    slotted = {o.name: job.profile(o).area_mm2 for o in (one, other)}
    assert all(area < 80.0 * 60.0 - 50.0 for area in slotted.values())
    bpy.ops.flatwright.check_assembly()
    if how == "monitor":
        one.hide_viewport = True
    else:
        aside = bpy.data.collections.new("Aside")
        bpy.context.scene.collection.children.link(aside)
        for collection in one.users_collection:
            collection.objects.unlink(one)
        aside.objects.link(one)
        bpy.context.view_layer.layer_collection.children["Aside"].exclude = True
    path = job.reopened(tmp_path)
    capsys.readouterr()
    job.follow()
    now = {n: job.profile(bpy.data.objects[n]).area_mm2 for n in slotted}
    assert now == pytest.approx(slotted, abs=1e-3)
    assert job.state("check") == "current"
    assert run(["check", str(path)]) == 1
    assert "One is hidden" in capsys.readouterr().out
    for choice, count in (("cut", 2), ("leave-out", 1)):
        out = tmp_path / choice
        out.mkdir()
        assert run(["export", str(path), "--out", str(out), "--hidden", choice]) == 0
        pieces = sum(o.flatwright_sheet.role == "PIECE" for o in bpy.data.objects)
        assert pieces == count
    assert run(["export", str(path), "--out", str(tmp_path)]) == 1


def test_a_linked_part_is_not_cut_in_the_shape_of_a_local_one_of_its_name(job, tmp_path):
    linked = job.plate("Twin", 80.0, 60.0)
    linked.data.name = "Twin"
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "library.blend"))
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    local = job.plate("Mine", 50.0, 40.0)
    local.data.name = "Twin"
    with bpy.data.libraries.load(str(tmp_path / "library.blend"), link=True) as (_, into):
        into.objects = ["Twin"]
    bpy.context.scene.collection.objects.link(into.objects[0])
    assert into.objects[0].data.name == local.data.name
    (found,) = job.core("addon.sheet.layouts").finished_pieces(bpy.context)
    assert sorted(round(piece.profile.area_mm2) for piece in found.pieces) == [2000, 4800]
    groups = job.core("addon.assembly.rebuilding").groups_of([local, into.objects[0]])
    assert groups == [0, 1]


def test_the_job_is_not_done_when_all_of_it_is_stale(job, tmp_path):
    lamp, collar = job.finished(tmp_path)
    steps = job.core("addon.state.job")
    ticked = {"parts", "check", "sheets", "files"}
    assert {r for r in ticked if job.state(r) == "current"} == ticked
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 2.0
    lamp.location.x += 1.0 * MM
    outline = collar.flatwright_part.outline
    outline.data.splines[0].bezier_points[0].co.x += 2.0 * MM
    job.follow()
    assert {r for r in ticked if job.state(r) == "stale"} == ticked - {"parts"}
    labels = [step.label for step in steps.stale_steps(bpy.context)]
    assert labels == ["Check it around its object", "Lay out the sheets", "Save the cut files"]
    wanted = steps.next_step(bpy.context)
    assert wanted.operator in ("flatwright.add_photo", "flatwright.check_assembly")


def test_a_scaled_outline_is_refused_until_its_scale_is_applied(job):
    plate = job.plate("Plate", 80.0, 60.0)
    whole = job.plate("Whole", 30.0, 20.0, y=100.0)
    outline = plate.flatwright_part.outline
    outline.scale = (1.5, 1.5, 1.0)
    whole.flatwright_part.outline.data.splines[0].bezier_points[0].co.x -= 1.0 * MM
    job.follow()
    assert job.state("parts") == "failed"
    assert "Apply Scale" in job.why("parts")
    # The other one is built all the same.
    assert job.profile(whole).area_mm2 == pytest.approx(610.0, abs=1.0)
    assert bpy.ops.flatwright.apply_scale() == {"FINISHED"}
    job.follow()
    assert job.state("parts") == "current"
    assert job.profile(plate).area_mm2 == pytest.approx(80.0 * 60.0 * 2.25, rel=1e-6)
    assert tuple(outline.scale) == (1.0, 1.0, 1.0)


def test_a_mirrored_outline_becomes_its_mirror_image(job):
    shape = job.core("geometry.outline")
    corner = shape.subtract(shape.rectangle(80.0, 60.0), shape.rectangle(20.0, 20.0, (30.0, 20.0)))
    plate = job.plate("Plate", shape=corner)
    outline = plate.flatwright_part.outline
    outline.scale.x = -1.0
    job.follow()
    assert "mirrored" in job.why("parts")
    bpy.ops.flatwright.apply_scale()
    job.follow()
    left = [x for x, y in job.profile(plate).outer.nodes() if y > 25.0]
    assert min(left) > -25.0
    assert job.profile(plate).area_mm2 == pytest.approx(4400.0, abs=1e-3)


def edit(job, piece):
    piece.data.splines[0].bezier_points[0].co.x += 0.5 * MM


def enlarge(job, piece):
    piece.scale = (1.1, 1.1, 1.0)


def join(job, piece):
    other = next(o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE" and o != piece)
    with bpy.context.temp_override(
        active_object=piece, object=piece, selected_editable_objects=[piece, other]
    ):
        bpy.ops.object.join()


@pytest.mark.parametrize("change", [edit, enlarge, join])
def test_a_piece_changed_on_its_sheet_stops_cutting(job, tmp_path, change):
    job.plate("Plate", 80.0, 60.0)
    job.plate("Small", 30.0, 20.0, y=100.0)
    job.measured()
    bpy.ops.flatwright.lay_out()
    assert job.state("sheets") == "current"
    piece = next(o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE")
    change(job, piece)
    assert job.state("sheets") == "stale"
    with pytest.raises(RuntimeError, match="Press Lay Out Sheets"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))


def test_nudged_pieces_stay_as_they_were_laid(job):
    job.plate("Plate", 80.0, 60.0)
    bpy.ops.flatwright.lay_out()
    piece = next(o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE")
    piece.location.x += 3.0 * MM
    piece.rotation_euler.z = 0.3
    assert job.state("sheets") != "stale"


def test_shape_keys_are_refused(job):
    plate = job.plate("Plate", 80.0, 60.0)
    outline = plate.flatwright_part.outline
    outline.shape_key_add(name="Basis")
    outline.shape_key_add(name="Other")
    job.follow()
    assert "shape keys" in job.why("parts")


def test_a_line_up_and_down_encloses_nothing_and_is_refused(job):
    plate = job.plate("Plate", 80.0, 60.0)
    data = plate.flatwright_part.outline.data
    spline = data.splines.new("BEZIER")
    spline.bezier_points.add(1)
    for point, x in zip(spline.bezier_points, (0.0, 10.0), strict=True):
        point.co = point.handle_left = point.handle_right = (x * MM, 0.0, 0.0)
    spline.use_cyclic_u = True
    job.follow()
    assert "encloses nothing" in job.why("parts")


def test_a_check_holds_where_the_last_digits_differ(job, checked):
    lamp, collar = checked
    for thing in (lamp, collar):
        thing.location = [np.nextafter(np.float32(c), np.float32(1.0)) for c in thing.location]
    assert job.state("check") == "current"
    collar.location.x += 2e-3 * MM
    assert job.state("check") == "stale"


def test_an_evaluated_fixture_is_compared_and_a_single_dent_is_found(job, checked):
    lamp, _ = checked
    lamp.shape_key_add(name="Basis")
    # With shape keys there is no stored truth; the shape is the same, so the check holds.
    assert job.state("check") == "current"
    bpy.ops.flatwright.check_assembly()
    points = lamp.data.shape_keys.key_blocks[0].data
    for index in (700, 701):
        points[index].co = [np.nextafter(np.float32(c), np.float32(1.0)) for c in points[index].co]
    lamp.data.update()
    assert job.state("check") == "current"
    points[700].co.z += 0.01 * MM
    lamp.data.update()
    lamp.data.shape_keys.key_blocks[0].value = 0.0
    assert job.state("check") == "stale"


def test_what_is_saved_is_never_a_moment_behind(job, tmp_path):
    plate = job.plate("Plate", 80.0, 60.0)
    job.follow()
    shape = job.core("geometry.outline").rectangle(90.0, 60.0)
    outlines = job.core("addon.outline.outline_objects")
    outlines.rewrite_outline(plate.flatwright_part.outline, shape)
    job.reopened(tmp_path)
    assert job.profile(bpy.data.objects["Plate"]).area_mm2 == pytest.approx(5400.0, abs=1e-3)
    assert job.state("parts") == "current"


@pytest.fixture
def photo(measured):
    """The demo's photo with its bench."""
    return measured


def test_a_unit_scale_changed_after_the_photo_is_a_caution_and_parts_follow(job, photo):
    job.plate("Plate", 80.0, 60.0)
    bpy.ops.flatwright.lay_out()
    assert job.state("bench") == "current"
    bpy.context.scene.unit_settings.scale_length = 1.005
    assert job.state("bench") == "stale"
    assert job.state("sheets") == "stale"
    assert "scale out of date" in job.objections("caution")


def test_a_photo_dragged_by_its_handles_is_put_back_and_told(job, photo):
    before = (photo.empty_display_size, *photo.empty_image_offset)
    photo.empty_display_size *= 0.76
    photo.empty_image_offset[0] += 0.1
    photo.scale = (1.2, 1.2, 1.2)
    picture = photo.data
    photo.data = bpy.data.images.new("Another", 8, 8)
    assert job.core("addon.bench.staying").put_back(bpy.context) == 1
    assert (photo.empty_display_size, *photo.empty_image_offset) == before
    assert tuple(photo.scale) == (1.0, 1.0, 1.0)
    assert photo.data == picture
    assert photo.flatwright_bench.was_put_back
    assert job.core("addon.bench.staying").put_back(bpy.context) == 0


def test_a_kerf_nobody_measured_is_not_called_measured(job, run, tmp_path, capsys):
    job.plate("Plate", 80.0, 60.0)
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.thickness_mm = 2.9
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    (page,) = tmp_path.glob("*.html")
    text = page.read_text(encoding="utf-8")
    assert "Kerf, not measured" in text
    assert "Thickness, as measured" in text
    assert "kerf was never measured" in text
    path = job.reopened(tmp_path)
    capsys.readouterr()
    assert run(["check", str(path), "--json"]) == 0
    (finding,) = json.loads(capsys.readouterr().out)["findings"]
    assert (finding["severity"], finding["rule"]) == ("caution", "not measured")
