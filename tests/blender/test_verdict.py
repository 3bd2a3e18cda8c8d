"""One verdict before cutting, the same for panel, saving and command line; and what makes it
current."""

import json

import bpy
import pytest

from tests.blender.verdict_scene import MM, Job, stretch

pytestmark = pytest.mark.blender


@pytest.fixture
def job(package, plate):
    return Job(package, plate)


RESULTS = ("parts", "check", "sheets", "files")


def states(job):
    return {result: job.state(result) for result in RESULTS}


ALL = dict.fromkeys(RESULTS, "current")


def test_nothing_becomes_stale_by_names_selection_saving_undo_and_redo(job, tmp_path):
    bpy.ops.ed.undo_push(message="before")
    lamp, collar = job.finished(tmp_path)
    assert states(job) == ALL
    lamp.name, collar.name, collar.data.name = "Globe", "Aaa", "Another"
    bpy.context.scene.flatwright_stocks[0].name = "Birch"
    bpy.ops.object.select_all(action="SELECT")
    bpy.context.scene.flatwright_assembly.shows_check = False
    job.follow()
    assert states(job) == ALL
    job.reopened(tmp_path)
    assert states(job) == ALL
    job.follow()
    assert states(job) == ALL
    bpy.ops.ed.undo_push(message="all is current")
    bpy.data.objects["Globe"].location.x += 0.2 * MM
    bpy.ops.ed.undo_push(message="moved")
    assert job.state("check") == "stale"
    bpy.ops.ed.undo()
    assert states(job) == ALL
    bpy.ops.ed.redo()
    assert job.state("check") == "stale"


def test_what_changed_and_comes_back_is_current_again(job, tmp_path):
    _, collar = job.finished(tmp_path)
    collar.location.z += 1.0 * MM
    assert job.state("check") == "stale"
    assert job.why("check").startswith("“Collar”: its place changed")
    collar.location.z -= 1.0 * MM
    assert states(job) == ALL


def test_a_fixture_with_its_scale_applied_is_the_same_fixture(job, tmp_path):
    lamp, _ = job.finished(tmp_path)
    lamp.scale = (2.0, 2.0, 2.0)
    stretch(lamp, 0.5)
    assert states(job) == ALL


def test_a_new_and_a_removed_part_are_told(job, tmp_path):
    _, collar = job.finished(tmp_path)
    twin = collar.copy()
    bpy.context.scene.collection.objects.link(twin)
    assert job.state("check") == "stale"
    assert f"“{twin.name}” is new" in job.why("check")
    bpy.data.objects.remove(twin)
    assert states(job) == ALL
    bpy.data.objects.remove(collar)
    job.plate("Other", 80.0, 60.0)
    job.follow()
    assert "“Collar” is gone" in job.why("check")


def test_panel_saving_and_command_line_say_the_same(job, tmp_path, capsys):
    lamp, _ = job.finished(tmp_path)
    lamp.location.x += 5.0 * MM
    bpy.ops.flatwright.check_readiness()
    listed = [f.sentence for f in bpy.context.scene.flatwright_readiness.findings]
    with pytest.raises(RuntimeError) as refused:
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), overwrite=True)
    path = job.reopened(tmp_path)
    capsys.readouterr()
    assert job.core("addon.commands").run(["check", str(path), "--json"]) == 1
    told = [f["sentence"] for f in json.loads(capsys.readouterr().out)["findings"]]
    assert told == listed
    assert "the fixture changed" in listed[0]
    assert listed[0] in str(refused.value)


def test_an_assembly_never_checked_stops_and_saving_anyway_is_written_down(job, tmp_path):
    job.ball()
    job.collar()
    job.measured()
    bpy.ops.flatwright.lay_out()
    assert job.objections() == ["not checked"]
    with pytest.raises(RuntimeError, match="never checked"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), anyway=True)
    (page,) = tmp_path.glob("*.html")
    text = page.read_text(encoding="utf-8")
    assert 'id="overridden"' in text
    assert "The assembly was never checked" in text


def test_without_fixture_and_joints_nothing_waits_for_a_check(job, tmp_path):
    job.plate("Plate", 80.0, 60.0)
    job.measured()
    bpy.ops.flatwright.lay_out()
    assert job.objections() == []
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))


