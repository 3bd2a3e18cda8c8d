"""The main job through the extension's operators, and what bad input does to it."""

import math

import bpy
import numpy as np
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


def names():
    return sorted(o.name for o in bpy.data.objects)


@pytest.fixture
def bench(demo, measured):
    """The demo's photo with its grid found."""
    return measured, demo[1]


def add_ball(radius=0.1, z=0.14):
    bpy.ops.mesh.primitive_uv_sphere_add(
        segments=128, ring_count=64, radius=radius, location=(0, 0, z)
    )
    ball = bpy.context.object
    bpy.ops.flatwright.set_fixture()
    return ball


def add_outline(package, profile, name="Plate"):
    from importlib import import_module

    outlines = import_module(f"{package}.addon.outline.outline_objects")
    return outlines.add_outline(bpy.context, name, profile)


def shapes(package):
    from importlib import import_module

    return import_module(f"{package}.geometry.outline")


def test_photo_to_symmetric_outline(bench, package, tmp_path):
    photo, truth = bench
    data = photo.flatwright_bench
    assert data.tilt_deg == pytest.approx(truth["tilt_deg"], abs=0.1)
    assert 0.0 < data.doubt_per_100_mm < 0.05
    tilt, good, misses = data.told.splitlines()
    assert tilt.startswith("The photo is tilted by 1")
    assert "ISO 2768-1 fine is ± 0.15" in good
    assert misses.endswith("mm rms.")
    # The picture lies at true scale with the bench's origin at the object's.
    assert photo.empty_display_size == pytest.approx(0.53, abs=0.05)
    bpy.ops.flatwright.trace_outline(inside_px=truth["inside_px"])
    outline = bpy.context.object
    assert outline.type == "CURVE"
    assert outline.dimensions[0] / MM == pytest.approx(107.0, abs=3.0)
    assert len(outline.data.splines) == 2
    bpy.ops.flatwright.make_symmetric()
    symmetric = bpy.context.object
    assert symmetric is not outline
    assert 0.3 < symmetric.flatwright_outline.deviation_max_mm < 1.5
    assert symmetric.flatwright_outline.deviation_rms_mm < 0.6
    # Saved and opened again, everything goes on.
    path, name = tmp_path / "job.blend", symmetric.name
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    bpy.ops.wm.open_mainfile(filepath=str(path))
    bpy.context.view_layer.objects.active = bpy.data.objects[name]
    assert bpy.context.object.flatwright_outline.photo.flatwright_bench.record
    bpy.ops.flatwright.trace_outline(inside_px=truth["inside_px"])
    assert len(bpy.context.object.data.splines) == 2


def test_given_axis_is_kept(package):
    outline = shapes(package)
    corners = [(-40.0, 0.0), (40.3, 0.0), (30.0, 50.0), (-30.2, 50.0)]
    add_outline(package, outline.Profile(outline.Loop.through(corners)))
    bpy.ops.flatwright.make_symmetric(place="middle", axis_deg=90.0)
    thing = bpy.context.object
    assert thing.flatwright_outline.symmetry == "Axis at 90.00°"
    nodes = read(package, thing).outer.nodes()
    assert abs(nodes[:, 0].max() - 40.15 + nodes[:, 0].min() + 40.15) < 0.4
    assert thing.flatwright_outline.deviation_max_mm < 0.4


def test_click_on_the_mat_is_refused_and_changes_nothing(bench):
    before = names()
    with pytest.raises(RuntimeError, match=r"[Cc]lick"):
        bpy.ops.flatwright.trace_outline(inside_px=(300.0, 2700.0))
    assert names() == before


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda p: p, "no file"),
        (lambda p: p.mkdir() or p, "folder"),
        (lambda p: p.write_bytes(b"") or p, "empty"),
        (lambda p: p.write_text("no picture") or p, "is no picture"),
    ],
)
def test_what_is_no_photo_is_refused(make, words, tmp_path):
    path = tmp_path / "mock-up.jpg"
    make(path)
    before = names(), len(bpy.data.images)
    with pytest.raises(RuntimeError, match=words):
        bpy.ops.flatwright.add_photo(filepath=str(path))
    assert (names(), len(bpy.data.images)) == before


