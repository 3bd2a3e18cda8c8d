"""How far traced outlines are from the truth on rendered photos, and whether doubts tell so.

Called as ``python scripts/bench.py --photos FOLDER``; every picture has its truth beside it.
"""

import json
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from campaign.measure import (
    LIMIT_WORST_PX,
    Array,
    Gaps,
    coverage,
    crossings,
    far_off,
    gaps,
    marked,
    overlap,
    stated_by,
    told,
    verdict,
)
from campaign.reading import KnownPart, KnownPhoto, known_photos
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely import Polygon

from geometry.bench import Bench
from geometry.errors import FlatwrightError
from geometry.outline import trace

__all__ = ["PartResult", "photos"]

TOLERANCE_MM = 0.1
WHOLE = 0.98
"""Overlap from which a part counts as found whole."""
OUTLINE_MM = 0.003
"""How far chords may leave a found curve: a fiftieth of a pixel."""
CHORD_MM = 1.0
"""Over so much a lens bends an edge by less than a hundredth of a pixel."""
ZOOM, AROUND_PX = 3, 20.0


@dataclass(frozen=True, slots=True)
class PartResult:
    """How one part came out; figures are NaN where it was refused.

    ``verdict`` is one of "within", "told", "loose", "wrong", "refused", "crash", "no bench".
    ``good`` counts places of the outline within the limits, ``good_marked`` those of them that
    are marked doubtful; ``held`` of ``stated`` ± hold.
    """

    picture: str
    part: str
    stock: str
    verdict: str
    most_px: float = float("nan")
    worst_px: float = float("nan")
    most_mm: float = float("nan")
    worst_mm: float = float("nan")
    overlap: float = float("nan")
    crossings: int = 0
    holes_missed: int = 0
    doubts: int = 0
    good: int = 0
    good_marked: int = 0
    held: int = 0
    stated: int = 0
    seconds: float = 0.0
    clicks: int = 1
    remark: str = ""

    @property
    def is_right(self) -> bool:
        """Whether the outline agrees with the truth or says where it does not."""
        return self.verdict in ("within", "told") and not self.crossings

    @property
    def is_whole(self) -> bool:
        """Whether nothing much is missing or too much, holes included."""
        return self.overlap >= WHOLE and not self.holes_missed


def photos(
    folder: Path,
    *,
    pictures: Path | None = None,
    results: Path | None = None,
    true_bench: bool = False,
    more_clicks: int = 0,
) -> list[PartResult]:
    """Trace every part of every picture with one click, print how it went, return the results.

    Parameters
    ----------
    folder
        Pictures with their truth beside them.
    pictures
        Folder for a picture of every part that is not right: truth green, found red.
    results
        File for the figures as JSON.
    true_bench
        Trace on the camera as it was, so that only tracing is judged.
    more_clicks
        As long as a part did not come whole, click so many times more, each time where most is
        missing or too much.
    """
    found: list[PartResult] = []
    for path in known_photos(folder):
        known = KnownPhoto.read(path)
        bench, line = _bench_of(known, true_bench=true_bench)
        print(line, flush=True)
        for part in known.parts:
            result, outline = _try(known, part, bench, more_clicks=more_clicks)
            found.append(result)
            print(_line(result), flush=True)
            if pictures is not None and not result.is_right:
                _draw(known, part, outline, pictures, result.verdict)
    print(summary(found))
    if results is not None:
        results.write_text(json.dumps([asdict(result) for result in found], indent=1) + "\n")
    return found


def _bench_of(known: KnownPhoto, *, true_bench: bool) -> tuple[Bench | None, str]:
    """Return the bench, if there is one, and a line on it."""
    if true_bench:
        return known.true_bench(), f"{known.name}: bench as it was"
    try:
        bench = known.found_bench()
    except FlatwrightError as error:
        return None, f"{known.name}: no bench: {error}"
    off = 100.0 * known.scale_error(bench)
    return bench, f"{known.name}: bench by {bench.report.nodes_used} places, scale {off:+.3f} % off"