def test_test_pieces_never_wait_for_the_assembly(job, tmp_path):
    job.ball()
    collar = job.collar()
    job.measured()
    settings = bpy.context.scene.flatwright_fit_series
    settings.feature, settings.nominal_mm = "slot", 3.0
    settings.first_mm, settings.last_mm, settings.step_mm = 2.9, 3.1, 0.1
    bpy.ops.flatwright.make_fit_series()
    collar.hide_set(True)
    assert job.objections("stop") == ["not checked", "hidden"]
    bpy.ops.flatwright.decide_hidden(choice="LEAVE")
    bpy.ops.flatwright.lay_out()
    assert job.objections() == []
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))


def test_hidden_parts_are_cut_or_left_out_as_decided(job):
    one = job.plate("One", 80.0, 60.0)
    job.plate("Other", 50.0, 40.0, y=100.0)
    job.measured()
    one.hide_set(True)
    assert job.objections() == ["hidden"]
    bpy.ops.flatwright.decide_hidden(choice="CUT")
    assert job.objections() == []
    assert not bpy.ops.flatwright.decide_hidden.poll()
    assert len(job.core("addon.state.things").parts_to_cut(bpy.context)) == 2
    one.flatwright_part.when_hidden = "LEAVE"
    assert len(job.core("addon.state.things").parts_to_cut(bpy.context)) == 1
    one.hide_set(False)
    assert len(job.core("addon.state.things").parts_to_cut(bpy.context)) == 2


def test_parts_whose_steps_are_shown_wait_for_no_decision(job, tmp_path):
    job.finished(tmp_path)
    bpy.ops.flatwright.show_steps()
    assert bpy.data.objects["Collar"].hide_get()
    assert job.objections() == []
    bpy.ops.flatwright.hide_steps()
    assert states(job) == ALL


def test_a_part_still_on_the_mat_is_told_and_left_out_of_the_steps(job):
    lamp, collar = job.ball(), job.collar()
    lamp.location.z = collar.location.z = 300.0 * MM
    shape = job.core("geometry.outline").rectangle(60.0, 40.0)
    job.core("addon.outline.outline_objects").add_outline(bpy.context, "Spare", shape)
    bpy.ops.flatwright.make_part()
    job.measured()
    job.follow()
    bpy.ops.flatwright.check_assembly()
    pushed = {p.thing.name for s in bpy.context.scene.flatwright_assembly.steps for p in s.pushed}
    assert "Collar" in pushed
    assert "Spare part" not in pushed
    assert job.objections() == ["not placed"]
    # Near to a part that was placed it counts, placed or not.
    collar.location.z = 7.0 * MM
    lamp.location.z = 7.0 * MM
    bpy.ops.flatwright.check_assembly()
    pushed = {p.thing.name for s in bpy.context.scene.flatwright_assembly.steps for p in s.pushed}
    assert job.objections("caution") == []


def test_one_bad_outline_stops_no_other_part(job):
    bad = job.plate("Bad", 80.0, 60.0, y=-200.0)
    good = job.plate("Good", 50.0, 40.0, y=200.0)
    one, other = job.crossing()
    before = job.profile(one).area_mm2
    bad.flatwright_part.outline.data.splines[0].use_cyclic_u = False
    one.flatwright_part.outline.data.splines[0].use_cyclic_u = False
    good.flatwright_part.outline.data.splines[0].bezier_points[0].co.x -= 1.0 * MM
    job.follow()
    assert job.state("parts") == "failed"
    assert "Bad: " in job.why("parts")
    assert "One: " in job.why("parts")
    assert job.profile(good).area_mm2 > 2000.0
    # What is joined with a bad one keeps its slots.
    assert job.profile(one).area_mm2 == before
    assert job.profile(other).area_mm2 < 80.0 * 60.0 - 50.0
    assert job.objections("stop")[0] == "cannot be built"
    bpy.ops.flatwright.lay_out()
    assert bpy.ops.flatwright.check_readiness() == {"FINISHED"}


def test_one_button_brings_everything_up_to_date_in_order(job, tmp_path):
    lamp, _ = job.finished(tmp_path)
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 2.0
    lamp.location.x += 0.1 * MM
    assert job.state("check") == job.state("sheets") == "stale"
    assert bpy.ops.flatwright.bring_up_to_date() == {"FINISHED"}
    assert states(job) == {**ALL, "files": "stale"}
    assert job.objections() == []


