"""Rings of points drawn at random, of every kind a builder cuts, and the chains they were meant."""

import dataclasses
import math

import numpy as np
import shapely

from geometry.errors import OutlineError
from geometry.outline import Arc, Cubic, Line
from geometry.outline.fit.circle_fit import fit_circle, fit_line

KINDS = (
    "rounded polygon", "arc blob", "lobes", "mix", "organic", "comb", "circle", "slot", "star",
)  # fmt: skip

SMALLEST_TURN = math.radians(15.0)
"""A corner that turns by less may become smooth."""


def turned(count):
    angles = np.arange(count) * 2.0 * math.pi / count
    return np.column_stack((np.cos(angles), np.sin(angles)))


def filleted(corners, radii):
    """Polygon whose corners are rounded by tangent arcs; a radius 0 keeps its corner."""
    ends, chain = [], []
    for before, here, after, radius in zip(
        np.roll(corners, 1, axis=0), corners, np.roll(corners, -1, axis=0), radii, strict=True
    ):
        if radius == 0.0:
            ends.append((tuple(here), tuple(here), None))
            continue
        u, v = ((p - here) / np.hypot(*(p - here)) for p in (before, after))
        half = math.acos(float(np.clip(u @ v, -1.0, 1.0))) / 2.0
        reach = radius / math.tan(half)
        middle = here + (u + v) / np.hypot(*(u + v)) * (radius / math.sin(half) - radius)
        a, m, b = (tuple(map(float, p)) for p in (here + reach * u, middle, here + reach * v))
        ends.append((a, b, Arc.through(a, m, b)))
    for (_, end, arc), (following, _, _) in zip(ends, ends[1:] + ends[:1], strict=True):
        if arc is not None:
            chain.append(arc)
        chain.append(Line(tuple(map(float, end)), tuple(map(float, following))))
    return chain


def rounded_polygon(rng, size):
    count = int(rng.integers(3, 9))
    angle = (np.arange(count) + rng.uniform(-0.25, 0.25, count)) * 2.0 * math.pi / count
    corners = 0.5 * size * rng.uniform(0.6, 1.0, (count, 1))
    corners = corners * np.column_stack((np.cos(angle), np.sin(angle)))
    radii = size * rng.uniform(0.03, 0.09, count)
    return filleted(corners, radii)


def arc_blob(rng, size):
    """Biarcs through places on a wobbly round: tangent arcs turning both ways."""
    count = int(rng.integers(3, 8))
    angle = (np.arange(count) + rng.uniform(-0.2, 0.2, count)) * 2.0 * math.pi / count
    places = 0.5 * size * rng.uniform(0.55, 1.0, (count, 1))
    places = places * np.column_stack((np.cos(angle), np.sin(angle)))
    along = np.roll(places, -1, axis=0) - np.roll(places, 1, axis=0)
    turn = rng.uniform(-0.3, 0.3, count)
    along = (along[:, 0] + 1j * along[:, 1]) * np.exp(1j * turn)
    along /= np.abs(along)
    z = places[:, 0] + 1j * places[:, 1]
    chain = []
    for k in range(count):
        chain.extend(_biarc(z[k], along[k], z[(k + 1) % count], along[(k + 1) % count]))
    return chain


def _biarc(p0, t0, p1, t1):
    """Two tangent arcs from a place and direction to another (equal handles)."""
    v, t = p1 - p0, t0 + t1
    vt = (v.conjugate() * t).real
    a = 2.0 * (1.0 - (t0.conjugate() * t1).real)
    d = (-vt + math.sqrt(vt * vt + a * abs(v) ** 2)) / a if a > 1e-9 else abs(v) ** 2 / (2.0 * vt)
    joint = (p0 + d * t0 + p1 - d * t1) / 2.0
    first = np.angle((joint - p0) / t0)
    second = np.angle(t1 / (p1 - joint))
    pair = []
    for a0, a1, half in ((p0, joint, first), (joint, p1, second)):
        pair.append(
            Arc.from_bulge((a0.real, a0.imag), (a1.real, a1.imag), math.tan(float(half) / 2.0))
        )
    return pair


def lobes(rng, size):
    """Round lobes about a middle, joined by hollows that touch them."""
    count = int(rng.integers(3, 7))
    ring = 0.3 * size
    reach = ring * math.sin(math.pi / count)
    radii = reach * rng.uniform(0.45, 0.85, count)
    centers = ring * turned(count)
    arcs = []
    for k in range(count):
        a, b = centers[k], centers[(k + 1) % count]
        ra, rb = radii[k], radii[(k + 1) % count]
        hollow = reach * rng.uniform(0.4, 1.6)
        # The hollow's centre, outside, is that far from both.
        da, db, between = ra + hollow, rb + hollow, np.hypot(*(b - a))
        along = (between**2 + da**2 - db**2) / (2.0 * between)
        up = math.sqrt(da**2 - along**2)
        unit = (b - a) / between
        center = a + along * unit + up * np.array([unit[1], -unit[0]])
        arcs.append((center, hollow))
    chain = []
    for k in range(count):
        (before, rb), (after, ra) = arcs[k - 1], arcs[k]
        c, r = centers[k], radii[k]
        start = c + (before - c) * r / (r + rb)
        end = c + (after - c) * r / (r + ra)
        chain.append(_turning(c, r, start, end, 1.0))
        following, rf = centers[(k + 1) % count], radii[(k + 1) % count]
        chain.append(_turning(after, ra, end, following + (after - following) * rf / (rf + ra), -1))
    return chain


