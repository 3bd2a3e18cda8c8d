# ruff: noqa: E402, E501
"""Make the .blend that holds every kind of record version 0.1.0 keeps, by its own operators.

``FLATWRIGHT_ENVIRONMENT=test .venv-4.2/bin/python tests/data/blend_0_1_0/make.py``; only the code of
version 0.1.0 makes these files.
"""

import contextlib
import io
import json
import math
import os
import shutil
import sys
import tempfile
from importlib import import_module
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
sys.path[:0] = [
    str(ROOT),
    str(ROOT / "scripts"),
    str(ROOT / "tests" / "core"),
    str(ROOT / "tests" / "blender"),
]
FOLDER = Path(tempfile.mkdtemp(prefix="flatwright-old-"))
os.environ["BLENDER_USER_RESOURCES"] = str(FOLDER / "resources")

import ezdxf
import numpy as np
from build_extension import build, this_platform
from install_extension import install
from mat_pictures import Mat, Scene, look, mat_picture
from part_pictures import DARKER, TAPE, WHITE, camera_over, picture
from PIL import Image
from ruler_pictures import ruler_picture
from shapely import Point, Polygon, box, union_all

PACKAGE = install(build(this_platform(), folder=FOLDER / "dist"), FOLDER / "resources")

import bpy
import old_files
from old_records import Readers

MM = 1e-3
OPS = bpy.ops.flatwright
FOCAL_35MM = 42


def save_photo(name, pixels, focal_35mm=None):
    """Save a JPEG as a camera would, its focal length written into it."""
    path, photo = FOLDER / name, Image.fromarray(np.asarray(pixels))
    exif = photo.getexif()
    if focal_35mm is not None:
        exif.get_ifd(0x8769)[0xA405] = focal_35mm
    photo.save(path, "JPEG", quality=82, exif=exif)
    return path


def add_photo(path):
    OPS.add_photo(filepath=str(path))
    return bpy.context.object


def named(thing, name):
    thing.name = name
    thing.data.name = name
    return thing


def choose(*things):
    bpy.ops.object.select_all(action="DESELECT")
    for thing in things:
        thing.hide_set(False)
        thing.select_set(True)
    bpy.context.view_layer.objects.active = things[0]
    bpy.context.view_layer.update()


def cursor(x=0.0, y=0.0, z=0.0):
    bpy.context.scene.cursor.location = (x * MM, y * MM, z * MM)


# Photos, benches and what is traced on them ------------------------------------------------


PLATE = Polygon([(-45, -25), (2, -25.3), (2, 24.6), (-21.5, 31.2), (-45.4, 24.9)])
CLICKS = {}


def mat_photo():
    """A 10 mm grid with a plate, a strip of tape on it, a small hole, and a drawn line on paper."""
    size = (1440, 1080)
    lens = FOCAL_35MM * 1.25 / math.hypot(36.0, 24.0)
    bench = camera_over(size, 9.5, tilt_deg=4.0, turn_deg=3.0, lens=lens)
    plate = (
        PLATE
        - Point(-21.7, 14).buffer(6.0, quad_segs=90)
        - Point(-21.6, -10).buffer(0.7, quad_segs=60)
    )
    tape, paper = box(-8, 12, 2, 20), box(14, -30, 66, 30)
    blob = union_all(
        [Point(34, -6).buffer(13, quad_segs=90), Point(46, 8).buffer(12, quad_segs=90)]
    )
    line = blob.buffer(-5).buffer(5).buffer(4).buffer(-4).exterior.buffer(0.35)
    pixels = picture(
        bench,
        plate,
        height_mm=3.0,
        wall=(0.5, 0.42, 0.3),
        grid=(0.45, 0.55, 0.45),
        patches=[(tape, TAPE), (paper, WHITE), (line, DARKER)],
        noise=0.0015,
    )
    for name, place, height in (
        ("inside", (-10.0, -4.0), 3.0),
        ("tape", (-3.0, 16.0), 3.0),
        ("hole", (-21.6, -10.0), 3.0),
        ("line", (40.0, 0.0), 0.0),
        ("a", (-60.0, -40.0), 0.0),
        ("b", (60.0, -40.0), 0.0),
        ("c", (-60.0, 40.0), 0.0),
    ):
        CLICKS[name] = tuple(float(c) for c in bench.to_photo(np.array([place]), height)[0])
    photo = named_photo(save_photo("mat with plate.jpg", pixels, FOCAL_35MM), "Mat with plate")
    settings = photo.flatwright_bench
    settings.face_height_mm = 3.0
    OPS.find_grid()
    OPS.add_length(a_px=CLICKS["a"], b_px=CLICKS["b"], length=120.0 * MM)
    # Typed wrongly, and so contradicted.
    OPS.add_length(a_px=CLICKS["a"], b_px=CLICKS["c"], length=82.0 * MM)
    settings.show_residuals = True
    return photo