def test_a_ring_follows_the_fixture_until_a_hand_moves_it(job):
    lamp = job.ball()
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.ring_around_fixture(outer_diameter=0.14, clearance=0.0003)
    ring = bpy.data.objects["Ring"]
    rings = job.core("addon.assembly.rings")
    bore = job.profile(ring).holes[0].length_mm
    assert rings.ring_state(ring) == "follows"
    stretch(lamp, 1.05)
    lamp.location.x += 4.0 * MM
    assert job.state("parts") == "stale"
    job.follow()
    assert job.state("parts") == "current"
    assert job.profile(ring).holes[0].length_mm == pytest.approx(bore * 1.05, abs=0.2)
    assert ring.location.x == pytest.approx(4.0 * MM, abs=1e-6)
    ring.location.z += 3.0 * MM
    job.follow()
    assert rings.ring_state(ring) == "by hand"
    stretch(lamp, 1.05)
    job.follow()
    assert job.profile(ring).holes[0].length_mm == pytest.approx(bore * 1.05, abs=0.2)


def test_edges_in_doubt_are_a_caution_until_they_are_settled(job):
    plate = job.plate("Plate", 80.0, 60.0)
    job.measured()
    outline = plate.flatwright_part.outline
    outline.flatwright_outline.open_doubts = 2
    assert job.objections() == ["in doubt"]
    bpy.context.view_layer.objects.active = outline
    bpy.ops.flatwright.settle_edges()
    assert job.objections() == []


def test_an_outline_traced_before_its_scale_was_found_anew_is_told(job, traced):
    photo, _ = traced
    assert job.state("outline") == "current"
    photo.flatwright_bench.pitch_mm = 10.05
    bpy.context.view_layer.objects.active = photo
    bpy.ops.flatwright.find_grid()
    assert job.state("outline") == "stale"
    assert "found anew" in job.why("outline")


def test_a_part_placed_by_a_constraint_is_read_and_refused_while_hidden(job, tmp_path):
    lamp, collar = job.finished(tmp_path)
    pull = collar.constraints.new("COPY_LOCATION")
    pull.target = lamp
    assert job.state("check") == "current"
    lamp.location.z += 10.0 * MM
    assert job.state("check") == "stale"
    bpy.ops.flatwright.check_assembly()
    assert job.state("check") == "current"
    collar.hide_viewport = True
    with pytest.raises(RuntimeError, match="Show it"):
        bpy.ops.flatwright.check_assembly()


def test_a_hidden_fixture_with_a_modifier_is_refused_in_words(job):
    lamp = job.ball()
    job.collar()
    lamp.modifiers.new("Thick", "SOLIDIFY")
    lamp.hide_set(True)
    with pytest.raises(RuntimeError, match="Show it"):
        bpy.ops.flatwright.check_assembly()


def test_a_mirrored_part_is_refused(job):
    part = job.plate("Plate", 80.0, 60.0)
    part.scale.x = -1.0
    job.follow()
    assert "mirrored" in job.why("parts")


def test_a_mesh_is_hashed_once_between_two_changes(job, checked_fixture, monkeypatch):
    lamp, collar = checked_fixture
    stored = job.core("addon.state.stored")
    counted = []
    hashed = stored._mesh
    monkeypatch.setattr(stored, "_mesh", lambda data: counted.append(data) or hashed(data))
    graph = job.core("addon.state.graph")
    graph.read_anew(bpy.context)
    for _ in range(5):
        assert graph.status(bpy.context, "check").state == "current"
    collar.location.z += 1.0 * MM
    assert graph.status(bpy.context, "check").state == "stale"
    assert len(counted) == 1
    lamp.data.vertices[0].co.x += 1.0 * MM
    graph.status(bpy.context, "check")
    graph.status(bpy.context, "check")
    assert len(counted) == 2


@pytest.fixture
def checked_fixture(job, tmp_path):
    return job.finished(tmp_path)


def test_a_file_of_a_newer_version_is_refused_politely(job, tmp_path):
    job.finished(tmp_path)
    kept = bpy.context.scene.flatwright_state
    kept.version = 99
    job.reopened(tmp_path)
    assert bpy.context.scene.flatwright_state.version == 99
    with pytest.raises(RuntimeError, match="newer Flatwright"):
        bpy.ops.flatwright.check_assembly()
    with pytest.raises(RuntimeError, match="Update the extension"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), overwrite=True)
    path = str(tmp_path / "job.blend")
    assert job.core("addon.commands").run(["check", path]) == 1


def test_a_saved_file_says_its_version(job, tmp_path):
    job.plate("Plate", 80.0, 60.0)
    job.reopened(tmp_path)
    version = job.core("addon.state.records").VERSION
    assert bpy.context.scene.flatwright_state.version == version