def test_photo_without_a_grid_is_refused(tmp_path):
    from PIL import Image

    noise = np.random.default_rng(3).integers(90, 140, (600, 800, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "desk.png")
    bpy.ops.flatwright.add_photo(filepath=str(tmp_path / "desk.png"))
    shown = bpy.context.object.data
    with pytest.raises(RuntimeError, match="grid"):
        bpy.ops.flatwright.find_grid()
    assert bpy.context.object.data == shown
    assert bpy.context.object.flatwright_bench.record == ""


def test_buttons_wait_for_what_they_need():
    for name in (
        "find_grid",
        "trace_outline",
        "make_symmetric",
        "make_part",
        "stand_around",
        "ring_around_fixture",
        "join_parts",
        "check_assembly",
        "lay_out",
        "save_cut_files",
    ):
        assert not getattr(bpy.ops.flatwright, name).poll(), name


def test_ring_fits_the_ball_through_its_thickness(package):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    add_ball()
    bpy.ops.flatwright.ring_around_fixture(height=0.09, outer_diameter=0.228, clearance=0.3 * MM)
    ring = bpy.context.object
    profile = read(package, ring)
    # 100 mm ball, 3 mm ply 50 mm below its middle: widest at 48.5 mm.
    wanted = 2.0 * (math.sqrt(100.0**2 - 48.5**2) + 0.3)
    bore = 2.0 * profile.holes[0].segments[0].radius_mm
    assert bore == pytest.approx(wanted, abs=0.1)
    assert ring.dimensions[2] / MM == pytest.approx(3.0, abs=1e-4)


def read(package, thing):
    from importlib import import_module

    return import_module(f"{package}.addon.blender.curves").read_profile(thing.data)


def cross(package):
    """Two plates that cross each other."""
    outline = shapes(package)
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    plates = []
    for i in range(2):
        add_outline(package, outline.rectangle(80.0, 60.0), f"Plate {i}")
        bpy.ops.flatwright.make_part()
        part = bpy.context.object
        part.rotation_euler = (math.pi / 2.0, 0.0, i * math.pi / 2.0)
        plates.append(part)
    bpy.context.view_layer.update()
    return plates


def test_cross_lap_follows_a_changed_thickness(package):
    plates = cross(package)
    bpy.ops.flatwright.join_parts()
    assert len(bpy.context.scene.flatwright_assembly.joints) == 1
    full = 80.0 * 60.0
    for plate in plates:
        assert read(package, plate).area_mm2 == pytest.approx(full - 3.0 * 30.0, abs=0.01)
    bpy.context.scene.flatwright_stocks[0].thickness = 2.7 * MM
    bpy.ops.flatwright.rebuild_parts()
    for plate in plates:
        assert read(package, plate).area_mm2 == pytest.approx(full - 2.7 * 30.0, abs=0.01)
        assert plate.dimensions[2] / MM == pytest.approx(2.7, abs=1e-4)
    bpy.ops.flatwright.join_parts()
    assert len(bpy.context.scene.flatwright_assembly.joints) == 1


def test_joint_sleeps_while_parts_are_apart_and_can_be_removed(package):
    plates = cross(package)
    bpy.ops.flatwright.join_parts()
    plates[1].location = (0.5, 0.0, 0.0)
    bpy.ops.flatwright.rebuild_parts()
    assert read(package, plates[0]).area_mm2 == pytest.approx(4800.0)
    plates[1].location = (0.0, 0.0, 0.0015)
    bpy.ops.flatwright.rebuild_parts()
    assert read(package, plates[0]).area_mm2 == pytest.approx(4710.0, abs=10.0)
    bpy.ops.flatwright.separate_parts()
    assert read(package, plates[0]).area_mm2 == pytest.approx(4800.0)
    assert not bpy.ops.flatwright.separate_parts.poll()


def test_a_check_holds_until_something_moves(package):
    from importlib import import_module

    plates = cross(package)
    bpy.ops.flatwright.join_parts()
    add_ball(0.01, 0.5)
    bpy.ops.flatwright.check_assembly()
    settings = bpy.context.scene.flatwright_assembly
    assert settings.interferences == 0
    assert settings.order_found
    holds = import_module(f"{package}.addon.state.graph").check_holds
    assert holds(bpy.context)
    bpy.ops.flatwright.lay_out()
    assert holds(bpy.context)
    plates[0].location.z += 0.002
    bpy.context.view_layer.update()
    assert not holds(bpy.context)


def test_parts_that_do_not_meet_are_refused(package):
    plates = cross(package)
    plates[1].location = (0.5, 0.0, 0.0)
    bpy.context.view_layer.update()
    before = [read(package, p) for p in plates]
    with pytest.raises(RuntimeError, match="cross"):
        bpy.ops.flatwright.join_parts()
    assert [read(package, p) for p in plates] == before
    assert len(bpy.context.scene.flatwright_assembly.joints) == 0


def test_scaled_part_is_refused_with_what_to_do(package):
    plates = cross(package)
    plates[0].scale = (1.1, 1.1, 1.1)
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="scale"):
        bpy.ops.flatwright.join_parts()


