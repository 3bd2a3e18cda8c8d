"""How long the whole job holds Blender's window at a stretch, act by act, as a table.

Run it as ``python scripts/bench_window.py`` with a windowed Blender on PATH or named in BLENDER.
It needs Xvfb or a display. On a busy machine look at what was worked, not at how long it took.
"""

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from environment import ensure_environment  # noqa: E402

if __name__ == "__main__":
    ensure_environment("demo")
sys.path.insert(0, str(HERE.parent / "tests" / "window"))

import harness  # noqa: E402
from build_extension import build_for_this_platform  # noqa: E402


def main() -> None:
    """Play the job in a window and print what was seen of each act."""
    blender = harness.find_blender()
    if blender is None:
        raise SystemExit("No windowed Blender was found: put one on PATH or name it in BLENDER.")
    with tempfile.TemporaryDirectory() as name, harness.display() as screen:
        folder = Path(name)
        harness.install(blender, build_for_this_platform(), folder / "resources")
        scenario = Path(harness.__file__).with_name("scenario_stretches.py")
        try:
            told = harness.play(blender, screen, folder / "resources", scenario, folder / "out")
        except RuntimeError as error:
            raise SystemExit(str(error)) from None
    print(f"{'act':24}{'longest ms':>12}{'worked ms':>12}{'all ms':>10}   in")
    for act, seen in told.checks["stretches"].items():
        times = (seen["longest_ms"], seen["of_it_working_ms"], seen["total_ms"])
        print(f"{act:24}{times[0]:>12}{times[1]:>12}{times[2]:>10}   {seen['in']}")
    print(f"\nFrom the click to the part's rough edge: {told.checks['first_ring_ms']} ms")
    print("\nDrawing, ms at most and usually:")
    for name, (most, usual) in told.checks["draw_costs_ms"].items():
        print(f"{name:40}{most:>8}{usual:>8}")


if __name__ == "__main__":
    main()