def test_an_unknown_kind_is_an_error_and_not_taken_for_another(job):
    bench, errors = job.core("geometry.bench.references"), job.core("geometry.errors")
    record = bench.marked_to_record(bench.Marked("LENGTH", ((0.0, 0.0), (9.0, 0.0)), (10.0,)))
    with pytest.raises(errors.BenchError):
        bench.marked_from_record(record.replace("LENGTH", "SPHERE"))


def write_number(holder, name, number):
    """Write an enumeration's number as a later version's file would hold it."""
    kept = getattr(holder, "bl_system_properties_get", lambda: holder)()
    kept[name] = number


def test_a_choice_that_is_not_known_is_refused_and_not_taken_for_another(job, tmp_path):
    one, _ = job.crossing()
    scene = bpy.context.scene
    before = job.profile(one)
    for holder, name in (
        (scene.flatwright_assembly.joints[0], "kind"),
        (scene.flatwright_stocks[0], "process"),
        (scene.flatwright_stocks[0], "grain"),
        (scene.flatwright_assembly, "fit"),
        (one.flatwright_part, "when_hidden"),
        (one.flatwright_sheet, "role"),
    ):
        write_number(holder, name, 77)
        assert getattr(holder, name) == ""
        with pytest.raises(RuntimeError, match="does not know"):
            bpy.ops.flatwright.rebuild_parts()
        with pytest.raises(RuntimeError, match="does not know"):
            bpy.ops.flatwright.lay_out()
        job.follow()
        assert job.profile(one) == before
        write_number(holder, name, 0)
    assert bpy.ops.flatwright.rebuild_parts() == {"FINISHED"}


def test_a_stock_of_the_library_tells_its_version_and_an_odd_one_is_refused(job):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.save_to_library()
    library = job.core("addon.part.stock_library")
    kept = library.library(bpy.context).stocks[0]
    record = json.loads(kept.record)
    assert record["version"] == library.VERSION
    old = {name: value for name, value in record.items() if name not in ("version", "measured")}
    kept.record = json.dumps(old)
    bpy.ops.flatwright.add_from_library(name=kept.name)
    assert bpy.context.scene.flatwright_stocks[1].measured == set()
    for odd, words in (
        ({"version": 99}, "newer Flatwright"),
        ({"process": "waterjet"}, "does not know"),
        ({"grain": "diagonal"}, "does not know"),
        ({"measured": ["colour"]}, "does not know"),
        ({"kerf_mm": "wide"}, "cannot be read"),
        ({"version": "one"}, "cannot be read"),
    ):
        kept.record = json.dumps({**record, **odd})
        with pytest.raises(RuntimeError, match=words):
            bpy.ops.flatwright.add_from_library(name=kept.name)
        assert len(bpy.context.scene.flatwright_stocks) == 2
    library.remove_from_library(bpy.context, kept.name)


def test_what_changed_is_said_once_for_each_thing(job, tmp_path):
    _, collar = job.finished(tmp_path)
    collar.location.z += 1.0 * MM
    collar.data.splines[0].bezier_points[0].co.x += 1.0 * MM
    assert job.state("check") == "stale"
    assert job.why("check") == "“Collar”: its shape and its place changed."


def test_findings_are_kept_so_that_any_language_can_say_them(job, tmp_path, monkeypatch):
    lamp, _ = job.finished(tmp_path)
    lamp.location.x += 5.0 * MM
    bpy.ops.flatwright.check_assembly()
    bpy.ops.flatwright.check_readiness()
    sentences = job.core("geometry.sentences")
    words = job.core("addon.locale.words")
    kept = [
        *bpy.context.scene.flatwright_assembly.remarks,
        *bpy.context.scene.flatwright_readiness.findings,
    ]
    assert len(kept) >= 2
    english = [one.sentence for one in kept]
    told = [sentences.sentence_from_record(one.told) for one in kept]
    assert [str(one) for one in told] == english
    german = words.dictionary("de")
    monkeypatch.setattr(words, "_report", lambda english: german.get(english, english))
    assert words.in_words(told[-1]) != english[-1]
    # What is written for others, and what is decided by, stays English.
    assert job.core("addon.state.verdict").objections(bpy.context)[0].sentence in english


def test_a_finished_job_beside_the_window_is_drawn_anew(job, monkeypatch):
    runner = job.core("addon.state.runner")
    drawn = []
    monkeypatch.setattr(runner, "redraw", lambda: drawn.append(True))
    found = []
    job_of = runner.run_beside(lambda progress: 42, lambda ended: found.append(ended.result))
    job_of.thread.join()
    assert runner.collect() is None
    assert (found, drawn) == ([42], [True])
