"""Several marked references: combined, moved, taken away, kept; and held against each other."""

from importlib import import_module

import bpy
import numpy as np
import pytest
from PIL import Image

from tests.blender.test_bench_marks import flat, seen
from tests.core.ruler_pictures import ruler_picture

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def photo(demo):
    path, truth = demo
    bpy.ops.flatwright.add_photo(filepath=str(path))
    return bpy.context.object, truth


@pytest.fixture
def kept(package):
    return import_module(f"{package}.addon.bench.reference_record").kept_references


@pytest.fixture
def read_bench(package):
    return import_module(f"{package}.addon.bench.bench_record").read_bench


def length(truth, a, b, operator="mark_length", **given):
    ends = seen(truth, [a, b])
    mm = given.pop("mm", float(np.hypot(b[0] - a[0], b[1] - a[1])))
    getattr(bpy.ops.flatwright, operator)(a_px=ends[0], b_px=ends[1], length=mm * MM, **given)


def test_a_second_length_gives_the_scale_together_with_the_first(photo, kept):
    thing, truth = photo
    length(truth, (60.0, 60.0), (260.0, 60.0))
    alone = thing.flatwright_bench.doubt_per_100_mm
    length(truth, (60.0, 60.0), (60.0, 200.0), "add_length")
    settings = thing.flatwright_bench
    assert [one.size_mm for one in kept(thing)] == [(200.0,), (140.0,)]
    # The demo's camera is tilted by a few degrees: the two together ask for a tilt.
    assert settings.tilt_deg > 1.0
    assert max(abs(one.misfit_mm) for one in settings.references) < 0.1
    assert settings.found_from == "LENGTH"
    assert settings.doubt_per_100_mm != alone
    bpy.ops.flatwright.remove_reference(index=1)
    assert [one.size_mm for one in kept(thing)] == [(200.0,)]
    assert settings.doubt_per_100_mm == pytest.approx(alone)


def test_length_beside_a_grid_is_held_against_it(demo, measured, read_bench):
    thing, truth = measured, demo[1]
    settings = thing.flatwright_bench
    record = settings.record
    length(truth, (60.0, 60.0), (260.0, 60.0), "add_length")
    assert settings.contradictions == ""
    assert abs(settings.references[0].misfit_mm) < 0.1
    length(truth, (60.0, 100.0), (260.0, 100.0), "add_length", mm=203.0)
    told = settings.contradictions
    assert "203 ± " in told
    assert "200.0" in told
    assert settings.references[1].misfit_mm == pytest.approx(-3.0, abs=0.1)
    # The grid gives the scale, whatever was marked beside it.
    assert (settings.record, settings.found_from) == (record, "GRID")
    bpy.ops.flatwright.remove_reference(index=1)
    assert settings.contradictions == ""
    assert len(settings.references) == 1


def test_rectangle_after_a_grid_is_held_against_that_grid(demo, measured):
    thing, truth = measured, demo[1]
    corners = [(50.0, 150.0), (250.0, 150.0), (250.0, 50.0), (50.0, 50.0)]
    given = {"corners_px": flat(seen(truth, corners)), "sheet": "TYPED", "height": 100 * MM}
    settings = thing.flatwright_bench
    bpy.ops.flatwright.mark_rectangle(width=200 * MM, **given)
    assert settings.contradictions == ""
    bpy.ops.flatwright.mark_rectangle(width=210 * MM, **given)
    assert "210 ± " in settings.contradictions
    bpy.ops.flatwright.remove_reference(index=-1)
    assert settings.contradictions == ""
    with pytest.raises(RuntimeError, match="this reference alone"):
        bpy.ops.flatwright.remove_reference(index=0)


def test_a_moved_mark_gives_the_scale_anew(photo, kept, read_bench):
    thing, truth = photo
    ends = seen(truth, [(60.0, 60.0), (260.0, 60.0)])
    bpy.ops.flatwright.mark_length(a_px=ends[0], b_px=ends[1] + [40.0, 0.0], length=200 * MM)
    bpy.ops.flatwright.move_marks(mark=1, place_px=ends[1])
    (marked,) = kept(thing)
    np.testing.assert_allclose(marked.marks_px, ends, atol=1e-3)
    a, b = read_bench(thing).to_plane(ends)
    assert np.hypot(*(b - a)) == pytest.approx(200.0, abs=0.01)