def _try(
    known: KnownPhoto, part: KnownPart, bench: Bench | None, *, more_clicks: int
) -> tuple[PartResult, Polygon | None]:
    if bench is None:
        return PartResult(known.name, part.name, part.stock, "no bench"), None
    clicked: dict[str, list[tuple[float, float]]] = {}
    result, outline = _traced(known, part, bench, clicked)
    for count in range(more_clicks):
        if outline is None or result.is_whole:
            break
        where, place = _next_click(outline, part.top)
        clicked.setdefault(where, []).append(place)
        again, better = _traced(known, part, bench, clicked)
        # Who gets no answer leaves it at what there was.
        if better is None:
            break
        result, outline = replace(again, clicks=count + 2), better
    return result, outline


def _next_click(found: Polygon, truth: Polygon) -> tuple[str, tuple[float, float]]:
    """How and where a person clicks next: amid the larger of what is missing or too much."""
    one, two = shapely.make_valid(found), shapely.make_valid(truth)
    missing, much = _largest(two.difference(one)), _largest(one.difference(two))
    wanted = missing if missing.area >= much.area else much
    x, y = shapely.maximum_inscribed_circle(wanted, 0.5).coords[0]
    return "add_px" if wanted is missing else "remove_px", (float(x), float(y))


def _largest(shape: shapely.Geometry) -> Polygon:
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return max(parts, key=lambda part: part.area, default=Polygon())


def _traced(
    known: KnownPhoto, part: KnownPart, bench: Bench, more: dict[str, Any]
) -> tuple[PartResult, Polygon | None]:
    doubts: list[Any] = []
    start = time.perf_counter()
    refused = PartResult(known.name, part.name, part.stock, "refused")
    try:
        profile = trace(
            known.photo.pixels,
            bench,
            part.click_px,
            height_mm=part.height_mm,
            tolerance_mm=TOLERANCE_MM,
            doubts=doubts,
            **more,
        )
    except FlatwrightError as error:
        return replace(refused, seconds=time.perf_counter() - start, remark=str(error)), None
    except Exception as error:  # what nobody foresaw is a result too
        remark = f"{type(error).__name__}: {error}"
        taken = time.perf_counter() - start
        return replace(refused, verdict="crash", seconds=taken, remark=remark), None
    taken = time.perf_counter() - start
    # A straight edge of a part is none on a photo that a lens bends.
    flat = shapely.segmentize(profile.polygon(OUTLINE_MM), CHORD_MM)
    rings = [
        bench.to_photo(np.asarray(ring.coords)[:-1], part.height_mm)
        for ring in (flat.exterior, *flat.interiors)
    ]
    outline = Polygon(rings[0], rings[1:])
    result = measured(known, part, outline, doubts)
    return replace(result, seconds=taken), outline


def measured(
    known: KnownPhoto, part: KnownPart, outline: Polygon, doubts: Sequence[Any]
) -> PartResult:
    """Return the figures of a found outline, px, and of the doubts told with it."""
    true = known.true_bench()

    def to_mm(places: Array) -> Array:
        return true.to_plane(places, part.height_mm)

    away, stated = gaps(outline, part.top, to_mm), stated_by(doubts)
    is_good = away.px[: away.own] <= LIMIT_WORST_PX
    held, count = coverage(part.top, stated)
    return PartResult(
        picture=known.name,
        part=part.name,
        stock=part.stock,
        verdict=verdict(away, stated, to_mm),
        most_px=away.most_px,
        worst_px=away.worst_px,
        most_mm=away.most_mm,
        worst_mm=away.worst_mm,
        overlap=overlap(outline, part.top),
        crossings=crossings(outline),
        holes_missed=abs(len(outline.interiors) - len(part.top.interiors)),
        doubts=len(doubts),
        good=int(is_good.sum()),
        good_marked=int((marked(away, stated, to_mm) & is_good).sum()),
        held=held,
        stated=count,
        remark=_where(away, told(away, stated, to_mm)),
    )


def _where(away: Gaps, is_told: NDArray[np.bool_]) -> str:
    """Tell the worst place that is far off and that no doubt tells of."""
    silent = np.where(far_off(away) & ~is_told, away.px, 0.0)
    if not silent.any():
        return ""
    worst = int(silent.argmax())
    x, y = away.places[worst]
    return f"untold at {x:.0f}, {y:.0f} px ({away.mm[worst]:.2f} mm)"


