"""How quick the core is beside general libraries doing the like, in the same run.

Run it as ``python scripts/bench.py``. Each row is a ratio: the time of Flatwright over the time of
the reference on the same input. The times themselves say little, as they are this machine's.
"""

import argparse
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "scripts"), str(ROOT)]

from environment import ensure_environment  # noqa: E402

if __name__ == "__main__":
    ensure_environment("test")

import manifold3d  # noqa: E402
import numpy as np  # noqa: E402
import trimesh  # noqa: E402
from bench_assembly import assembly, growth, lattices, ordering  # noqa: E402
from bench_coverage import cover_photos  # noqa: E402
from bench_files import files  # noqa: E402
from bench_outline import outlines  # noqa: E402
from bench_photo import grid, memory  # noqa: E402
from bench_photos import photos  # noqa: E402

from geometry.assembly import silhouette  # noqa: E402
from geometry.outline import Arc, Line, Loop, Profile  # noqa: E402
from geometry.part import Stock, compensate_kerf, compensate_kerf_all  # noqa: E402
from geometry.sheet.pieces import cut_piece  # noqa: E402

PARTS, SEGMENTS, KERF_MM = 1000, 200, 0.18
FIRST_MAT = 2000
FIRST_TRACE = 5000


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """Shortest of a few runs: the others waited for something else on this machine."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def row(name: str, ours: float, reference: str, theirs: float) -> None:
    """Print one comparison."""
    print(
        f"{name:<44} {ours:8.3f} s   {reference:<38} {theirs:8.3f} s   ratio {ours / theirs:6.2f}"
    )


def kerf() -> None:
    """Compensate wavy parts of straight lines; pyclipr offsets the same polygons, mitred.

    Flatwright also looks for holes and notches that the kerf would swallow. Its answer stays
    arrays until somebody asks for segments; the second row asks for all of them, the third gives
    it one part at a time. The last has every tenth edge an arc, which pyclipr gets as chords
    within the tolerance of the files; ours stay arcs.
    """
    rng = np.random.default_rng(3)
    turn = np.linspace(0.0, 2.0 * np.pi, SEGMENTS, endpoint=False)
    rings = []
    for _ in range(PARTS):
        wave = 1.0 + 0.08 * np.sin(turn * rng.integers(3, 12) + rng.uniform(0.0, 6.0))
        ring = 60.0 * wave[:, None] * np.column_stack((np.cos(turn), np.sin(turn)))
        rings.append(ring + rng.uniform(0.0, 400.0, 2))
    profiles = [Profile(Loop.through(ring)) for ring in rings]
    rounded = [_with_arcs(ring) for ring in rings]
    chords = [profile.outer.flatten(1e-3) for profile in rounded]
    name = f"kerf of {PARTS} parts of {SEGMENTS} segments"
    try:
        import pyclipr
    except ImportError:
        print(f"{name:<44} not compared: this Python has no pyclipr")
        return

    def by_clipper(given: list[np.ndarray]) -> None:
        for ring in given:
            clipper = pyclipr.ClipperOffset()
            clipper.scaleFactor = 1_000_000
            clipper.miterLimit = 4.0
            clipper.addPath(ring, pyclipr.JoinType.Miter, pyclipr.EndType.Polygon)
            clipper.execute(KERF_MM / 2.0)

    theirs = seconds(lambda: by_clipper(rings))
    reference = "pyclipr offset, mitred"
    row(name, seconds(lambda: compensate_kerf_all(profiles, KERF_MM)), reference, theirs)
    row("  and every segment made", seconds(lambda: _made(profiles)), reference, theirs)
    one = seconds(lambda: [compensate_kerf(profile, KERF_MM) for profile in profiles])
    row("  one part at a time", one, reference, theirs)
    row(
        "  every tenth edge an arc",
        seconds(lambda: compensate_kerf_all(rounded, KERF_MM)),
        "pyclipr on chords within 1 µm",
        seconds(lambda: by_clipper(chords)),
    )
    cut = seconds(
        lambda: cut_piece(rounded[0], Stock("ply", 3.0, KERF_MM), 1, "", correct_kerf=True)
    )
    print(
        f"{'one part made ready to cut':<44} {1e3 * cut:8.3f} ms   a frame at 60 Hz lasts 16.7 ms"
    )


def _made(profiles: list[Profile]) -> None:
    for path in compensate_kerf_all(profiles, KERF_MM):
        path.outer.segments  # noqa: B018 - they are made when asked for


def _with_arcs(ring: np.ndarray) -> Profile:
    """Return the ring with every tenth edge bent outwards."""
    corners = [(float(x), float(y)) for x, y in ring]
    sides = zip(corners, corners[1:] + corners[:1], strict=True)
    return Profile(
        Loop(
            Arc.from_bulge(a, b, 0.1) if i % 10 == 0 else Line(a, b)
            for i, (a, b) in enumerate(sides)
        )
    )


def shadow() -> None:
    """Draw a globe's silhouette in a sheet's thickness; manifold3d trims the slab and projects."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=60.0)
    vertices, triangles = np.array(ball.vertices), np.array(ball.faces)
    thickness = 2.9

    def by_manifold() -> None:
        mesh = manifold3d.Mesh(vertices.astype(np.float32), triangles.astype(np.uint32))
        solid = manifold3d.Manifold(mesh)
        solid = solid.trim_by_plane((0.0, 0.0, 1.0), -thickness / 2.0)
        solid.trim_by_plane((0.0, 0.0, -1.0), -thickness / 2.0).project().to_polygons()

    row(
        f"silhouette of a ball of {len(triangles)} triangles",
        seconds(lambda: silhouette(vertices, triangles, np.eye(4), thickness)),
        "manifold3d, trimmed and projected",
        seconds(by_manifold),
    )