def test_a_moved_corner_is_the_rectangle_marked_there_at_once(photo, read_bench):
    thing, truth = photo
    corners = seen(truth, [(50.0, 150.0), (250.0, 150.0), (250.0, 50.0), (50.0, 50.0)])
    given = {"sheet": "CELLS", "columns": 20, "rows": 10, "pitch": 10 * MM}
    bpy.ops.flatwright.mark_rectangle(corners_px=flat(corners), **given)
    right = read_bench(thing).to_plane(corners)
    beside = corners + np.array([[0.0, 0.0], [0.0, 0.0], [9.0, -7.0], [0.0, 0.0]])
    bpy.ops.flatwright.mark_rectangle(corners_px=flat(beside), **given)
    assert np.abs(read_bench(thing).to_plane(corners) - right).max() > 0.3
    bpy.ops.flatwright.move_marks(mark=2, place_px=corners[2])
    np.testing.assert_allclose(read_bench(thing).to_plane(corners), right, atol=0.01)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "No mark was moved"),
        ({"mark": 2, "place_px": (50.0, 50.0)}, "0 to 1"),
        ({"mark": 0, "place_px": (-50.0, 50.0)}, "beside the photo"),
    ],
)
def test_bad_moves_are_refused_and_change_nothing(photo, kept, given, words):
    thing, truth = photo
    length(truth, (60.0, 60.0), (260.0, 60.0))
    record, before = thing.flatwright_bench.record, kept(thing)
    with pytest.raises(RuntimeError, match=words):
        bpy.ops.flatwright.move_marks(**given)
    assert thing.flatwright_bench.record == record
    assert kept(thing) == before


def test_without_marks_there_is_nothing_to_move_or_add_to(photo):
    assert not bpy.ops.flatwright.move_marks.poll()
    assert not bpy.ops.flatwright.add_length.poll()


def test_marks_are_saved_with_the_file(photo, kept, tmp_path):
    thing, truth = photo
    length(truth, (60.0, 60.0), (260.0, 60.0))
    before = kept(thing)
    path = str(tmp_path / "marks.blend")
    bpy.ops.wm.save_as_mainfile(filepath=path)
    bpy.ops.wm.open_mainfile(filepath=path)
    again = next(o for o in bpy.data.objects if o.flatwright_photo.is_photo)
    assert kept(again) == before
    assert again.flatwright_bench.references[0].misfit_mm == pytest.approx(0.0, abs=1e-6)


def test_a_model_at_one_to_ten_gives_outlines_ten_times_as_large(demo, measured):
    thing, truth = measured, demo[1]
    thing.flatwright_bench.model_scale = 10.0
    bpy.ops.flatwright.trace_outline(inside_px=truth["inside_px"])
    cut_mm = np.array(truth["hand_cut_outer_mm"])
    # The mock-up lies turned on the mat, so its longest way across is compared.
    across = np.hypot(*(cut_mm[:, None] - cut_mm[None]).reshape(-1, 2).T).max()
    corners = [np.array(p.co[:2]) for s in bpy.context.object.data.splines for p in s.bezier_points]
    found = max(float(np.hypot(*(a - b))) for a in corners for b in corners) / MM
    assert found == pytest.approx(10.0 * across, rel=0.01)


def picture(tmp_path, pixels):
    path = tmp_path / "picture.png"
    Image.fromarray(pixels).save(path)
    bpy.ops.flatwright.add_photo(filepath=str(path))
    return bpy.context.object