def named_photo(path, name):
    photo = add_photo(path)
    photo.name = name
    return photo


def card_photo():
    """A mat of 12.5 mm squares with a card on it: a grid found first, then the card marked."""
    mat = Mat(size_mm=(250.0, 175.0), pitch_mm=12.5)
    card = np.array([(70.0, 50.0), (155.6, 50.0), (155.6, 103.98), (70.0, 103.98)])
    view = look((1200, 900), 26.0, 6.0, 40.0, 3.0, 230.0, (120.0, 85.0))
    pixels = mat_picture(view, mat, Scene(mock_up_mm=card, noise=0.6))
    photo = named_photo(save_photo("card on mat.jpg", pixels, 26), "Card on mat")
    settings = photo.flatwright_bench
    settings.pitch_mm, settings.face_height_mm = 12.5, 0.0
    OPS.find_grid()
    corners = view.project(card) + np.array([[2.0, -1.5], [-1.0, 2.0], [1.5, 1.0], [-2.0, -1.0]])
    given = {"corners_px": [float(c) for c in corners.ravel()], "snap": True}
    OPS.mark_rectangle(sheet="ID1", reference_height=0.2 * MM, **given)
    settings.model_scale, settings.show_marks = 2.0, False
    settings.columns, settings.rows = 16, 9
    inside = view.project(np.array([(110.0, 80.0)]))[0]
    OPS.trace_outline(inside_px=tuple(map(float, inside)), tolerance_mm=0.2, smallest_hole_mm=3.0)
    bpy.context.object.name = "Card enlarged"
    return photo


def ruler_photo():
    """A ruler, locked on to."""
    pixels, at, _ = ruler_picture(21, ticks=80, px_per_mm=8.0, angle_deg=6.0, noise=0.6)
    photo = named_photo(save_photo("ruler.jpg", pixels), "Ruler")
    a, b = at(np.array([10.0, 70.0]), 2.0) + np.array([[1.1, 0.4], [-0.8, 0.6]])
    settings = photo.flatwright_bench
    OPS.mark_length(a_px=a, b_px=b, length=60.0 * MM, lock_on=True)
    settings.sheet, settings.width_mm, settings.height_mm = "CELLS", 140.0, 90.0
    return photo


