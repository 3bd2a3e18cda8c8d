"""See through what is drawn on a part where it meets the edge, as if the face were bare there.

Light mixes along straight lines between colours. Of all mixtures of red, green and blue there is
one in which a mark looks just as the face does and the bench as it does beside the mark: in it
the mark is gone, and the edge is read as everywhere else. But photos store hues blurred: a broad
mark that differs from the bench in brightness is read by its own step to it. Where neither does,
and beside a mark's sides, the edge is hidden, and drawn on from where it shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, LineString

from ...arrays import FloatArray, Points, runs_of
from .colour import quadratic
from .evening import calm_normals, evened_ring, respaced
from .light import LightCrop, linear_light
from .region import Region

__all__ = ["see_through"]

SPACING_PX = 2.0
"""How far apart the rim is looked at."""
DEPTH_PX = 4.0
"""How far off the rim, beyond the roughness of the ring, colours are not mixed any more."""
ODD_SHARE, ODD_NOISE = 0.12, 6.0
"""Off the face is what differs by such a share of its contrast and so many times the noise."""
PAD_PX = 10.0
"""How far past a mark's sides its light may be mixed."""
REACH_PX = 14.0
"""How far off the ring the edge is looked for, beyond its roughness."""
HIDDEN_PX = 8.0
"""How far off the ring the edge is hidden where it does not show: the ring may be as far off it."""
FAINT = 0.4
"""A mark through which the edge shows with such a share of its contrast is left as it is."""
NARROW_PX = 14.0
"""A mark that covers less of the rim is bridged."""
CLEAR_NOISES = 12.0
"""The mixture is good enough when the bench stands out in it by so many times the noise."""
LEAST_NOISES, LEAST_LIGHT = 3.0, 0.02
"""A mark's own step to the bench is read where it is so many times the noise and so much light."""
DEPTHS, PURE = (0.6, 1.0, 1.5), 0.2
"""A mark is whole where, at such shares of the depth, its colour is off by such a share at most."""
ACROSS = np.arange(-1.0, 0.6, 0.2)
"""At such shares of the depth nothing but the mark and the bench is seen."""


def see_through(light: LightCrop, pixels: NDArray[Any], region: Region) -> None:
    """Take marks that meet the rim of a part out of its light, and hide what cannot be.

    Parameters
    ----------
    light : LightCrop
        The part's light, changed in place.
    pixels : (H, W, 3) uint8
        The photo.
    region : Region
        The part's rough outline, and where it is drawn on.
    """
    shape, step_px = region.polygon, region.step_px
    depth = DEPTH_PX + step_px
    rims = [_rim(shape.exterior, step_px, depth)]
    # Off a hole is into the part.
    rims += [_rim(ring, step_px, -depth) for ring in shape.interiors]
    places = np.concatenate([rim[0] for rim in rims])
    inner, outer = (np.concatenate([_seen(pixels, rim[k]) for rim in rims]) for k in (1, 2))
    face, noise = _face(places, inner)
    contrast = np.hypot.reduce(np.median(outer - face, axis=0))
    off = np.sqrt(np.sum((inner - face) ** 2, axis=1))
    limit = max(ODD_SHARE * float(contrast), ODD_NOISE * noise)
    odd = off > limit
    if region.drawn is not None and not region.drawn.is_empty:
        drawn = region.drawn.buffer(step_px + 2.0)
        shapely.prepare(drawn)
        odd |= shapely.contains_xy(drawn, *places.T)
    first = 0
    for rim in rims:
        mine = slice(first, first + len(rim[0]))
        first += len(rim[0])
        seen, bare, beyond, strange = inner[mine], face[mine], outer[mine], off[mine]
        for run in _runs(odd[mine], seen, 3.0 * limit):
            most = float(strange[run].max())
            if most < limit:
                continue
            strong = strange[run] > 0.7 * most
            mark = _Mark(
                places=rim[0][run],
                deep=rim[1][run],
                face=np.median(bare[run], axis=0),
                colour=np.median(seen[run][strong], axis=0),
                bench=np.median(beyond[run], axis=0),
                seen=_widened(odd[mine][run], 2),
                narrow=SPACING_PX * int(strong.sum()) < NARROW_PX,
            )
            _clear(light, pixels, mark, REACH_PX + step_px, noise)


@dataclass(frozen=True, slots=True)
class _Mark:
    """A run of the rim with a mark on it.

    ``places`` (N, 2) lie on the rim, ``deep`` some way into the part; ``seen`` (N,) tells where
    the mark is; the colours of the bare face, the mark and the bench are linear light.
    """

    places: Points
    deep: Points
    face: FloatArray
    colour: FloatArray
    bench: FloatArray
    seen: NDArray[np.bool_]
    narrow: bool


def _widened(mask: NDArray[np.bool_], by: int) -> NDArray[np.bool_]:
    return np.convolve(mask, np.ones(2 * by + 1))[by : len(mask) + by] > 0.5


def _rim(ring: LinearRing, step_px: int, depth: float) -> tuple[Points, Points, Points]:
    """Places along a ring, and those as deep within it and without."""
    points = np.asarray(ring.coords)[:-1, :2]
    even = evened_ring(respaced(points, SPACING_PX), max(1.0, 0.6 * step_px))
    outward = calm_normals(even, closed=True)
    if not ring.is_ccw:
        outward = -outward
    return even, even - depth * outward, even + depth * outward


