"""Fit rings drawn at random; tell how well tolerance, joints and nodes are kept, in what time."""

import dataclasses
import math
import time

import numpy as np
import shapely

from geometry.outline.fitting import fit_ring
from tests.core.ring_shapes import SMALLEST_TURN, case_of, kink, pairs_of

TANGENT_DEG, KINK_DEG = 0.1, 5.0


@dataclasses.dataclass(frozen=True)
class Trial:
    """How one ring went. Joints and nodes are counted only where the points show them."""

    kind: str
    seed: int
    points: int
    size_mm: float
    noise: float
    smooth_noise: bool
    seconds: float
    is_within: bool
    nodes: int
    wanted: int
    tangents: int
    tangent: int
    kinked: int
    corners: int
    kept: int


def is_within(segments, ring, tolerance):
    """Whether ring and curve lie within tolerance of each other."""
    parts = [s.flatten(tolerance / 500.0) for s in segments]
    curve = shapely.LineString(np.vstack([*parts, [segments[-1].end]]))
    places = shapely.get_coordinates(shapely.segmentize(curve, max(tolerance, curve.length / 1e4)))
    pairs = ((ring, curve), (places, shapely.LinearRing(ring)))
    return all(_all_near(points, line, 1.003 * tolerance) for points, line in pairs)


def _all_near(points, line, distance):
    shapely.prepare(line)
    return bool(shapely.dwithin(line, shapely.points(points), distance).all())


def try_ring(kind, seed, **more):
    """Fit one ring and measure it."""
    case = case_of(kind, seed, **more)
    start = time.process_time()
    segments = fit_ring(
        case.ring, case.tolerance, character="organic" if kind == "organic" else "precise"
    )
    taken = time.process_time() - start
    joints = joints_of(case, segments)
    return Trial(
        kind,
        seed,
        len(case.ring),
        case.size_mm,
        case.noise,
        case.smooth_noise,
        taken,
        is_within(segments, case.ring, case.tolerance),
        len(segments),
        len(case.chain) if case.is_shown else 0,
        *joints,
    )


def joints_of(case, segments):
    """True tangents, how many came out so and how many kink; corners, and how many are kept."""
    found = np.array([s.start for s in segments])
    turns = np.array([kink(a, b) for a, b in pairs_of(list(segments))])
    if len(segments) == 1:
        turns = np.zeros(1)
    if not case.is_shown:
        return 0, 0, 0, 0, 0
    if len(case.chain) == 1:
        return 0, 0, 0, 1, int(len(segments) == 1)
    true = np.array([s.start for s in case.chain])
    bends = np.array([kink(a, b) for a, b in pairs_of(case.chain)])
    mine = np.hypot(*(found[:, None] - true).transpose(2, 0, 1)).argmin(axis=1)
    tangents = tangent = kinked = corners = kept = 0
    for k, bend in enumerate(bends):
        here = turns[mine == k]
        if bend < 1e-6:
            worst = math.degrees(here.max(initial=0.0))
            tangents += 1
            tangent += worst <= TANGENT_DEG
            kinked += worst > KINK_DEG
        elif bend > SMALLEST_TURN:
            near = np.hypot(*(found - true[k]).T) < 3.0 * case.tolerance / math.sin(bend / 2.0)
            corners += 1
            kept += bool((near & (turns > 0.5 * bend)).any())
    return tangents, tangent, kinked, corners, kept


def told(kind, trials):
    """One line on the rings of a kind."""
    shown = [t for t in trials if t.wanted]
    calm = [t for t in shown if t.noise <= 0.5]
    ratio = sum(t.nodes for t in shown) / max(sum(t.wanted for t in shown), 1)
    off = [t.nodes - t.wanted for t in shown]
    slow = max(trials, key=lambda t: t.seconds)
    astray = [t.seed for t in trials if not t.is_within]
    noise = f"{slow.noise:.2f}{'s' if slow.smooth_noise else 'w'}"
    parts = [
        f"{kind:<16} shown {len(shown)}/{len(trials)}",
        f"tangent {share(calm, 'tangent', 'tangents')} calm",
        f"{share(shown, 'tangent', 'tangents')} all",
        f"kinks {share(calm, 'kinked', 'tangents')} calm",
        f"{share(shown, 'kinked', 'tangents')} all",
        f"corners {share(shown, 'kept', 'corners')}",
        f"nodes {ratio:.3f} ({sum(d < 0 for d in off)} fewer, {sum(d > 0 for d in off)} more)",
        f"s: mean {np.mean([t.seconds for t in trials]):.3f}",
        f"worst {slow.seconds:.2f} ({slow.seed}, {slow.points} points, noise {noise})",
    ]
    return "; ".join(parts) + (f"; ASTRAY {astray}" if astray else "")


def share(trials, part, whole):
    """A share of joints in percent, as text."""
    count = sum(getattr(t, whole) for t in trials)
    return f"{100.0 * sum(getattr(t, part) for t in trials) / count:.1f}%" if count else "-"