def test_edited_outline_is_what_the_part_becomes(package):
    outline = shapes(package)
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    thing = add_outline(package, outline.rectangle(80.0, 60.0))
    bpy.ops.flatwright.make_part()
    part = bpy.context.object
    for point in thing.data.splines[0].bezier_points:
        if point.co.x > 0.0:
            point.co.x += 0.01
    bpy.ops.flatwright.rebuild_parts()
    assert read(package, part).area_mm2 == pytest.approx(90.0 * 60.0, abs=0.01)


def test_cut_files_hold_the_kerf_and_are_not_overwritten(package, tmp_path):
    import ezdxf

    outline = shapes(package)
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.context.scene.flatwright_stocks[0].kerf_mm = 0.2
    add_outline(package, outline.ring(100.0, 60.0))
    bpy.ops.flatwright.make_part()
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    (dxf,) = tmp_path.glob("*.dxf")
    circles = sorted(c.dxf.radius for c in ezdxf.readfile(dxf).modelspace().query("CIRCLE"))
    assert circles == [pytest.approx(29.9, abs=1e-6), pytest.approx(50.1, abs=1e-6)]
    before = {p: p.read_bytes() for p in tmp_path.iterdir()}
    assert len(before) == 3
    with pytest.raises(RuntimeError, match="exist"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert {p: p.read_bytes() for p in tmp_path.iterdir()} == before
    with pytest.raises(RuntimeError, match="folder"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path / "nowhere"))


def test_other_scene_units_change_nothing_but_the_display(package):
    outline = shapes(package)
    settings = bpy.context.scene.unit_settings
    settings.system, settings.scale_length = "IMPERIAL", 0.0254
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    assert stock.thickness == pytest.approx(3.0 / 25.4, rel=1e-6)
    stock.thickness = 0.125
    assert stock.thickness_mm == pytest.approx(3.175, abs=1e-4)
    thing = add_outline(package, outline.circle(50.8))
    bpy.context.view_layer.update()
    assert thing.dimensions[0] == pytest.approx(2.0, rel=1e-5)
    assert read(package, thing).outer.segments[0].radius_mm == pytest.approx(25.4)


def test_a_picture_of_a_screen_is_told_when_it_is_added(demo, tmp_path, capfd):
    from PIL import Image

    exif = Image.Exif()
    exif.get_ifd(0x8769)[37510] = b"ASCII\0\0\0Screenshot"
    path = tmp_path / "screen.jpg"
    Image.new("RGB", (640, 480), "grey").save(path, exif=exif.tobytes())
    assert bpy.ops.flatwright.add_photo(filepath=str(path)) == {"FINISHED"}
    assert "picture of a screen" in capfd.readouterr().out
