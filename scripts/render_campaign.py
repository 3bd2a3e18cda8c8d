"""Render bench photos drawn at random, each with the truth about it, for developing and judging.

Run ``python scripts/render_campaign.py OUT --seeds 0:32:2`` with a Python that has bpy 4.5 and
Pillow; ``--printed`` renders printed cards. The same seed draws the same picture. Even seeds are
for developing; odd ones for judging, looked at by nobody before.
"""

import argparse
import json
import sys
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from campaign.build import render_scene
from campaign.design import Phone, Scene
from campaign.draw import draw_scene
from campaign.truth import truth_of
from photo_lens import Darkroom, develop, warp

BRIGHTEST = 98.0
"""Percentile of the light that the phone exposes for."""


def picture_of(scene: Scene, samples: int) -> NDArray[np.uint8]:
    """Return the (H, W, 3) picture as the phone would save it, before JPEG."""
    phone = scene.phone
    linear = render_scene(scene, samples)
    drawn = warp(linear, phone.camera.focal_px, phone.camera, phone.size_px)
    white = phone.exposure / float(np.percentile(drawn[::4, ::4, 1], BRIGHTEST))
    room = Darkroom(phone.blur_px, phone.vignette, phone.balance, phone.noise, phone.sharpen)
    return develop(drawn, white, scene.seed, room)


def save_truth(scene: Scene, folder: Path) -> None:
    """Write the truth in one step, so nobody reads half of it."""
    hasty = folder / f".{scene.name}.tmp"
    hasty.write_text(json.dumps(truth_of(scene)) + "\n")
    hasty.replace(folder / f"{scene.name}.truth.json")


def save(picture: NDArray[np.uint8], scene: Scene, folder: Path) -> None:
    """Write the truth, then the picture, in one step too."""
    save_truth(scene, folder)
    hasty = folder / f".{scene.name}.tmp"
    Image.fromarray(picture).save(
        hasty, "JPEG", quality=scene.phone.quality, exif=exif_of(scene.phone), subsampling=2
    )
    hasty.replace(folder / f"{scene.name}.jpg")


def exif_of(phone: Phone) -> Image.Exif:
    """Return what the phone writes about itself: its focal length as for 35 mm film."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Demo", "Rendered phone", 1
    exif.get_ifd(0x8769)[0xA405] = round(phone.focal_35mm)
    return exif


def seeds_of(text: str) -> range:
    """Read ``start:stop:step`` or one seed."""
    values = [int(value) for value in text.split(":")]
    return range(*values) if len(values) > 1 else range(values[0], values[0] + 1)


def main() -> None:
    """Draw, render and write what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seeds", type=seeds_of, default=range(0, 32, 2), metavar="A:B:STEP")
    parser.add_argument("--printed", action="store_true", help="one printed card in each")
    parser.add_argument("--samples", type=int, default=8)
    parser.add_argument("--again", action="store_true", help="also those that are there already")
    parser.add_argument("--truth-only", action="store_true", help="write no pictures")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    for seed in options.seeds:
        scene = draw_scene(seed, is_printed=options.printed)
        if options.truth_only:
            save_truth(scene, options.out)
            continue
        if (options.out / f"{scene.name}.jpg").exists() and not options.again:
            continue
        start = time.perf_counter()
        save(picture_of(scene, options.samples), scene, options.out)
        print(f"{scene.name}: {time.perf_counter() - start:.0f} s", flush=True)


if __name__ == "__main__":
    main()
