"""The whole job on one photo: a hand-cut rib becomes a cradle that fits a globe.

Run it as ``python scripts/demo.py``. It makes its own environment, builds the extension, installs
it into Blender as a user would, and then only presses the extension's own buttons.
"""

import os
import shutil
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from environment import ensure_environment  # noqa: E402

# Kept over the restart inside the environment, whose making takes its time too.
STARTED = float(os.environ.setdefault("FLATWRIGHT_STARTED", str(time.time())))
ensure_environment("demo")

import demo_truth as truth  # noqa: E402
import globe_cradle as cradle  # noqa: E402
from build_extension import build_for_this_platform  # noqa: E402
from demo_progress import Log  # noqa: E402
from install_extension import install  # noqa: E402

OUT = HERE / "demo" / "out"
PHOTO = HERE / "demo" / "photo.jpg"
CUT_PHOTO = HERE / "demo" / "cut.jpg"
GLOBE_UP_MM = cradle.REACH_MM
"""The globe's centre stands this high, so that the ribs' feet are on the floor."""
BESIDE_MM = -260.0
"""The globe is modelled beside the photo, which lies to the right of the origin."""


def main() -> None:
    """Do the job and leave everything in ``scripts/demo/out``."""
    shutil.rmtree(OUT, ignore_errors=True)
    OUT.mkdir(parents=True)
    log = Log(STARTED)
    with log.stage("Extension", "building and installing it into Blender"):
        package = install(build_for_this_platform(), OUT / ".blender")
        log.say(f"{package} installed and enabled")
    import bpy

    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    settings = bpy.context.scene.unit_settings
    settings.system, settings.length_unit, settings.scale_length = "METRIC", "MILLIMETERS", 1.0

    # A name from the start, so that the cut files are called after it.
    bpy.ops.wm.save_as_mainfile(filepath=str(OUT / "globe cradle.blend"))

    bench_photo(bpy, log, package)
    outline(bpy, log, package)
    part(bpy, log)
    assembly(bpy, log, package)
    sheet(bpy, log)
    files(bpy, log)
    pictures(bpy, log, package)
    after_the_cut(bpy, log)
    with log.stage("File", "saving the .blend"):
        bpy.ops.wm.save_mainfile(compress=True)
    shutil.rmtree(OUT / ".blender", ignore_errors=True)
    log.finish(OUT)


# Goals are about three times what is reached, for another processor and a worse day; a loss of more
# is one somebody has to look at.


def bench_photo(bpy, log: Log, package: str) -> None:  # noqa: ANN001 - bpy has no type here
    """Photo and bench."""
    with log.stage("Photo", "reading it"):
        bpy.ops.flatwright.add_photo(filepath=str(PHOTO))
        photo = bpy.context.object
        data = photo.flatwright_photo
        log.say(f"{data.width_px} × {data.height_px} px, {data.focal_35mm:.0f} mm equivalent")
    with log.stage("Bench", "finding the mat's grid"):
        bench = photo.flatwright_bench
        bench.pitch_mm = 10.0
        bench.face_height_mm = cradle.FOAM_CORE_MM
        bpy.ops.flatwright.find_grid()
        log.say(f"{bench.nodes_used} crossings, fit {bench.rms_px:.3f} px rms")
        log.compare("camera tilt", bench.tilt_deg, truth.tilt_deg(), "°", 0.006)
        log.say(
            f"doubt on 100 mm: ± {bench.doubt_per_100_mm:.3f} mm (95 %), if the mat is printed true"
        )
        worst = truth.worst_bench_error_mm(package, bench.record)
        log.compare("worst point of the mock-up's face, off by", worst, 0.0, "mm", 0.0035)


def outline(bpy, log: Log, package: str) -> None:  # noqa: ANN001
    """Trace, compare with the truth, make symmetric."""
    with log.stage("Outline", "tracing from one click"):
        bpy.ops.flatwright.trace_outline(inside_px=truth.inside_px())
        traced = bpy.context.object
        kinds = traced.flatwright_outline
        log.say(kinds.made_of)
        away = truth.traced_error_mm(package, traced)
        log.compare("95 % of the outline within", away.p95, 0.0, "mm", 0.15)
        log.compare("worst place of the outline", away.worst, 0.0, "mm", 0.45)
    with log.stage("Symmetry", "finding the mirror axis"):
        bpy.ops.flatwright.make_symmetric()
        kinds = bpy.context.object.flatwright_outline
        log.say(f"{kinds.symmetry}; now {kinds.made_of}")
        log.say(
            f"the hand was off by {kinds.deviation_max_mm:.2f} mm at most, "
            f"{kinds.deviation_rms_mm:.2f} mm rms"
        )


