"""How quick a whole assembly is joined and checked, beside solid booleans on the same parts."""

import math
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import globe_cradle
import manifold3d
import numpy as np
import trimesh

from geometry.assembly import (
    Joint,
    Part,
    around_axis,
    assembly_order,
    fixture_cuts,
    join_parts,
    lie_across_axis,
    meeting_pairs,
    stand_on_axis,
)
from geometry.assembly.check import Fixture, check_assembly
from geometry.assembly.sequence.opening import open_for_assembly
from geometry.outline import rectangle, ring
from geometry.part import Stock

__all__ = ["assembly", "growth", "lattices", "ordering"]

PLY = Stock("plywood", 2.9, 0.18)
NEAR_MM = 5.0
"""manifold3d looks for the least gap no farther than this."""
REQUIRED_MM = 0.5
"""Gap to be kept in space too."""


def parts_around(ribs: int, rings: int) -> tuple[list[Part], list[int]]:
    """Ribs around a globe lapped into two rings, loose rings above; and who shares a shape."""
    rib = globe_cradle.rib()
    parts = [
        Part(rib, PLY, pose, f"rib {i}")
        for i, pose in enumerate(around_axis(stand_on_axis(0.0), ribs))
    ]
    sizes = [(228.0, 175.44, -50.0), (112.0, 42.6, -120.0)]
    sizes += [(240.0, 202.0 + 0.5 * i, 20.0 + 8.0 * i) for i in range(rings - 2)]
    parts += [
        Part(ring(outer, bore), PLY, lie_across_axis(height), f"ring {height:g}")
        for outer, bore, height in sizes
    ]
    return parts, [0] * ribs + list(range(1, rings + 1))


def globe(triangles: int) -> tuple[np.ndarray, np.ndarray]:
    """A ball of 200 mm of about so many triangles."""
    around = round(math.sqrt(triangles / 4.0))
    ball = trimesh.creation.uv_sphere(100.0, count=[around, around])
    return np.array(ball.vertices), np.array(ball.faces)


def built(parts: list[Part], groups: list[int]) -> list[Part]:
    """Find who meets whom, lap them and return the parts with their slots."""
    joints = [Joint(a, b) for a, b in meeting_pairs(parts)]
    joinery = join_parts(parts, joints, groups=groups)
    return [
        Part(joinery.profiles[group], part.stock, part.pose, part.name)
        for group, part in zip(groups, parts, strict=True)
    ]


def fresh(ribs: int, rings: int) -> tuple[list[Part], list[int]]:
    """The same parts as new objects, of which nothing is known yet."""
    parts, groups = parts_around(ribs, rings)
    return [Part(p.profile.moved(0.0, 0.0), p.stock, p.pose, p.name) for p in parts], groups


def assembly(row: Callable[[str, float, str, float], None]) -> None:
    """60 parts and 200,000 triangles: joints, silhouettes, gaps, overlaps, without the order.

    manifold3d gets the slotted parts for nothing, and finds overlaps with the fixture, the least
    gap to it in space and the overlap of every pair of parts. Ours finds the gap in each part's
    plane, and in a second row also what passes over or under it nearer than a required gap.
    """
    vertices, triangles = globe(200_000)
    times = []
    for required in (0.0, REQUIRED_MM):
        fixture = Fixture(vertices, triangles, "globe", required)
        tries = [_timed(partial(_joined_and_checked, fixture)) for _ in range(2)]
        cut = tries[-1][1]
        times.append(min(seconds for seconds, _ in tries))
    moved = list(cut)
    moved[0] = Part(cut[0].profile, PLY, cut[0].pose @ _lift(0.01), cut[0].name)
    times.append(_timed(partial(_without_order, moved, fixture))[0])
    theirs = min(_timed(partial(_by_manifold, cut, vertices, triangles))[0] for _ in range(2))
    names = (
        f"{len(cut)} parts around {len(triangles)} triangles",
        f"  and what passes within {REQUIRED_MM:g} mm of them",
        "  again, one part moved",
    )
    for name, ours in zip(names, times, strict=True):
        row(name, ours, "manifold3d booleans and gaps", theirs)


