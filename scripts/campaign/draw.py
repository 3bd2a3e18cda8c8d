"""Draw a scene at random. A seed's rank in its half settles board, light and tilt in turn.

So both halves hold every kind once, and differ in all that is drawn.
"""

import math
from dataclasses import replace

import numpy as np

from .camera import looking_at
from .design import Board, Caster, Color, Lamp, Part, Phone, Reference, Scene, color_of
from .placing import placed, placed_reference, seen_region
from .stock import parts_for, printed_card

__all__ = ["draw_scene"]

SIZE_PX = (2000, 1500)
CARD = Reference("card", (85.6, 53.98), 0.76, 3.18, (0.25, 0.38, 0.62))
"""ISO/IEC 7810 ID-1: 85.60 by 53.98 mm, 0.76 mm thick, corners 3.18 mm round."""
SHEET = Reference("sheet", (210.0, 148.0), 0.1, 0.0, (0.93, 0.93, 0.91))
"""ISO 216 A5: 148 by 210 mm."""
INCH_MM = 25.4
PALE_INK, DARK_INK = (0.78, 0.80, 0.70), (0.36, 0.38, 0.42)

Rng = np.random.Generator


def _mat(color: Color, line: Color, pitch: float, minor: float, bold: int) -> Board:
    return Board("grid", (450.0, 320.0), color, line, pitch, minor, 0.35, bold, wear=0.05)


BOARDS: tuple[Board, ...] = (
    _mat((0.07, 0.27, 0.20), PALE_INK, 10.0, 0.0, 5),
    _mat((0.10, 0.20, 0.38), PALE_INK, 10.0, 5.0, 0),
    Board("wood", (760.0, 560.0), (0.62, 0.46, 0.30), thick_mm=20.0),
    replace(_mat((0.80, 0.78, 0.76), DARK_INK, 10.0, 0.0, 5), wear=0.02),
    _mat((0.06, 0.065, 0.07), (0.62, 0.62, 0.60), 10.0, 0.0, 5),
    replace(
        _mat((0.95, 0.95, 0.94), (0.62, 0.70, 0.80), 5.0, 0.0, 0),
        size_mm=(420.0, 297.0), line_mm=0.22, margin_mm=4.0, thick_mm=0.1, wear=0.004,
    ),
    replace(_mat((0.13, 0.15, 0.18), (0.75, 0.75, 0.73), INCH_MM / 2.0, 3.175, 2), line_mm=0.4),
    Board("light", (420.0, 300.0), (0.96, 0.97, 0.98), thick_mm=8.0, glow=1.0),
    _mat((0.07, 0.30, 0.22), PALE_INK, 10.0, 1.0, 5),
    replace(_mat((0.42, 0.43, 0.44), (0.75, 0.76, 0.74), 10.0, 5.0, 5), wear=0.035),
    replace(
        _mat((0.94, 0.94, 0.92), (0.80, 0.62, 0.50), 10.0, 1.0, 5),
        size_mm=(420.0, 297.0), line_mm=0.25, margin_mm=6.0, thick_mm=0.1, wear=0.004,
    ),
    Board("paper", (420.0, 297.0), (0.93, 0.92, 0.89), thick_mm=0.2, wear=0.004),
    _mat((0.09, 0.22, 0.24), (0.66, 0.74, 0.68), INCH_MM, 6.35, 0),
    replace(_mat((0.10, 0.17, 0.42), (0.88, 0.88, 0.84), 10.0, 1.0, 5), wear=0.02),
    replace(_mat((0.70, 0.76, 0.70), (0.30, 0.42, 0.36), 10.0, 5.0, 5), wear=0.03),
    Board("wood", (760.0, 560.0), (0.34, 0.22, 0.14), thick_mm=20.0),
)  # fmt: skip
LIGHTS = ("sun", "softbox", "lamp", "two", "behind")
TILTS_DEG = ((0.0, 4.0), (8.0, 20.0), (3.0, 10.0), (20.0, 35.0), (0.0, 8.0), (10.0, 25.0))
PRINTED = ("print text", "print picture", "print dark")


def draw_scene(seed: int, *, is_printed: bool = False) -> Scene:
    """Return the scene of a seed: mock-ups on a board, or one printed card."""
    rng = np.random.default_rng([17, int(is_printed), seed])
    rank = seed // 2
    board = _varied(BOARDS[(5 * rank if is_printed else rank) % len(BOARDS)], rng)
    kind = LIGHTS[(3 * rank + seed % 2) % len(LIGHTS)]
    lamps, fill = _lights(kind, rng)
    phone = _phone(board, TILTS_DEG[(5 * rank + 3 * (seed % 2)) % len(TILTS_DEG)], rng)
    region = seen_region(phone.camera, phone.size_px, board)
    reference = None
    if not board.pitch_mm:
        reference = SHEET if board.kind == "wood" and rank % 2 == 0 else CARD
        reference = placed_reference(reference, region, rng)
    if is_printed:
        wanted = [printed_card(PRINTED[rank % len(PRINTED)], rng)]
    else:
        wanted = parts_for(board, rng)
    parts = placed(wanted, phone.camera, region, reference, rng)
    desk = color_of(rng.uniform(0.15, 0.5) * rng.uniform(0.7, 1.2, 3))
    name = f"{'printed' if is_printed else 'scene'}_{seed:02d}"
    has_caster = kind in ("sun", "lamp") and rank % 3 != 0
    caster = _caster(lamps[0], parts[0], np.random.default_rng([19, seed])) if has_caster else None
    return Scene(name, seed, board, desk, kind, lamps, fill, phone, parts, reference, caster)