def part(bpy, log: Log) -> None:  # noqa: ANN001
    """Stock and the first part."""
    with log.stage("Part", "giving it the plywood's measured thickness"):
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        stock = bpy.context.scene.flatwright_stocks[0]
        stock.name = cradle.PLYWOOD.name
        stock.thickness_mm, stock.kerf_mm = cradle.PLYWOOD.thickness_mm, cradle.PLYWOOD.kerf_mm
        stock.sheet_width_mm, stock.sheet_height_mm = cradle.PLYWOOD.sheet_mm
        bpy.ops.flatwright.make_part()
        bpy.context.object.name = "Rib"
        log.say(f"{stock.name}: {stock.thickness_mm:.2f} mm thick, kerf {stock.kerf_mm:.2f} mm")


def globe(bpy):  # noqa: ANN001, ANN201
    """Model the fixture as a person would: a ball and a neck, one object."""
    mm = 1e-3
    bpy.ops.mesh.primitive_uv_sphere_add(
        segments=256,
        ring_count=128,
        radius=cradle.BALL_RADIUS_MM * mm,
        location=(BESIDE_MM * mm, 0.0, GLOBE_UP_MM * mm),
    )
    ball = bpy.context.object
    top, bottom = cradle.neck_top_z_mm() + 2.0, cradle.NECK_BOTTOM_Z_MM
    bpy.ops.mesh.primitive_cylinder_add(
        vertices=256,
        radius=cradle.NECK_DIAMETER_MM / 2.0 * mm,
        depth=(top - bottom) * mm,
        location=(BESIDE_MM * mm, 0.0, (GLOBE_UP_MM + (top + bottom) / 2.0) * mm),
    )
    ball.select_set(True)
    bpy.context.view_layer.objects.active = ball
    bpy.ops.object.join()
    ball.name = "Globe"
    return ball


def assembly(bpy, log: Log, package: str) -> None:  # noqa: ANN001
    """Ribs around the globe, two rings, slots, checks."""
    scene = bpy.context.scene
    mm = 1e-3
    rib = bpy.context.object
    with log.stage("Assembly", "standing ribs and rings around the globe"):
        globe(bpy)
        bpy.ops.flatwright.set_fixture()
        bpy.context.view_layer.objects.active = rib
        bpy.ops.flatwright.stand_around(
            count=cradle.RIB_COUNT, distance=cradle.FOOT_MM * mm, floor=0.0
        )
        rings = (
            ("Upper ring", cradle.UPPER_RING_Z_MM, cradle.UPPER_RING_OUTER_MM),
            (
                "Lower ring",
                cradle.LOWER_RING_Z_MM,
                cradle.LOWER_RING_OUTER_MM,
            ),
        )
        for name, z_mm, outer_mm in rings:
            bpy.ops.flatwright.ring_around_fixture(
                height=(GLOBE_UP_MM + z_mm) * mm,
                outer_diameter=outer_mm * mm,
                clearance=cradle.RING_CLEARANCE_MM * mm,
            )
            bpy.context.object.name = name
    with log.stage("Slots", "lapping ribs and rings"):
        bpy.ops.object.select_all(action="DESELECT")
        bpy.ops.flatwright.join_parts()
        settings = scene.flatwright_assembly
        log.say(f"{settings.laps} cross-laps")
    with log.stage("Check", "clearances, overlaps and an order"):
        bpy.ops.flatwright.check_assembly()
        for thing in scene.objects:
            if thing.flatwright_check.checked:
                log.say(thing.flatwright_check.sentence)
        log.say(f"{settings.interferences} overlapping pairs")
        for step in settings.steps:
            log.say(step.sentence)
        if settings.interferences or not settings.order_found:
            log.fail("the parts do not go together")


