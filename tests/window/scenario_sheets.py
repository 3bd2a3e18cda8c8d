"""Two prints in one photo, each measured by its own lines; then a sheet that does not lie flat."""

import tempfile
from pathlib import Path

import bpy
import numpy as np
import steps

TWO_PRINTS = Path(__file__).resolve().parents[1] / "data" / "known_sizes" / "two_prints.jpg"
CORNERS_PX = [(360.0, 260.0), (1160.0, 260.0), (1160.0, 820.0), (360.0, 820.0)]
BOW_PX = 14.0
SHEET_MM = (100.0, 70.0)


def curled_sheet(path):
    """Write a picture of a white sheet on a dark table, its upper side bowed outwards."""
    x, y = np.meshgrid(np.arange(1520.0), np.arange(1080.0))
    (left, top), (right, low) = CORNERS_PX[0], CORNERS_PX[2]
    along = np.clip((x - left) / (right - left), 0.0, 1.0)
    inside = [x - left, right - x, y - top + 4.0 * BOW_PX * along * (1.0 - along), low - y]
    cover = np.prod([np.clip(gap + 0.5, 0.0, 1.0) for gap in inside], axis=0)
    light = 60.0 + 170.0 * cover + np.random.default_rng(3).normal(0.0, 2.0, x.shape)
    steps.save_picture(np.repeat(np.clip(light, 0.0, 255.0)[..., None], 3, axis=2), path)


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    steps.open_folds("bench_details")
    yield from steps.add_photo(driver, TWO_PRINTS)
    bench = bpy.context.object.flatwright_bench
    yield from driver.click_button("flatwright.find_grid")
    yield from driver.wait_until(lambda: bench.record, 120.0, "The first sheet")
    yield 0.5
    yield from driver.shot("first sheet")
    first, squares = bench.record, [tuple(bench.squares_seen)]
    yield from driver.click(
        *(yield from driver.find_copied("bpy.ops.flatwright.find_grid(sheet_px", 0.4, 0.75))
    )
    yield from driver.wait_until(lambda: bench.record != first, 120.0, "The other sheet")
    yield 0.5
    yield from driver.shot("other sheet")
    driver.check("squares", [*squares, tuple(bench.squares_seen)])
    folder = Path(tempfile.mkdtemp())
    curled_sheet(folder / "curled.png")
    yield from steps.add_photo(driver, folder / "curled.png")
    driver.open_stage("bench")
    yield 0.5
    yield from driver.shot("no scale yet")
    bench = bpy.context.object.flatwright_bench
    with driver.viewport():
        bpy.ops.flatwright.mark_rectangle(
            corners_px=[c for corner in CORNERS_PX for c in corner],
            width=SHEET_MM[0] / 1000.0,
            height=SHEET_MM[1] / 1000.0,
            sheet="TYPED",
            snap=True,
        )
    bench.reference = "RECTANGLE"
    driver.redraw()
    yield 0.8
    yield from driver.shot("curled")
    driver.check("told", bench.warnings)