def _caster(lamp: Lamp, part: Part, rng: Rng) -> Caster:
    """Return a bar, or the edge of a broad plate, whose shadow falls across the part."""
    x, y = part.shape.centroid.coords[0]
    way = np.array(lamp.at_mm) - (0.0 if lamp.size_mm == 0.0 else np.array([x, y, 0.0]))
    way /= np.linalg.norm(way)
    over = np.array([x, y, 0.0]) + rng.uniform(120.0, 350.0) * way
    is_bar = rng.random() < 0.6 or lamp.size_mm > 0.0
    wide = rng.uniform(8.0, 25.0) if is_bar else 600.0
    turn = rng.uniform(0.0, math.pi)
    c, s = math.cos(turn), math.sin(turn)
    # A bar lies right over the part, a plate with one edge over it.
    first = -wide / 2.0 if is_bar else 0.0
    last = first + wide
    flat = np.array([(-900.0, first), (900.0, first), (900.0, last), (-900.0, last)])
    ring = flat @ np.array([[c, s], [-s, c]]) + over[:2]
    return Caster(tuple((float(u), float(v)) for u, v in ring), float(over[2]))


def _varied(board: Board, rng: Rng) -> Board:
    """Return the board in another tone, with other broadness and wear of its lines."""
    color = color_of(board.color * (rng.uniform(0.88, 1.08) * rng.uniform(0.95, 1.05, 3)))
    ink = color_of(board.line * rng.uniform(0.75, 1.05, 3))
    return replace(
        board,
        color=color,
        line=ink if board.pitch_mm else board.line,
        line_mm=board.line_mm * rng.uniform(0.75, 1.4),
        wear=board.wear * rng.uniform(0.4, 1.6),
        labels=bool(board.margin_mm > 10.0 and board.pitch_mm and rng.random() < 0.7),
        diagonals_deg=(45.0, 60.0) if board.pitch_mm and rng.random() < 0.4 else (),
    )


def _phone(board: Board, tilt_deg: tuple[float, float], rng: Rng) -> Phone:
    focal_35mm = float(rng.choice([24.0, 26.0, 26.0, 28.0, 48.0]))
    mm_per_px = rng.uniform(0.14, 0.24)
    lens = (
        (0.0, 0.0) if rng.random() < 0.3 else (rng.uniform(-0.05, 0.05), rng.uniform(-0.02, 0.02))
    )
    tilt = rng.uniform(*tilt_deg)
    place = rng.uniform(-18.0, 18.0), rng.uniform(-18.0, 18.0)
    turns = (tilt, rng.uniform(0.0, 360.0), rng.uniform(-8.0, 8.0))
    still = looking_at(SIZE_PX, focal_35mm, lens, place, 100.0, turns)
    camera = looking_at(SIZE_PX, focal_35mm, lens, place, mm_per_px * still.focal_px, turns)
    return Phone(
        camera=camera,
        size_px=SIZE_PX,
        focal_35mm=focal_35mm,
        tilt_deg=tilt,
        mm_per_px=mm_per_px,
        blur_px=rng.uniform(0.45, 0.95),
        noise=rng.uniform(0.5, 1.8),
        sharpen=rng.uniform(0.0, 0.5),
        vignette=rng.uniform(0.05, 0.25),
        balance=(rng.uniform(0.92, 1.08), 1.0, rng.uniform(0.88, 1.08)),
        exposure=rng.uniform(0.62, 1.0),
        quality=int(rng.integers(78, 95)),
    )


def _lights(kind: str, rng: Rng) -> tuple[tuple[Lamp, ...], float]:
    turn = rng.uniform(0.0, 2.0 * math.pi)
    warm, day = (1.0, 0.85, 0.68), (1.0, 0.97, 0.92)

    def at(elevation_deg: float, far_mm: float, way: float) -> tuple[float, float, float]:
        up = math.radians(elevation_deg)
        flat = far_mm * math.cos(up)
        return flat * math.cos(way), flat * math.sin(way), far_mm * math.sin(up)

    if kind == "sun":
        return (Lamp(at(rng.uniform(28.0, 60.0), 2000.0, turn), 3.0, day),), rng.uniform(0.25, 0.6)
    if kind == "softbox":
        return (Lamp(at(rng.uniform(45.0, 75.0), 1000.0, turn), 60.0, day, 600.0),), 0.25
    if kind == "lamp":
        lamp = Lamp(at(rng.uniform(25.0, 45.0), 600.0, turn), 30.0, warm, rng.uniform(40.0, 120.0))
        return (lamp,), rng.uniform(0.1, 0.3)
    if kind == "two":
        first = Lamp(at(rng.uniform(35.0, 55.0), 800.0, turn), 35.0, warm, 80.0)
        other = turn + rng.uniform(1.2, 3.5)
        return (first, Lamp(at(50.0, 1100.0, other), 40.0, day, rng.uniform(200.0, 500.0))), 0.15
    # From behind: the far side of the bench as the phone sees it, low and broad as a window.
    way = math.pi / 2.0 + rng.uniform(-0.6, 0.6)
    return (Lamp(at(rng.uniform(20.0, 32.0), 1300.0, way), 150.0, day, 800.0),), 0.2