def _line(result: PartResult) -> str:
    name = f"  {result.part} ({result.stock})"
    if np.isnan(result.most_px):
        return f"{name:<38} {result.verdict:<8} {result.remark[:110]}"
    signs = f", {result.crossings} crossings" if result.crossings else ""
    signs += f", holes off by {result.holes_missed}" if result.holes_missed else ""
    return (
        f"{name:<38} {result.verdict:<8} 95 % {result.most_px:7.2f} px {result.most_mm:6.2f} mm   "
        f"worst {result.worst_px:7.2f} px {result.worst_mm:6.2f} mm   overlap "
        f"{100 * result.overlap:5.1f} %   {result.doubts} doubts   {result.seconds:5.1f} s{signs}"
        f"   {result.remark}"
    ).rstrip()


def summary(results: Sequence[PartResult]) -> str:
    """Return a few lines on all parts."""
    if not results:
        return "no pictures with their truth beside them"
    counts = Counter(result.verdict for result in results)
    order = ("within", "told", "loose", "wrong", "refused", "crash", "no bench")
    traced = [result for result in results if not np.isnan(result.most_px)]
    right = sum(result.is_right for result in results)
    lines = [
        f"{right} of {len(results)} parts right: "
        + ", ".join(f"{counts[kind]} {kind}" for kind in order),
        f"{sum(r.is_whole for r in traced)} whole (overlap from {100 * WHOLE:.0f} %, every hole), "
        f"{sum(r.is_whole and r.clicks > 1 for r in traced)} of them by further clicks; "
        f"{sum(r.crossings > 0 for r in traced)} with crossings; "
        f"{sum(r.holes_missed > 0 for r in traced)} with holes missed or too many",
    ]
    if traced:
        most, worst = (
            np.median([getattr(r, key) for r in traced]) for key in ("most_px", "worst_px")
        )
        good, doubtful = sum(r.good for r in traced), sum(r.good_marked for r in traced)
        held, stated = sum(r.held for r in traced), sum(r.stated for r in traced)
        share = f"{100 * held / stated:.1f} %" if stated else "none stated"
        lines += [
            f"median of the traced: 95 % {most:.2f} px, worst {worst:.2f} px; "
            f"{np.median([r.seconds for r in traced]):.1f} s a part",
            f"edge within {LIMIT_WORST_PX:g} px that is marked doubtful: "
            f"{100 * doubtful / max(good, 1):.2f} %; stated ± that hold: {share}",
        ]
    return "\n".join(lines)


def _draw(
    known: KnownPhoto, part: KnownPart, found: Polygon | None, folder: Path, kind: str
) -> None:
    """Write the part's surroundings, magnified: truth green, found red, the click a cross."""
    folder.mkdir(parents=True, exist_ok=True)
    height, width = known.photo.pixels.shape[:2]
    west, south, east, north = part.top.buffer(AROUND_PX).bounds
    box = max(int(west), 0), max(int(south), 0), min(int(east), width), min(int(north), height)
    shown = Image.fromarray(known.photo.pixels).crop(box)
    shown = shown.resize((ZOOM * shown.width, ZOOM * shown.height), Image.Resampling.NEAREST)
    draw = ImageDraw.Draw(shown)
    for shape, ink in ((part.top, (0, 255, 0)), (found, (255, 0, 0))):
        for ring in () if shape is None else (shape.exterior, *shape.interiors):
            # Pixel centres lie half a pixel inside the crop's corner.
            path = (np.asarray(ring.coords) - box[:2] + 0.5) * ZOOM
            draw.line([tuple(place) for place in path], fill=ink)
    x, y = ((value - low + 0.5) * ZOOM for value, low in zip(part.click_px, box[:2], strict=True))
    draw.line((x - 9, y, x + 9, y), fill=(255, 0, 255), width=2)
    draw.line((x, y - 9, x, y + 9), fill=(255, 0, 255), width=2)
    shown.save(folder / f"{known.name}_{part.name.replace(' ', '_')}_{kind.replace(' ', '_')}.png")
