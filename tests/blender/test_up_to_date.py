"""One button brings all up to date in order: photo, outlines, parts, check and sheets."""

import bpy
import pytest

from tests.blender.verdict_scene import MM, Job

pytestmark = pytest.mark.blender


@pytest.fixture
def job(package, plate):
    return Job(package, plate)


def width_mm(job, thing):
    x0, _, x1, _ = job.profile(thing).bounds_mm
    return x1 - x0


def test_a_thickness_typed_late_is_taken_up_by_photo_outline_symmetry_and_part(job, traced):
    photo, outline = traced
    bpy.ops.flatwright.make_symmetric()
    symmetric = bpy.context.object
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.context.view_layer.objects.active = symmetric
    bpy.ops.flatwright.make_part()
    part = bpy.context.object
    before = [width_mm(job, thing) for thing in (outline, symmetric, part)]
    photo.flatwright_bench.face_height_mm = 25.0
    assert (job.state("bench"), job.state("outline")) == ("stale", "stale")
    assert "thickness" in job.why("bench")
    assert bpy.ops.flatwright.bring_up_to_date() == {"FINISHED"}
    assert [job.state(r) for r in ("bench", "outline", "parts")] == ["current"] * 3
    after = [width_mm(job, thing) for thing in (outline, symmetric, part)]
    # The camera stands some 600 mm over the mat: what lies 20 mm nearer to it is seen larger.
    assert all(0.5 < b - a < 8.0 for a, b in zip(after, before, strict=True))
    assert photo.flatwright_bench.straightened_height_mm == pytest.approx(25.0)


def test_another_unit_scale_is_taken_up_and_is_no_edit(job, traced):
    _, outline = traced
    before = width_mm(job, outline)
    bpy.context.scene.unit_settings.scale_length = 1.01
    assert width_mm(job, outline) == pytest.approx(1.01 * before, abs=0.01)
    assert (job.state("bench"), job.state("outline")) == ("stale", "stale")
    bpy.ops.flatwright.bring_up_to_date()
    assert (job.state("bench"), job.state("outline")) == ("current", "current")
    assert width_mm(job, outline) == pytest.approx(before, abs=1e-3)


def test_another_grid_pitch_is_told_with_the_button_to_press(job, traced):
    photo, _ = traced
    photo.flatwright_bench.pitch_mm = 12.0
    assert job.state("bench") == "stale"
    assert "Press Find Grid" in job.why("bench")
    assert bpy.ops.flatwright.bring_up_to_date() == {"FINISHED"}
    assert "Press Find Grid" in job.why("bench")
    photo.flatwright_bench.pitch_mm = 10.0
    assert job.state("bench") == "current"


def test_what_a_hand_has_edited_is_left_and_told(job, traced, monkeypatch):
    photo, outline = traced
    for spline in outline.data.splines:
        for point in spline.bezier_points:
            point.handle_left.x *= 1.01
            point.handle_right.x *= 1.01
            point.co.x *= 1.01
    photo.flatwright_bench.face_height_mm = 10.0
    edited = job.profile(outline)
    updating = job.core("addon.guide.updating")
    told = []
    kind = updating.FLATWRIGHT_OT_bring_up_to_date
    tell = kind.tell
    monkeypatch.setattr(kind, "tell", lambda self, c: (told.extend(self._left), tell(self, c))[1])
    assert bpy.ops.flatwright.bring_up_to_date() == {"FINISHED"}
    assert job.profile(outline) == edited
    assert job.state("bench") == "current"
    assert job.state("outline") == "stale"
    assert "edited by hand" in str(told[0])


def test_a_symmetric_outline_follows_the_one_it_was_made_from(job):
    shape = job.core("geometry.outline").rectangle(80.0, 60.0)
    outlines = job.core("addon.outline.outline_objects")
    source = outlines.add_outline(bpy.context, "Hand", shape)
    bpy.ops.flatwright.make_symmetric()
    symmetric = bpy.context.object
    assert job.state("outline") == "current"
    source.name = "By hand"
    assert job.state("outline") == "current"
    for point in source.data.splines[0].bezier_points:
        point.co.x *= 1.1
    assert job.state("outline") == "stale"
    assert "“By hand” changed" in job.why("outline")
    assert bpy.ops.flatwright.bring_up_to_date() == {"FINISHED"}
    assert job.state("outline") == "current"
    assert width_mm(job, symmetric) == pytest.approx(88.0, abs=1e-3)
    # Files of 0.1.0 do not say what it was made from.
    symmetric.flatwright_outline.traced_mark = ""
    source.data.splines[0].bezier_points[0].co.x += 1.0 * MM
    assert job.state("outline") == "current"


def test_a_drawn_line_keeps_where_it_was_clicked_on(job, traced):
    photo, _ = traced
    record = job.core("addon.outline.tracing.record")
    shape = job.core("geometry.outline").rectangle(50.0, 40.0, (10.0, 20.0))
    outlines = job.core("addon.outline.outline_objects")
    thing = outlines.add_outline(bpy.context, "Sketch", shape, photo)
    record.keep_drawn(thing, shape, (200.0, 300.0), 0.1, "precise")
    assert not record.is_traced(thing)
    assert not record.is_edited(thing)
    again = job.core("addon.guide.remaking").made_again(thing)
    again.show(shape.moved(1.0, 0.0))
    assert job.profile(thing).bounds_mm[0] == pytest.approx(shape.bounds_mm[0] - 9.0, abs=1e-3)
    assert job.state("outline") == "current"
