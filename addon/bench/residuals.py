"""How far the printed grid misses the fit, drawn over the photo as exaggerated arrows."""

import functools
from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np

from ...geometry.bench import Residuals
from ...geometry.bench.record import bench_from_record
from ...geometry.errors import FlatwrightError
from ..blender.drawing import Drawing, Label, Overlay, Place, Stroke
from ..blender.units import show_length
from ..photo.properties import active_photo
from .photo_pixels import region_places

__all__ = ["exaggeration", "residual_drawing", "start_residuals", "stop_residuals"]

ARROW, HEAD = (0.84, 0.37, 0.00), (0.00, 0.45, 0.70)
"""Vermilion and blue of Okabe and Ito's palette."""
WANTED_FRACTION = 0.02
"""How long the longer arrows are drawn, as a fraction of the photo's width."""
LABEL_AT = (66.0, 130.0)
"""From the viewport's left and upper edge: right of the tools, below Blender's own text; the lower
corner belongs to the panel that redoes a step."""

_overlays: list[Overlay] = []


def start_residuals() -> None:
    """Draw from now on over every photo that asks for it, in this file and the next."""
    _overlays.append(Overlay(_drawing, lasting=True))


def stop_residuals() -> None:
    """Draw no more."""
    while _overlays:
        _overlays.pop().remove()


def exaggeration(away_px: np.ndarray, width_px: int) -> int:
    """Times by which arrows (N, 2) are lengthened to be seen: 1, 2 or 5 times a power of ten."""
    long = float(np.quantile(np.hypot(*away_px.T), 0.9)) if len(away_px) else 0.0
    wanted = WANTED_FRACTION * width_px / max(long, 1e-6)
    ten = 10.0 ** np.floor(np.log10(max(wanted, 1.0)))
    return int(min(max(k * ten for k in (1, 2, 5) if k * ten <= max(wanted, 1.0)), 10_000))


def residual_drawing(
    starts: Sequence[Place | None],
    ends: Sequence[Place | None],
    times: int,
    worst_mm: float,
    top_px: float,
    ui_scale: float = 1.0,
) -> Drawing:
    """Arrows from where the fit puts each crossing to where it was seen, and a note of the scale.

    The head is a small cross, so that the direction shows without colour.

    Parameters
    ----------
    starts, ends
        Places of the viewport, None where not in it.
    times, worst_mm
        How much arrows are enlarged, and the longest of them as it is.
    top_px, ui_scale
        Where the note stands, and the size of the interface.
    """
    pairs = [(a, b) for a, b in zip(starts, ends, strict=True) if a is not None and b is not None]
    arm = 2.0 * ui_scale
    heads = [
        ((x - dx * arm, y - dy * arm), (x + dx * arm, y + dy * arm))
        for _, (x, y) in pairs
        for dx, dy in ((1, 1), (1, -1))
    ]
    largest = show_length(worst_mm, digits=6)
    note = f"Misses of the grid, {times} times as long; the largest is {largest}"
    at = (LABEL_AT[0] * ui_scale, top_px - LABEL_AT[1] * ui_scale)
    strokes = (
        Stroke(tuple(pairs), ARROW, 1.5),
        Stroke(tuple(heads), HEAD, 1.0),
    )
    return Drawing(tuple(s for s in strokes if s.lines), (Label(note, at, (1.0, 1.0, 1.0)),))


@functools.lru_cache(maxsize=4)
def _residuals(record: str) -> Residuals:
    """What a record says, read once: a viewport is drawn many times."""
    return bench_from_record(record).residuals


def _drawing(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    photo: Any = active_photo(bpy.context)
    if photo is None or not photo.flatwright_bench.show_residuals or not photo.visible_get():
        return Drawing()
    record = photo.flatwright_bench.record
    if not record:
        return Drawing()
    try:
        seen_away = _residuals(record)
    except FlatwrightError:
        return Drawing()
    places, away = seen_away.places_px, seen_away.away_px
    if not len(places):
        return Drawing()
    times = exaggeration(away, photo.flatwright_photo.width_px)
    seen = region_places(region, view, photo, np.vstack((places, places + times * away)))
    ui_scale = bpy.context.preferences.system.ui_scale
    half = len(places)
    worst = float(seen_away.away_mm.max())
    return residual_drawing(seen[:half], seen[half:], times, worst, region.height, ui_scale)
