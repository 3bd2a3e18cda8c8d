"""Strokes and numbers over the 3D viewport, drawn for as long as somebody owns them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import blf
import bpy
import gpu
import numpy as np
from bpy.app.handlers import persistent
from gpu_extras.batch import batch_for_shader
from gpu_extras.presets import draw_texture_2d

__all__ = [
    "Drawing",
    "Fill",
    "Inset",
    "Label",
    "Overlay",
    "Place",
    "Stroke",
    "redraw",
    "remove_overlays",
    "text_points",
]

Place = tuple[float, float]
Colour = tuple[float, float, float]
FONT = 0
LARGER = 13.0 / 11.0
"""Words over a picture, beside the interface's own."""
HALO_PX = 2.0
"""Dark edge around every stroke, so that it shows on pale and dark mats alike."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """Straight lines of one colour; places in the viewport's pixels.

    ``width_px`` is that of an interface at its usual size; it grows with the interface.
    """

    lines: tuple[tuple[Place, Place], ...]
    colour: Colour
    width_px: float


@dataclass(frozen=True, slots=True, eq=False)
class Fill:
    """Triangles (N, 3, 2) in the viewport's pixels, of one colour that lets through what is below.

    ``alpha`` is how much of what is below it hides, 0 to 1.
    """

    triangles: np.ndarray
    colour: Colour
    alpha: float


@dataclass(frozen=True, slots=True)
class Label:
    """Text that starts at a place."""

    text: str
    at: Place
    colour: Colour


@dataclass(frozen=True, slots=True, eq=False)
class Inset:
    """A small picture over everything else, with strokes of its own.

    ``pixels`` (H, W, 3) are uint8, top row first; ``at`` is the lower left corner.
    """

    pixels: np.ndarray
    at: Place
    strokes: tuple[Stroke, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything to draw in one viewport."""

    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()
    insets: tuple[Inset, ...] = ()
    fills: tuple[Fill, ...] = ()


Make = Callable[[bpy.types.Region, bpy.types.RegionView3D], Drawing]


class Overlay:
    """Draws over every 3D viewport until it is removed, at the latest when a file is opened.

    ``make`` is asked what to draw each time a viewport is drawn. One that is ``lasting`` goes on in
    the next file. In background mode there is nothing to draw on and nothing happens.
    """

    def __init__(self, make: Make, *, lasting: bool = False) -> None:
        self._make = make
        self._handle: Any = None
        if bpy.app.background:
            return
        self._handle = bpy.types.SpaceView3D.draw_handler_add(
            self._draw, (), "WINDOW", "POST_PIXEL"
        )
        if lasting:
            return
        LIVE.append(self)
        if remove_overlays not in bpy.app.handlers.load_pre:
            bpy.app.handlers.load_pre.append(remove_overlays)

    def remove(self) -> None:
        """Stop drawing; may be called again."""
        if self._handle is None:
            return
        bpy.types.SpaceView3D.draw_handler_remove(self._handle, "WINDOW")
        self._handle = None
        if self in LIVE:
            LIVE.remove(self)
        if not LIVE and remove_overlays in bpy.app.handlers.load_pre:
            bpy.app.handlers.load_pre.remove(remove_overlays)
        redraw()

    def _draw(self) -> None:
        region, view = bpy.context.region, bpy.context.region_data
        if region is None or view is None:
            return
        drawing = self._make(region, view)
        ui_scale = bpy.context.preferences.system.ui_scale
        for fill in drawing.fills:
            _draw_fill(fill)
        for stroke in drawing.strokes:
            _draw_stroke(stroke, region, ui_scale)
        for label in drawing.labels:
            _draw_label(label, LARGER * text_points() * ui_scale)
        for inset in drawing.insets:
            _draw_inset(inset)
            for stroke in inset.strokes:
                _draw_stroke(stroke, region, ui_scale)


LIVE: list[Overlay] = []


@persistent
def remove_overlays(*_: Any) -> None:
    """Take every overlay away: another file is opened, or the extension is switched off."""
    for overlay in list(LIVE):
        overlay.remove()


def text_points() -> float:
    """Size of the interface's labels, as chosen in the preferences, before its scale."""
    return float(bpy.context.preferences.ui_styles[0].widget.points)


def redraw() -> None:
    """Have every 3D viewport drawn anew."""
    for window in bpy.context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()


def _draw_stroke(stroke: Stroke, region: bpy.types.Region, ui_scale: float) -> None:
    shader = gpu.shader.from_builtin("POLYLINE_UNIFORM_COLOR")
    ends = [(x, y, 0.0) for line in stroke.lines for x, y in line]
    batch = batch_for_shader(shader, "LINES", {"pos": ends})
    gpu.state.blend_set("ALPHA")
    shader.bind()
    shader.uniform_float("viewportSize", (region.width, region.height))
    dark = ((0.0, 0.0, 0.0, 0.6), stroke.width_px + HALO_PX)
    for colour, width_px in (dark, ((*stroke.colour, 1.0), stroke.width_px)):
        shader.uniform_float("color", colour)
        shader.uniform_float("lineWidth", width_px * ui_scale)
        batch.draw(shader)
    gpu.state.blend_set("NONE")


def _draw_fill(fill: Fill) -> None:
    shader = gpu.shader.from_builtin("UNIFORM_COLOR")
    flat = fill.triangles.reshape(-1, 2)
    corners = np.column_stack((flat, np.zeros(len(flat)))).astype(np.float32)
    batch = batch_for_shader(shader, "TRIS", {"pos": corners.tolist()})
    gpu.state.blend_set("ALPHA")
    shader.bind()
    shader.uniform_float("color", (*fill.colour, fill.alpha))
    batch.draw(shader)
    gpu.state.blend_set("NONE")


def _draw_label(label: Label, size: float) -> None:
    blf.size(FONT, size)
    blf.enable(FONT, blf.SHADOW)
    blf.shadow(FONT, 5, 0.0, 0.0, 0.0, 1.0)
    blf.position(FONT, *label.at, 0.0)
    blf.color(FONT, *label.colour, 1.0)
    blf.draw(FONT, label.text)
    blf.disable(FONT, blf.SHADOW)


def _draw_inset(inset: Inset) -> None:
    height, width = inset.pixels.shape[:2]
    shown = np.ones((height, width, 4), dtype=np.float32)
    np.divide(inset.pixels[::-1], 255.0, out=shown[..., :3], casting="unsafe")
    # The stubs know neither constructor.
    types: Any = gpu.types
    buffer = types.Buffer("FLOAT", shown.size, shown.ravel())
    texture = types.GPUTexture((width, height), format="RGBA8", data=buffer)
    draw_texture_2d(texture, inset.at, width, height)