def outlines(photo):
    """Traced, drawn, symmetric, edited, combined, half, suggested."""
    choose(photo)
    OPS.trace_outline(inside_px=CLICKS["inside"], tolerance_mm=0.12, smallest_hole_mm=1.5)
    traced = bpy.context.object
    traced.name = "Plate traced"
    OPS.add_to_trace(place_px=CLICKS["tape"])
    OPS.remove_from_trace(place_px=CLICKS["hole"])
    print("clicks", len(traced.flatwright_outline.clicks), traced.flatwright_outline.made_of)
    choose(photo)
    OPS.trace_drawn(near_px=CLICKS["line"], character="organic", tolerance_mm=0.15)
    sketch = bpy.context.object
    sketch.name = "Sketch traced"
    choose(photo)
    OPS.trace_outline(inside_px=CLICKS["inside"], character="organic")
    bpy.context.object.name = "Plate organic"
    choose(bpy.context.object)
    bpy.context.object.flatwright_outline.show_sizes = True
    print("sketch", sketch.flatwright_outline.made_of)

    choose(traced)
    OPS.make_symmetric(kind="mirror", place="middle", axis_deg=90.0)
    mirrored = bpy.context.object
    mirrored.name = "Plate mirrored"
    mirrored.flatwright_outline.show_deviation = False
    OPS.move_axis(point_mm=(-0.1, 0.0), axis_deg=89.5)
    hand = imported()
    choose(hand["star"])
    OPS.make_symmetric(kind="rotational", order=3, keep="first")
    bpy.context.object.name = "Star turned"
    bpy.context.object.flatwright_outline.show_axis = False
    choose(hand["plate"])
    OPS.make_symmetric(kind="dihedral", order=2, keep="second")
    bpy.context.object.name = "Plate turned and mirrored"
    choose(hand["door"])
    axis = bpy.data.objects.new("Axis", None)
    bpy.context.collection.objects.link(axis)
    axis.location = (hand["door"].location.x + 0.4 * MM, 0.0, 0.0)
    axis.select_set(True)
    bpy.context.view_layer.update()
    bpy.context.view_layer.objects.active = hand["door"]
    OPS.make_symmetric(place="object", keep="first")
    bpy.context.object.name = "Door mirrored, edited"
    bpy.context.object.data.splines[0].bezier_points[0].co.y += 0.7 * MM
    choose(hand["nearly"])
    OPS.suggest(doubt=0.4 * MM)
    kept = hand["nearly"].flatwright_suggestions
    kept.index = min(1, len(kept.items) - 1)
    print("suggestions", [item.sentence for item in kept.items])
    choose(hand["nearly too"])
    OPS.suggest(doubt=0.4 * MM)
    OPS.accept_suggestion(index=-1)
    return traced, hand


def imported():
    """Outlines cut by hand, read from a DXF."""
    star = [(12, 1), (22, 12), (5.3, 10), (-7.1, 9.9), (-21.4, 13), (-11.2, -1), (-6, -11), (0.2, -25),
            (6.2, -11.3)]  # fmt: skip
    shapes = {
        "star": (-300, 300, star),
        "plate": (-220, 300, [(-20, -15), (21, -15.2), (21, 15), (-20.3, 15)]),
        "door": (-150, 300, [(-20, -15), (20.5, -15), (20.5, 15), (0, 22), (-20, 15)]),
        "nearly": (-80, 300, [(-20, -15), (20.2, -15.1), (20.1, 15), (-20, 15.15)]),
        "nearly too": (-10, 300, [(-20, -15), (20.2, -15.1), (20.1, 15), (-20, 15.15)]),
        "stepped": (-300, 220, STEPPED),
        "rail": (-170, 220, RAIL),
        "lobe": (-80, 220, None),
    }
    path = FOLDER / "hand cut.dxf"
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    for layer, (x, y, corners) in shapes.items():
        if corners is None:
            lobe = [
                (x - 10, y, 0.0),
                (x + 10, y, 1.0),
                (x + 10, y + 20, 0.0),
                (x - 10, y + 20, 1.0),
            ]
            space.add_lwpolyline(lobe, format="xyb", close=True, dxfattribs={"layer": layer})
            space.add_circle((x, y + 10), 4.0, dxfattribs={"layer": layer})
        else:
            at = [(x + u, y + v) for u, v in corners]
            space.add_lwpolyline(at, close=True, dxfattribs={"layer": layer})
    document.saveas(path)
    OPS.import_outline(filepath=str(path))
    found = {layer: bpy.data.objects.get(f"hand cut {layer}") for layer in shapes}
    print({layer: thing and thing.name for layer, thing in found.items()})
    return found


