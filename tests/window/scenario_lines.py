"""Chart paper with its bold pitch typed: the panel asks, a button answers; a bench is kept."""

import sys
import tempfile
from pathlib import Path

import bpy
import numpy as np
import steps

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.core.mat_pictures import Mat, Scene, look, mat_picture

SIZE = (1344, 1008)


def chart(folder):
    """Write a photo of chart paper, lines every 1 mm and every fifth bold; return its path."""
    mat = Mat((210.0, 140.0), 1.0, 0.12, 5, 0.3)
    view = look(SIZE, 26.0, 5.0, 40.0, 7.0, 95.0, (105.0, 70.0))
    pixels = mat_picture(view, mat, Scene())
    image = bpy.data.images.new("chart", *SIZE)
    flat = np.ones((SIZE[1], SIZE[0], 4), dtype=np.float32)
    flat[..., :3] = pixels[::-1] / 255.0
    image.pixels.foreach_set(flat.ravel())
    image.filepath_raw, image.file_format = str(folder / "chart.png"), "PNG"
    image.save()
    bpy.data.images.remove(image)
    return folder / "chart.png"


def scenario(driver):
    yield 1.0
    with driver.viewport():
        bpy.ops.screen.screen_full_area()
    yield 0.5
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    with driver.viewport():
        path = str(chart(Path(tempfile.mkdtemp())))
        bpy.ops.flatwright.add_photo("INVOKE_DEFAULT", filepath=path)
    yield from driver.wait_until(
        lambda: any(o.flatwright_photo.is_photo for o in bpy.data.objects), 30.0, "The photo"
    )
    bench = steps.photo().flatwright_bench
    bench.pitch_mm = 5.0
    yield 0.3
    yield from steps.find_grid(driver)
    yield 1.0
    driver.check("kinds", list(steps.photo().flatwright_bench.line_kinds))
    driver.check("warned", steps.photo().flatwright_bench.warnings)
    yield from driver.shot("asked")
    before = steps.photo().flatwright_bench.record
    with driver.viewport():
        bpy.ops.flatwright.find_grid("INVOKE_DEFAULT", line_kind=5.0)
    yield from driver.wait_until(
        lambda: steps.photo().flatwright_bench.record != before, 60.0, "The other scale"
    )
    yield 1.0
    driver.check("warned after", steps.photo().flatwright_bench.warnings)
    yield from driver.shot("answered")
    with driver.viewport():
        bpy.ops.flatwright.keep_bench("INVOKE_DEFAULT")
    yield 1.0
    yield from driver.shot("keep bench")
    yield from driver.key("ESC")
    yield 0.3
