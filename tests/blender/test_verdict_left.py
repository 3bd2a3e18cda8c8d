"""What is told of one photo or part alone: its parents' scale, its picture, its lost stock."""

import bpy
import pytest

from tests.blender.verdict_scene import Job

pytestmark = pytest.mark.blender


@pytest.fixture
def job(package, plate):
    return Job(package, plate)


@pytest.fixture
def photo(measured):
    """The demo's photo with its bench."""
    return measured


def scaled_parent(factors):
    parent = bpy.data.objects.new("Table", None)
    bpy.context.collection.objects.link(parent)
    parent.location, parent.rotation_euler = (0.3, -0.2, 0.1), (0.0, 0.0, 0.7)
    parent.scale = factors
    return parent


@pytest.mark.parametrize(
    "factors", [(0.76, 0.76, 0.76), (1.3, 0.8, 1.0), (-1.0, 1.0, 1.0), (0.0, 0.0, 0.0)]
)
def test_a_photo_scaled_by_its_parent_is_put_back_and_told(job, photo, factors):
    staying, poses = job.core("addon.bench.staying"), job.core("addon.blender.poses")
    photo.rotation_euler.z = 0.2
    photo.parent = scaled_parent(factors)
    bpy.context.view_layer.update()
    place = photo.matrix_world.translation.copy()
    assert bpy.app.timers.is_registered(staying._later)
    assert staying.put_back(bpy.context) == 1
    bpy.context.view_layer.update()
    assert poses.is_scaled(photo) == ""
    assert tuple(photo.scale) == (1.0, 1.0, 1.0)
    assert photo.flatwright_bench.was_put_back
    if all(factors):
        assert photo.parent is not None
        assert (photo.matrix_world.translation - place).length < 1e-6
    assert (photo.matrix_world.to_3x3().col[2].z) > 0.999
    assert staying.put_back(bpy.context) == 0
    # A parent that only moves and turns takes the photo along.
    if photo.parent is not None:
        photo.parent.rotation_euler.z += 0.5
        bpy.context.view_layer.update()
        assert staying.put_back(bpy.context) == 0


def test_another_picture_in_the_photo_makes_bench_and_outline_stale(job, photo):
    graph = job.core("addon.state.graph")
    bpy.context.view_layer.objects.active = photo
    image = photo.flatwright_photo.original
    before = bytes(image.packed_file.data)
    outline = bpy.data.objects.new("Traced", bpy.data.curves.new("Traced", "CURVE"))
    bpy.context.collection.objects.link(outline)
    settings = outline.flatwright_outline
    settings.is_outline, settings.photo = True, photo
    settings.bench_mark = graph.bench_mark(photo)
    assert job.state("bench") == "current"
    assert graph.stale_outlines(bpy.context) == []
    # As many bytes, and only one of them another.
    other = before[:-1] + bytes([before[-1] ^ 1])
    image.pack(data=other, data_len=len(other))
    assert job.state("bench") == "stale"
    assert "Find the scale again" in job.why("bench")
    assert graph.stale_outlines(bpy.context) == [outline]
    image.pack(data=before, data_len=len(before))
    assert job.state("bench") == "current"
    assert graph.stale_outlines(bpy.context) == []
    image.unpack(method="REMOVE")
    assert job.state("bench") == "stale"
    with pytest.raises(RuntimeError, match="not packed in this file any more"):
        bpy.ops.flatwright.find_grid()


def test_a_picture_is_hashed_once_for_each_data_block(job, photo, monkeypatch):
    stored = job.core("addon.state.stored")
    hashed = []
    digest = stored.digest
    monkeypatch.setattr(stored, "digest", lambda *told: hashed.append(told) or digest(*told))
    stored.forget(photo.flatwright_photo.original)
    marks = {stored.picture_mark(photo) for _ in range(60)}
    assert len(marks) == 1
    assert len(hashed) == 1


def test_a_part_without_its_stock_stops_itself_alone(job, tmp_path):
    job.collar()
    alone = job.plate("Alone", 50.0, 40.0, y=300.0, lift=80.0)
    job.ball()
    stocks = bpy.context.scene.flatwright_stocks
    bpy.ops.flatwright.add_stock(kind="ACRYLIC")
    alone.flatwright_part.stock = stocks[1].name
    job.measured()
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.check_assembly()
    lost = stocks[1].name
    stocks.remove(1)
    job.follow()
    assert bpy.ops.flatwright.check_readiness() == {"FINISHED"}
    assert bpy.ops.flatwright.lay_out() == {"FINISHED"}
    assert {
        o.flatwright_sheet.stock for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"
    } == {stocks[0].name}
    assert bpy.ops.flatwright.check_assembly() == {"FINISHED"}
    assert "not placed" not in job.objections()
    assert bpy.ops.flatwright.check_readiness() == {"FINISHED"}
    stops = [
        o.sentence
        for o in job.core("addon.state.verdict").objections(bpy.context)
        if o.severity == "stop"
    ]
    assert any("Alone" in one and lost in one and "Choose another" in one for one in stops)
    with pytest.raises(RuntimeError, match="Alone"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), overwrite=True)
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), overwrite=True, anyway=True)
    listed = next(tmp_path.glob("*cut list*.html")).read_text(encoding="utf-8")
    assert "Collar" in listed
    assert "Alone" in listed
    alone.flatwright_part.stock = stocks[0].name
    job.follow()
    bpy.ops.flatwright.check_assembly()
    bpy.ops.flatwright.lay_out()
    assert job.objections("stop") == []


def test_where_no_part_has_its_stock_that_is_said(job):
    job.crossing()
    bpy.context.scene.flatwright_stocks.clear()
    job.follow()
    assert job.objections("stop")[0] == "cannot be built"
    for operator in (bpy.ops.flatwright.lay_out, bpy.ops.flatwright.check_assembly):
        with pytest.raises(RuntimeError, match="no stock named"):
            operator()
    assert bpy.ops.flatwright.check_readiness() == {"FINISHED"}