def exact_shapes():
    """One of each, some with the photo as their bench, one edited by hand, two combined."""
    for number, (name, given) in enumerate(
        (
            ("circle", {"diameter": 36.0 * MM}),
            ("ring", {"outer": 50.0 * MM, "inner": 22.0 * MM}),
            ("rectangle", {"width": 60.0 * MM, "height": 30.0 * MM, "radius": 5.0 * MM}),
            ("slot", {"length": 44.0 * MM, "width": 7.0 * MM}),
            ("polygon", {"sides": 5, "diameter": 35.0 * MM, "across": "flats"}),
            ("sector", {"outer": 90.0 * MM, "inner": 50.0 * MM, "start": 0.2, "sweep": 1.1}),
        )
    ):
        cursor(-300.0 + 80.0 * number, 150.0)
        getattr(OPS, f"add_{name}")(**given)
    cursor(-300.0, 80.0)
    OPS.add_rectangle(width=50.0 * MM, height=30.0 * MM)
    edited = named(bpy.context.object, "Rectangle edited")
    edited.data.splines[0].bezier_points[2].co.x += 4.0 * MM
    cursor(-200.0, 80.0)
    OPS.add_rectangle(width=50.0 * MM, height=30.0 * MM)
    body = named(bpy.context.object, "Joined")
    cursor(-175.0, 80.0)
    OPS.add_circle(diameter=20.0 * MM)
    disc = bpy.context.object
    choose(body, disc)
    OPS.combine_outlines(kind="union", keep_others=True)
    named(disc, "Joined on")
    for name, whole in (("Half", False), ("Half made whole", True)):
        curve = bpy.data.curves.new(name, "CURVE")
        spline = curve.splines.new("BEZIER")
        spline.bezier_points.add(2)
        for point, (x, y) in zip(spline.bezier_points, ((0, -20), (18, 0), (0, 22)), strict=True):
            point.co = (x * MM, y * MM, 0.0)
            point.handle_left_type = point.handle_right_type = "AUTO"
        half = bpy.data.objects.new(name, curve)
        bpy.context.collection.objects.link(half)
        half.location = ((0.0 if whole else -60.0) * MM, 80.0 * MM, 0.0)
        choose(half)
        if whole:
            OPS.make_whole()
        else:
            half.flatwright_outline.show_whole = False


STEPPED = [(-60, 0), (0, 0), (0, -20), (60, -20), (60, 40), (0, 40), (0, 60), (-60, 60)]
RAIL = [(-60, 0), (60, 0), (60, 40), (-60, 40)]


def told_by(path):
    """Everything the open file says, as JSON keeps it."""
    readers = Readers(PACKAGE)
    known = old_files.known_properties()
    said = {"known": known, "values": old_files.values(known), "records": readers.everything()}
    said["keys"] = old_files.kept_keys()
    said["objects"] = {o.name: o.type for o in bpy.data.objects}
    return json.loads(json.dumps(said))


def write(path, said):
    """Keep beside a file what it said when it was saved, and what today's code makes of it."""
    run = import_module(f"{PACKAGE}.addon.commands").run
    out = FOLDER / path.stem
    out.mkdir()
    answer = io.StringIO()
    with contextlib.redirect_stdout(answer):
        run(["check", str(path), "--json"])
    said["check"] = json.loads(answer.getvalue())
    del said["check"]["file"]
    for name, export in (
        ("cut as it lies", lambda to: OPS.save_cut_files(directory=str(to), anyway=True)),
        ("cut anew", lambda to: run(["export", str(path), "--out", str(to), "--anyway"])),
    ):
        (out / name).mkdir()
        bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=True)
        export(out / name)
        found = sorted((out / name).glob("*.dxf"))
        said[name] = {p.name: old_files.cut_shapes(p) for p in found}
        print(name, {n: len(rows) for n, rows in said[name].items()})
    text = json.dumps(said, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    lines = text.replace('},"', '},\n"').replace('],["', '],\n["')
    (HERE / f"{path.stem}.json").write_text(f"{lines}\n", encoding="utf-8")


def compare(path, said):
    """What is not the same after opening the file again."""
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=True)
    again = told_by(path)
    for line in old_files.differences(again, said, 1e-6):
        print("REOPENED", line[:300])


if __name__ == "__main__":
    from make_job import make

    made = HERE / "every record.blend"
    make(sys.modules["__main__"], made)
    bpy.ops.wm.save_mainfile(compress=True)
    said = told_by(made)
    compare(made, said)
    write(made, said)
    demo = HERE / "globe cradle.blend"
    shutil.copyfile(ROOT / "scripts" / "demo" / "out" / demo.name, demo)
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    bpy.ops.wm.open_mainfile(filepath=str(demo), load_ui=True)
    said = told_by(demo)
    compare(demo, said)
    write(demo, said)
    at_saving = old_files.cut_shapes(next((ROOT / "scripts" / "demo" / "out").glob("*.dxf")))
    print("DEMO", old_files.differences(list(said["cut as it lies"].values()), [at_saving], 1e-6))
    import make_readme

    make_readme.write()
    print(made.stat().st_size, demo.stat().st_size)
    sys.stdout.flush()
    os._exit(0)