def sheet(bpy, log: Log) -> None:  # noqa: ANN001
    """Lay out."""
    with log.stage("Sheet", "correcting for kerf and laying out"):
        bpy.ops.flatwright.lay_out()
        for thing in bpy.context.scene.objects:
            data = thing.flatwright_sheet
            if data.role == "SHEET":
                log.say(f"{thing.name}: {data.pieces} pieces, {100 * data.used:.0f} % used")


def files(bpy, log: Log) -> None:  # noqa: ANN001
    """Write, read back, measure the rings."""
    with log.stage("Files", "writing, reading back, measuring"):
        bpy.ops.flatwright.save_cut_files(directory=str(OUT))
        for path in sorted([*OUT.glob("*.dxf"), *OUT.glob("*.svg"), *OUT.glob("*.html")]):
            log.say(f"{path.name} ({path.stat().st_size / 1000:.0f} kB)")
        (dxf,) = OUT.glob("*.dxf")
        kerf_mm = cradle.PLYWOOD.kerf_mm
        wanted = {
            # The modelled ball has flat faces, which lie a little within the true one.
            "upper ring's bore": (truth.bore_mm(cradle.UPPER_RING_Z_MM), 0.045),
            "lower ring's bore": (truth.bore_mm(cradle.LOWER_RING_Z_MM), 0.001),
        }
        for name, (bore_mm, within) in wanted.items():
            drawn_mm = truth.nearest_circle_mm(dxf, bore_mm - kerf_mm)
            log.compare(f"{name} as cut (drawn + kerf)", drawn_mm + kerf_mm, bore_mm, "mm", within)
        slots = truth.slot_widths_mm(dxf)
        wanted_slots = 2 * cradle.RIB_COUNT * 2
        if len(slots) != wanted_slots:
            log.fail(f"{len(slots)} slots are in the file, not {wanted_slots}")
        for what, width in (
            ("narrowest", min(slots, default=0.0)),
            ("widest", max(slots, default=0.0)),
        ):
            log.compare(
                f"{what} of {len(slots)} slots as cut (drawn + kerf)",
                width + kerf_mm,
                cradle.PLYWOOD.thickness_mm,
                "mm",
                0.001,
            )


def after_the_cut(bpy, log: Log) -> None:  # noqa: ANN001
    """The rib as a machine a little wrong has cut it: photographed, compared with its drawing."""
    told = truth.cut()
    rib = bpy.data.objects["Rib"]
    with log.stage("After the cut", "a photo of the cut rib, compared with its drawing"):
        bpy.ops.flatwright.add_photo(filepath=str(CUT_PHOTO))
        bench = bpy.context.object.flatwright_bench
        bench.pitch_mm, bench.face_height_mm = 10.0, told["thickness_mm"]
        bpy.ops.flatwright.find_grid()
        bpy.ops.flatwright.trace_outline(inside_px=told["inside_px"])
        traced = bpy.context.object
        rib.select_set(True)
        bpy.ops.flatwright.compare_with_drawing(as_on_sheet=False, turn=0.0)
        found = traced.flatwright_compared
        log.say(f"worst place {found.worst_mm:+.2f} mm, {found.rms_mm:.3f} mm rms")
        log.say(f"kerf {found.kerf_mm:.3f} ± {found.kerf_doubt_mm:.3f} mm")
        log.compare("kerf it was cut with", found.kerf_mm, told["kerf_mm"], "mm", 0.05)
        log.compare("y against x", 1000.0 * found.against, 1000.0 * told["y_longer"], "‰", 0.5)
        if not found.tells_kerf:
            log.fail("the kerf is too doubtful to be kept")


def pictures(bpy, log: Log, package: str) -> None:  # noqa: ANN001
    """Make the four pictures."""
    import demo_pictures

    with log.stage("Pictures", "steps, straightened photo, assembly, sheet", draws=True):
        bpy.ops.flatwright.save_step_pictures(filepath=str(OUT / "assembly steps.png"))
        demo_pictures.outline_on_photo(bpy, package, OUT / "outline on photo.jpg")
        demo_pictures.sheet(bpy, package, OUT / "sheet.png")
        demo_pictures.assembly(bpy, OUT / "assembly.png")


if __name__ == "__main__":
    main()
    sys.stdout.flush()
    # Blender as a module may hang while Python shuts down with an extension still enabled.
    os._exit(1 if Log.failures else 0)