def _timed(work: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    made = work()
    return time.perf_counter() - start, made


def _joined_and_checked(fixture: Fixture) -> list[Part]:
    cut = built(*fresh(54, 6))
    _without_order(cut, fixture)
    return cut


def growth() -> None:
    """Print how the time grows with the number of parts, as a power of it."""
    fixture = Fixture(*globe(2_000), "globe")
    counts, times = (10, 40, 160, 500), []
    for count in counts:
        parts, groups = _cradles(count // 10)
        start = time.perf_counter()
        _without_order(built(parts, groups), fixture)
        times.append(time.perf_counter() - start)
    told = ", ".join(f"{n}: {t:.2f} s" for n, t in zip(counts, times, strict=True))
    slope = np.polyfit(np.log(counts), np.log(times), 1)[0]
    wanted = np.polyfit(np.log(counts), np.log([n * math.log(n) for n in counts]), 1)[0]
    print(f"parts, growth: {told}; power {slope:.2f}, n·log n would be {wanted:.2f}")


def ordering() -> None:
    """Print how long an order, and the sides of all slots for it, take around the same globe."""
    vertices, triangles = globe(200_000)
    parts, groups = fresh(54, 6)
    joints = [Joint(a, b) for a, b in meeting_pairs(parts)]
    cut = built(parts, groups)
    start = time.perf_counter()
    order = assembly_order(cut, fixture=(vertices, triangles))
    middle = time.perf_counter()
    opening = open_for_assembly(parts, joints, groups=groups, fixture=(vertices, triangles))
    end = time.perf_counter()
    print(
        f"order of {len(parts)} parts around the globe: {middle - start:.1f} s, {order.message} "
        f"Sides of {len(joints)} joints for it: {end - middle:.1f} s, {opening.message}"
    )


def lattices() -> None:
    """Print how long boards take that cradle a body: cut to it, joined, checked with the order.

    A person who presses a button notices half a second. Everything is new in each run but the
    last column, where one board was moved by a hundredth of a mm.
    """
    for count, triangles in ((6, 400), (12, 200_000)):
        body = _body(triangles)
        fixture = Fixture(*body, "body", 0.3)
        parts = _boards(count)
        cut, cuts = _timed(partial(_cut_to, parts, body))
        joints = [Joint(a, b) for a, b in meeting_pairs(parts)]
        joined, joinery = _timed(partial(join_parts, parts, joints, other_cuts=cuts))
        made = [replace(p, profile=q) for p, q in zip(parts, joinery.profiles, strict=True)]
        alone = _timed(partial(_without_order, made, fixture))[0]
        checked, check = _timed(partial(check_assembly, made, [fixture]))
        moved = [replace(parts[0], pose=parts[0].pose @ _lift(0.01)), *parts[1:]]
        first = fixture_cuts(moved[0], *body, 0.3)
        again = _timed(partial(join_parts, moved, joints, other_cuts={**cuts, 0: first}))[0]
        print(
            f"{2 * count} boards, {len(joinery.laps)} crossings, {len(body[1])} triangles: cut "
            f"{cut:.2f} s, join {joined:.2f} s, check {alone:.2f} s and order "
            f"{checked:.2f} s, one board moved {again:.2f} s. {check.order.message}"
        )


def _cut_to(parts: list[Part], body: tuple[np.ndarray, np.ndarray]) -> dict[int, Any]:
    return {i: fixture_cuts(part, *body, 0.3) for i, part in enumerate(parts)}


def _boards(count: int) -> list[Part]:
    """So many boards along x and as many across, 44 mm high."""
    boards = []
    for turn, length, room in ((0.0, 300.0, 150.0), (0.5 * math.pi, 190.0, 270.0)):
        c, s = math.cos(turn), math.sin(turn)
        for i in range(count):
            away = ((i + 0.5) / count - 0.5) * room
            x, y = (0.0, away) if turn == 0.0 else (away, 0.0)
            pose = np.array([[c, 0, s, x], [s, 0, -c, y], [0, 1, 0, 0], [0, 0, 0, 1.0]])
            board = rectangle(length, 44.0, (0.0, 22.0))
            boards.append(Part(board, PLY, pose, f"board {len(boards) + 1}"))
    return boards


def _body(triangles: int) -> tuple[np.ndarray, np.ndarray]:
    """A rounded body 240 × 110 × 72 mm of about so many triangles, sunk 34 mm into the boards."""
    around = round(math.sqrt(triangles / 8.0)) + 1
    ball = trimesh.creation.uv_sphere(1.0, count=[around, 2 * around])
    # Its poles lie ahead and behind, where no board stands.
    unit = np.array(ball.vertices)[:, [2, 0, 1]]
    rounded = np.sign(unit) * np.abs(unit) ** 0.7 * (120.0, 55.0, 36.0)
    rounded[:, 2] += 46.0
    return rounded, np.array(ball.faces)


def _cradles(count: int) -> tuple[list[Part], list[int]]:
    """So many cradles of ten parts beside each other, the first around the globe."""
    parts: list[Part] = []
    groups: list[int] = []
    for number in range(count):
        few, own = fresh(6, 4)
        aside = np.eye(4)
        aside[0, 3] = 400.0 * number
        groups += [group + len(groups) for group in own]
        parts += [Part(p.profile, p.stock, aside @ p.pose, p.name) for p in few]
    return parts, [sorted(set(groups)).index(group) for group in groups]


def _lift(distance_mm: float) -> np.ndarray:
    pose = np.eye(4)
    pose[1, 3] = distance_mm
    return pose


def _without_order(parts: list[Part], fixture: Fixture) -> None:
    check_assembly(parts, [fixture], with_order=False)


def _by_manifold(parts: list[Part], vertices: np.ndarray, triangles: np.ndarray) -> None:
    mesh = manifold3d.Mesh(vertices.astype(np.float32), triangles.astype(np.uint32))
    fixture = manifold3d.Manifold(mesh)
    solids = [_solid(part) for part in parts]
    for i, solid in enumerate(solids):
        (solid ^ fixture).volume()
        solid.min_gap(fixture, NEAR_MM)
        for other in solids[i + 1 :]:
            (solid ^ other).volume()


def _solid(part: Part) -> manifold3d.Manifold:
    polygon = part.profile.polygon(0.01)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    thickness = part.stock.thickness_mm
    solid = flat.extrude(thickness).translate((0.0, 0.0, -thickness / 2.0))
    return solid.transform(part.pose[:3])