def _turning(center, radius, start, end, side):
    a = math.atan2(*(start - center)[::-1])
    b = math.atan2(*(end - center)[::-1])
    sweep = (side * (b - a)) % (2.0 * math.pi)
    return Arc((float(center[0]), float(center[1])), float(radius), a, side * sweep)


def mix(rng, size):
    """Straight and bowed edges between corners, some of them rounded."""
    count = int(rng.integers(4, 9))
    angle = (np.arange(count) + rng.uniform(-0.25, 0.25, count)) * 2.0 * math.pi / count
    corners = 0.5 * size * rng.uniform(0.55, 1.0, (count, 1))
    corners = corners * np.column_stack((np.cos(angle), np.sin(angle)))
    radii = np.where(rng.random(count) < 0.4, size * rng.uniform(0.03, 0.08, count), 0.0)
    chain = filleted(corners, radii)
    for k, here in enumerate(chain):
        alone = all(isinstance(chain[j % len(chain)], Line) for j in (k - 1, k + 1))
        if isinstance(here, Line) and alone and rng.random() < 0.5:
            bulge = rng.uniform(0.1, 0.35) * rng.choice([-1.0, 1.0])
            chain[k] = Arc.from_bulge(here.start, here.end, bulge)
    return chain


def organic(rng, size):
    angle = np.linspace(0.0, 2.0 * math.pi, 97)
    waves = sum(
        rng.uniform(0.0, 0.25 / k) * np.cos(k * angle + rng.uniform(0, 6)) for k in (2, 3, 4)
    )
    reach = 0.4 * size * (1.0 + waves)
    places = np.column_stack((reach * np.cos(angle), 0.8 * reach * np.sin(angle)))[:-1]
    slope = (np.roll(places, -1, axis=0) - np.roll(places, 1, axis=0)) / 6.0
    chain = []
    for k in range(96):
        a, b = places[k], places[(k + 1) % 96]
        points = (a, a + slope[k], b - slope[(k + 1) % 96], b)
        chain.append(Cubic(*(tuple(map(float, p)) for p in points)))
    return chain


def comb(rng, size):
    teeth = int(rng.integers(3, 12))
    step = size / teeth
    deep, gap = 0.3 * size * rng.uniform(0.4, 1.0), step * rng.uniform(0.3, 0.6)
    top = []
    for k in range(teeth):
        x = k * step
        top += [(x, 0.0), (x, deep), (x + step - gap, deep), (x + step - gap, 0.0)]
    corners = np.array([*top[:-1], (size - gap, -0.2 * size), (0.0, -0.2 * size)][1:])[::-1]
    radii = np.zeros(len(corners))
    if rng.random() < 0.5:
        radii[:-2] = 0.2 * min(step - gap, gap) * rng.uniform(0.5, 1.5)
        radii[0] = radii[1] = radii[-3] = 0.0
    return filleted(corners, radii)


def circle(rng, size):
    return [Arc((0.0, 0.0), size / 2.0, rng.uniform(0.0, 6.0), 2.0 * math.pi)]


def slot(rng, size):
    r = size * rng.uniform(0.03, 0.3)
    a = size / 2.0 - r
    one = Arc((a, 0.0), r, -math.pi / 2.0, math.pi)
    two = Arc((-a, 0.0), r, math.pi / 2.0, math.pi)
    return [one, Line(one.end, two.start), two, Line(two.end, one.start)]


def star(rng, size):
    corners = 2 * int(rng.integers(3, 15))
    reach = np.where(np.arange(corners) % 2, 0.5 * size, 0.5 * size * rng.uniform(0.4, 0.8))
    return filleted(reach[:, None] * turned(corners), np.zeros(corners))


MAKERS = dict(
    zip(
        KINDS,
        (rounded_polygon, arc_blob, lobes, mix, organic, comb, circle, slot, star),
        strict=True,
    )
)


def kink(here, following):
    """Turn in radians from one segment's end to the next one's start."""
    (ax, ay), (bx, by) = here.tangent_at(1.0), following.tangent_at(0.0)
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def pairs_of(chain):
    return zip([chain[-1], *chain[:-1]], chain, strict=True)