def test_a_ruler_is_locked_on_to_and_its_marks_shown_on_the_ticks(tmp_path, kept):
    pixels, at, mm = ruler_picture(21, ticks=80, px_per_mm=7.0, angle_deg=6.0)
    thing = picture(tmp_path, pixels)
    a, b = at(np.array([10.0, 70.0]), 2.0) + np.array([[1.1, 0.4], [-0.8, 0.6]])
    bpy.ops.flatwright.mark_length(a_px=a, b_px=b, length=60 * MM, lock_on=True)
    assert thing.flatwright_bench.nodes_used > 50
    (marked,) = kept(thing)
    np.testing.assert_allclose(mm(np.array(marked.marks_px)), [10.0, 70.0], atol=0.04)
    # Moved a pixel it locks on to the same ticks, moved by seven it does not go.
    bpy.ops.flatwright.move_marks(mark=1, place_px=b + np.array([1.5, 0.0]))
    again = mm(np.array(kept(thing)[0].marks_px))
    np.testing.assert_allclose(again, [10.0, 70.0], atol=0.04)
    with pytest.raises(RuntimeError, match="Check the length"):
        bpy.ops.flatwright.move_marks(mark=1, place_px=at(np.array([77.0]), 2.0)[0])
    np.testing.assert_array_equal(mm(np.array(kept(thing)[0].marks_px)), again)


def test_corners_are_snapped_and_shown_where_the_edges_meet(tmp_path, kept):
    # A pale card on a dark mat: 85.6 × 53.98 mm at ten pixels a millimetre, square on.
    pixels = np.full((900, 1200, 3), 60, dtype=np.uint8)
    pixels += np.random.default_rng(3).integers(0, 12, pixels.shape, dtype=np.uint8)
    pixels[150:690, 170:1026] = 215
    thing = picture(tmp_path, pixels)
    true = np.array([(169.5, 149.5), (1025.5, 149.5), (1025.5, 689.5), (169.5, 689.5)])
    by_hand = true + np.array([[4.0, -3.0], [-5.0, 2.0], [3.0, 4.0], [2.0, -4.0]])
    bpy.ops.flatwright.mark_rectangle(corners_px=flat(by_hand), sheet="ID1", snap=True)
    (marked,) = kept(thing)
    np.testing.assert_allclose(marked.marks_px, true, atol=0.15)
    bpy.ops.flatwright.move_marks(mark=0, place_px=true[0] + [3.0, 3.0])
    np.testing.assert_allclose(kept(thing)[0].marks_px, true, atol=0.15)


def test_an_inset_stays_in_the_viewport(package):
    magnifier = import_module(f"{package}.addon.bench.magnifier")
    shown = np.zeros((168, 168, 3), dtype=np.uint8)
    for mouse in [(5.0, 5.0), (795.0, 595.0), (400.0, 300.0), (795.0, 5.0)]:
        inset = magnifier.inset_at(shown, mouse, (800, 600), 1.0)
        x, y = inset.at
        assert 0.0 <= x <= 800.0 - 168.0
        assert 0.0 <= y <= 600.0 - 168.0
        # What is marked stays in sight beside it.
        assert not (x <= mouse[0] <= x + 168.0 and y <= mouse[1] <= y + 168.0)


def test_a_coins_edge_is_found_and_gives_the_scale(tmp_path, kept):
    # A pale disc of 23.25 mm at ten pixels a millimetre, square on, on a dark mat.
    y, x = np.mgrid[:800, :1000]
    cover = np.clip(116.25 - np.hypot(x - 480.3, y - 390.6) + 0.5, 0.0, 1.0)
    noise = np.random.default_rng(4).normal(0.0, 2.0, cover.shape)
    grey = np.clip(60.0 + 140.0 * cover + noise, 0, 255).astype(np.uint8)
    thing = picture(tmp_path, np.repeat(grey[..., None], 3, axis=2))
    rim = [(480.0, 277.0), (594.0, 390.0), (481.0, 504.0), (366.0, 391.0)]
    bpy.ops.flatwright.mark_disc(rim_px=flat(rim), disc="EUR1")
    settings = thing.flatwright_bench
    assert (settings.reference, settings.found_from, settings.disc) == ("DISC", "DISC", "EUR1")
    (marked,) = kept(thing)
    away = np.hypot(*(np.array(marked.marks_px) - [480.3, 390.6]).T)
    np.testing.assert_allclose(away, 116.25, atol=0.2)
    assert marked.height_mm == pytest.approx(2.33)
    assert settings.references[0].misfit_mm == pytest.approx(0.0, abs=0.05)
    bpy.ops.flatwright.mark_disc(rim_px=flat(rim), disc="EUR1", together=True)
    assert len(kept(thing)) == 2