def mats(count: int) -> None:
    """Print how far off the bench is on mats drawn at random, and whether any was silently wrong.

    Their seeds lie where none was looked at while the search was made.
    """
    from tests.core.mat_trials import summary, told, try_mat

    trials = []
    for seed in range(FIRST_MAT, FIRST_MAT + count):
        trials.append(try_mat(seed))
        print(told(trials[-1]), flush=True)
    print(summary(trials))


def traces(count: int) -> None:
    """Print how far off traced outlines are on pictures of every kind drawn at random.

    Their seeds lie where none was looked at while tracing was made.
    """
    from tests.core.drawn_trials import try_drawn
    from tests.core.trace_trials import KINDS, summary, told, try_part

    trials = []
    for kind in KINDS:
        fresh = [try_part(kind, seed) for seed in range(FIRST_TRACE, FIRST_TRACE + count)]
        print(told(kind, fresh), flush=True)
        trials += fresh
    print(summary(trials))
    drawn = [try_drawn(seed) for seed in range(FIRST_TRACE, FIRST_TRACE + 5 * count)]
    for kind in sorted({trial.kind for trial in drawn}):
        print(told(kind, [trial for trial in drawn if trial.kind == kind]), flush=True)
    print(summary(drawn))


def packing(budget_s: float) -> None:
    """Print how dense two published sets are packed in a time, beside the best known.

    Best known to about 2013: shirts 88.96 %, swim 75.94 % (Elkeran, EJOR 231; from memory); pieces
    lie at 0° or 180°.
    """
    from geometry.sheet import lay_out, tighten
    from tests.outside.test_packing import pieces

    for name, strip, best in (("shirts", 40.0, 0.8896), ("swim", 5752.0, 0.7594)):
        lot = pieces(f"{name}_{name}.txt")
        area = sum(p.quantity * p.profile.area_mm2 for p in lot)
        cloth = Stock(name, 1.0, 0.0, "knife", 0.0, (2.0 * strip, strip), grain="width")
        first = lay_out(lot, cloth, margin_mm=0.0, gap_mm=0.0)
        found = tighten(first, margin_mm=0.0, gap_mm=0.0, budget_s=budget_s)
        shares = [
            area / (max(p.polygon().bounds[2] for p in layout.sheets[-1].placements) * strip)
            for layout in (first, found)
        ]
        print(
            f"{name}: first {100 * shares[0]:.2f} %, after {budget_s:g} s {100 * shares[1]:.2f} %, "
            f"best known {100 * best:.2f} %: {100 * (best - shares[1]):.2f} % less",
            flush=True,
        )


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--mats", nargs="?", type=int, const=40, metavar="N", help="try N mats drawn at random"
    )
    parser.add_argument(
        "--traces", nargs="?", type=int, const=5, metavar="N", help="trace N drawn parts of a kind"
    )
    parser.add_argument(
        "--packing", nargs="?", type=float, const=60.0, metavar="S", help="pack two sets for S s"
    )
    parser.add_argument("--photos", type=Path, metavar="FOLDER", help="trace rendered photos")
    parser.add_argument("--coverage", type=Path, metavar="FOLDER", help="lengths within their ±")
    parser.add_argument("--pictures", type=Path, metavar="FOLDER", help="draw parts that fail")
    parser.add_argument("--results", type=Path, metavar="FILE", help="write figures of the photos")
    parser.add_argument("--true-bench", action="store_true", help="photos: the camera as it was")
    parser.add_argument("--more-clicks", type=int, default=0, help="photos: so many if needed")
    asked = parser.parse_args()
    if asked.photos:
        photos(
            asked.photos,
            pictures=asked.pictures,
            results=asked.results,
            true_bench=asked.true_bench,
            more_clicks=asked.more_clicks,
        )
        return
    if asked.coverage:
        cover_photos(asked.coverage)
        return
    count = asked.mats
    if asked.packing:
        packing(asked.packing)
        return
    if count:
        mats(count)
        return
    if asked.traces:
        traces(asked.traces)
        return
    grid(row, seconds)
    memory()
    outlines(row, seconds)
    kerf()
    shadow()
    assembly(row)
    files(row, seconds)
    growth()
    ordering()
    lattices()
    # Blender as a module ends the process it is in.
    subprocess.run([sys.executable, str(ROOT / "scripts" / "bench_state.py")], check=False)


if __name__ == "__main__":
    main()