def sampled(chain, count, rng, *, even):
    """(N, 2) points along a chain, and (N, 2) unit directions across it."""
    lengths = np.array([s.length_mm for s in chain])
    ends = np.cumsum(lengths)
    way = (np.arange(count) + rng.uniform(0.0, 1.0)) / count
    if not even:
        way = np.sort((way + rng.uniform(-0.4, 0.4, count) / count) % 1.0)
    way = way * ends[-1]
    # A corner between far points would be cut: there its own point is among them.
    corners = [k for k, (a, b) in enumerate(pairs_of(chain)) if kink(a, b) > 1e-6]
    way = np.sort(np.concatenate((way, (ends - lengths)[corners])))
    at = np.minimum(np.searchsorted(ends, way), len(chain) - 1)
    share = (way - ends[at] + lengths[at]) / lengths[at]
    points = np.array([chain[k].point_at(float(t)) for k, t in zip(at, share, strict=True)])
    along = np.array([chain[k].tangent_at(float(t)) for k, t in zip(at, share, strict=True)])
    return points, np.column_stack((-along[:, 1], along[:, 0]))


def noisy(points, across, reach_mm, rng, *, smooth):
    """Points moved by at most ``reach_mm``: each by itself, or slowly to and fro as a hand does."""
    if reach_mm == 0.0:
        return points
    if not smooth:
        away = rng.normal(0.0, reach_mm / 2.5, points.shape)
        far = np.maximum(np.hypot(*away.T) / reach_mm, 1.0)
        return points + away / far[:, None]
    waves = np.fft.rfft(rng.normal(0.0, 1.0, len(points)))
    # A wave of the hand is not shorter than a dozen points.
    longest = rng.uniform(12.0, max(len(points) / 6.0, 13.0))
    waves *= np.exp(-0.5 * (np.arange(len(waves)) * longest / len(points) / 2.0) ** 2)
    waves[0] = 0.0
    aside = np.fft.irfft(waves, len(points))
    return points + (aside * reach_mm / np.abs(aside).max())[:, None] * across


def shows(chain, spacing, tolerance):
    """Whether points that far apart show every piece of a chain, and all of them are needed."""
    if any(isinstance(s, Cubic) for s in chain):
        return False
    for s in chain:
        if s.length_mm < max(10.0 * spacing, 12.0 * tolerance):
            return False
        if isinstance(s, Arc):
            flat = s.radius_mm * (1.0 - math.cos(min(abs(s.sweep_rad) / 2.0, math.pi)))
            if spacing**2 / (8.0 * s.radius_mm) > 0.25 * tolerance or flat < 4.0 * tolerance:
                return False
    return len(chain) < 3 or not any(_as_one(a, b, tolerance) for a, b in pairs_of(chain))


def _as_one(a, b, tolerance):
    """Whether one line or arc would do for two neighbours."""
    if kink(a, b) > SMALLEST_TURN:
        return False
    share = np.linspace(0.0, 1.0, 40)
    both = np.array([s.point_at(float(t)) for s in (a, b) for t in share])
    line = fit_line(both)
    normal = np.array([-line.direction[1], line.direction[0]])
    off = [np.abs((both - line.point) @ normal).max()]
    try:
        found = fit_circle(both)
        off.append(np.abs(np.hypot(*(both - found.center).T) - found.radius_mm).max())
    except OutlineError:
        pass
    return min(off) < 2.0 * tolerance


@dataclasses.dataclass(frozen=True)
class Case:
    """One ring of points and the chain it was drawn from."""

    chain: list
    ring: np.ndarray
    tolerance: float
    is_shown: bool


def case_of(kind, seed, *, most_noise=0.9):
    """The seeded ring of a kind."""
    rng = np.random.default_rng([KINDS.index(kind), seed])
    for _ in range(20):
        size = 10.0 ** rng.uniform(1.0, 3.48)
        tolerance = float(rng.choice([0.02 if size < 300.0 else 0.1, 0.1, 0.1, 0.3]))
        count = round(10.0 ** rng.uniform(math.log10(60), math.log10(20_000)))
        try:
            chain = MAKERS[kind](rng, size)
        except (ValueError, ZeroDivisionError):
            continue
        rough = shapely.LinearRing(np.concatenate([s.flatten(size / 500.0) for s in chain]))
        if not rough.is_simple:
            continue
        spacing = sum(s.length_mm for s in chain) / count
        is_shown = shows(chain, spacing, tolerance)
        if is_shown or kind == "organic" or rng.random() < 0.1:
            break
    noise, smooth = rng.uniform(0.0, most_noise), bool(rng.random() < 0.5)
    noise *= rng.random() > 0.1
    points, across = sampled(chain, count, rng, even=rng.random() < 0.7)
    ring = noisy(points, across, noise * tolerance, rng, smooth=smooth)
    ring = np.roll(ring, int(rng.integers(len(ring))), axis=0)[:: int(rng.choice([1, -1]))]
    shift = rng.uniform(-500.0, 500.0, 2)
    move = np.array([[1.0, 0.0, shift[0]], [0.0, 1.0, shift[1]], [0.0, 0.0, 1.0]])
    chain = [s.transformed(move) for s in chain]
    return Case(chain, ring + shift, tolerance, is_shown)