def _seen(pixels: NDArray[Any], places: Points) -> FloatArray:
    """(N, 3) linear light at (N, 2) places, averaged over a pixel's neighbours."""
    x, y = np.rint(places).astype(np.int64).T
    height, width = pixels.shape[:2]
    total = np.zeros((len(places), 3))
    for dx, dy in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)):
        at = pixels[np.clip(y + dy, 0, height - 1), np.clip(x + dx, 0, width - 1), :3]
        total += linear_light(at)
    return total / 5.0


def _face(places: Points, seen: FloatArray) -> tuple[FloatArray, float]:
    """(N, 3) colour of the bare face at places, a quadratic without odd ones; and the noise."""
    x, y = ((places - places.mean(axis=0)) / np.ptp(places, axis=0).max()).T
    terms = quadratic(x, y)
    model = np.broadcast_to(np.median(seen, axis=0), seen.shape)
    for turn in range(4):
        off = np.abs(seen - model).max(axis=1)
        middle = float(np.median(off))
        keep = off <= max(4.0 * middle, 0.01)
        if turn == 3 or keep.sum() < 12:
            break
        model = terms @ np.linalg.lstsq(terms[keep], seen[keep], rcond=1e-6)[0]
    return model, 1.48 * middle


def _runs(odd: NDArray[np.bool_], seen: FloatArray, change: float) -> Iterator[NDArray[np.int64]]:
    """Numbers of the places of each run of set ones round a ring, some more at both ends.

    A run is split where its (N, 3) colours change by much from one place to the next but one.
    """
    count, pad = len(odd), round(PAD_PX / SPACING_PX)
    start = 0 if odd.all() else int(np.argmin(odd))
    odd, seen = np.roll(odd, -start), np.roll(seen, -start, axis=0)
    jump = np.zeros(count, dtype=bool)
    jump[2:-2] = np.hypot.reduce(seen[4:] - seen[:-4], axis=1) > change
    jump[2:-2] &= odd[4:] & odd[:-4]
    whole = _widened(odd, pad) & ~(jump & odd)
    for begin, stop in zip(*runs_of(whole), strict=True):
        if odd[begin:stop].sum() >= 2:
            low = begin - pad if begin > 0 and jump[begin - 1] else begin
            high = stop + pad if stop < count and jump[stop] else stop
            yield (np.arange(low, min(high, low + count)) + start) % count


def _clear(light: LightCrop, pixels: NDArray[Any], mark: _Mark, reach: float, noise: float) -> None:
    """Show a run of the rim in the mixture in which its mark is gone, or hide it."""
    change, off, under = mark.bench - mark.face, mark.colour - mark.face, mark.bench - mark.colour
    drop = float(light.weights @ change)
    if abs(drop) < noise:
        return  # it is no mark that hides the edge
    if FAINT < float(light.weights @ under) / drop < 1.0 / FAINT:
        return  # the edge shows well enough under the mark
    along = float(under @ change / (change @ change))
    if 0.0 < along < 1.0 and np.abs(under - along * change).max() < 3.0 * noise:
        return  # face and bench mixed: the ring is too rough here, or it is bent
    bright = float(light.weights @ under)
    is_sharp = abs(bright) > FAINT * abs(drop)
    size = float(np.hypot.reduce(under))
    across = change - (change @ off) / (off @ off) * off
    contrast = float(np.hypot.reduce(across))
    hued = contrast > CLEAR_NOISES * noise and not mark.narrow
    within = np.zeros(len(mark.places), dtype=bool)
    if is_sharp or (not hued and size > max(LEAST_NOISES * noise, LEAST_LIGHT)):
        within = _is_under(pixels, mark)
    # Hues are stored blurred: brightness is better where it tells.
    if hued and not (is_sharp and within.any()):
        mixture = drop / contrast**2 * across
        level = float(light.weights @ mark.face - mixture @ mark.face)
        light.remix(pixels, LineString(mark.places).buffer(reach), mixture, level)
        return
    if within.any():
        # Well within a mark, where a cut sees nothing of the face, its own step is read.
        own = drop / bright * light.weights if is_sharp else drop / size**2 * under
        level = float(light.weights @ mark.bench - own @ mark.bench)
        cut = mark.places - mark.deep
        cut *= reach / np.hypot(*cut.T)[:, None]
        cuts = np.stack((mark.places - cut, mark.places + cut), axis=1)[within]
        strips = shapely.buffer(shapely.linestrings(cuts), SPACING_PX)
        light.remix(pixels, shapely.union_all(strips), own, level)
    blind = mark.seen & ~within
    for piece in np.split(np.arange(len(blind)), np.flatnonzero(np.diff(blind)) + 1):
        if blind[piece[0]] and len(piece) > 1:
            light.hide(LineString(mark.places[piece]).buffer(HIDDEN_PX, cap_style="flat"))


def _is_under(pixels: NDArray[Any], mark: _Mark) -> NDArray[np.bool_]:
    """(N,) whether nothing but the mark is seen some way into the part, and beside it."""
    limit = PURE * float(np.hypot.reduce(mark.colour - mark.face))
    within = np.ones(len(mark.places), dtype=bool)
    for share in DEPTHS:
        seen = _seen(pixels, mark.places + share * (mark.deep - mark.places))
        within &= np.hypot.reduce(seen - mark.colour, axis=1) < limit
    # A sliver of the face may show between the mark and the rim.
    under = mark.bench - mark.colour
    for share in ACROSS:
        seen = _seen(pixels, mark.places + share * (mark.deep - mark.places)) - mark.colour
        mixed = np.clip(seen @ under / (under @ under), 0.0, 1.0)
        within &= np.hypot.reduce(seen - mixed[:, None] * under, axis=1) < limit
    for _ in range(2):
        within[1:-1] &= within[2:] & within[:-2]
    return within
