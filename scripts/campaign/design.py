"""What a scene holds: board, lights, camera, parts and how the phone develops, in plain values."""

from collections.abc import Iterable
from dataclasses import dataclass

from shapely import Polygon

from geometry.bench.camera import Camera

__all__ = ["Board", "Caster", "Color", "Lamp", "Part", "Phone", "Reference", "Scene", "color_of"]

Color = tuple[float, float, float]
"""sRGB, each 0..1."""


def color_of(values: Iterable[float]) -> Color:
    """Return three values as a colour, none below 0.02 or above 0.97."""
    r, g, b = (min(max(float(value), 0.02), 0.97) for value in values)
    return r, g, b


@dataclass(frozen=True, slots=True)
class Board:
    """What the parts lie on; the bench's origin is its middle.

    ``minor_mm`` are fine lines between those of the pitch, none where it is 0; every
    ``bold_every``-th line is bold, none where it is 0. ``glow`` is light a light table gives.
    """

    kind: str
    size_mm: tuple[float, float]
    color: Color
    line: Color = (0.0, 0.0, 0.0)
    pitch_mm: float = 0.0
    minor_mm: float = 0.0
    line_mm: float = 0.35
    bold_every: int = 0
    margin_mm: float = 14.0
    labels: bool = False
    diagonals_deg: tuple[float, ...] = ()
    wear: float = 0.0
    thick_mm: float = 3.0
    glow: float = 0.0

    def counts(self) -> tuple[int, int]:
        """Squares across and upright that fit within the margin."""
        wide, high = (side - 2.0 * self.margin_mm for side in self.size_mm)
        return int(wide / self.pitch_mm), int(high / self.pitch_mm)


@dataclass(frozen=True, slots=True)
class Lamp:
    """A light: the sun where it has no size, else a rectangle that looks at the bench's middle.

    ``at_mm`` is where it is, or for the sun where it comes from; ``power`` is watts, or for the
    sun its irradiance as Blender takes it; ``angle_deg`` how wide the sun's disk is.
    """

    at_mm: tuple[float, float, float]
    power: float
    color: Color
    size_mm: float = 0.0
    angle_deg: float = 0.53


@dataclass(frozen=True, slots=True)
class Caster:
    """Something out of the picture whose shadow falls across it, such as a window's bar.

    A plate whose corners, mm, lie at a height; the phone does not see it.
    """

    corners_mm: tuple[tuple[float, float], ...]
    height_mm: float


@dataclass(frozen=True, slots=True)
class Part:
    """A flat part on the board: its face ``thick_mm`` over it.

    ``bands`` are colours of its sides from above and the share of the thickness each takes;
    ``marking`` what is drawn or stuck on its face.
    """

    name: str
    shape: Polygon
    thick_mm: float
    stock: str
    face: Color
    bands: tuple[tuple[Color, float], ...]
    marking: str = "clean"
    turn_deg: float = 0.0
    is_touching: bool = False


@dataclass(frozen=True, slots=True)
class Reference:
    """A rectangle of known size for a board without a grid; ``corner_mm`` rounds its corners."""

    kind: str
    size_mm: tuple[float, float]
    thick_mm: float
    corner_mm: float
    color: Color
    place_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Phone:
    """How the phone takes and develops the picture."""

    camera: Camera
    size_px: tuple[int, int]
    focal_35mm: float
    tilt_deg: float
    mm_per_px: float
    blur_px: float
    noise: float
    sharpen: float
    vignette: float
    balance: Color
    exposure: float
    quality: int


@dataclass(frozen=True, slots=True)
class Scene:
    """One picture to render."""

    name: str
    seed: int
    board: Board
    desk: Color
    light: str
    lamps: tuple[Lamp, ...]
    fill: float
    phone: Phone
    parts: tuple[Part, ...]
    reference: Reference | None = None
    caster: Caster | None = None
