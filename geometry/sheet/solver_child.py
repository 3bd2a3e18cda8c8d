"""The packing solver's own process, so that it can be stopped at any moment.

Run as a script with the folder of the solver's package. One line of JSON on standard input is the
problem; every better strip is one line of JSON on standard output. The input is kept open by
whoever asks: when it closes, even because that program is gone, this one ends too.
"""

import json
import os
import sys
import threading
from typing import Any

LOOK_S = 0.05


def solve(problem: dict[str, Any]) -> None:
    """Write every better strip as it is found."""
    import spyrrow

    items = [
        spyrrow.Item(str(i), [(x, y) for x, y in corners], count, list(turns))
        for i, (corners, turns, count) in enumerate(problem["items"])
    ]
    instance = spyrrow.StripPackingInstance("sheet", problem["height"], items)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=problem["gap"] or None,
        num_workers=problem["workers"],
        total_computation_time=None,
        exploration_time=problem["exploring_s"],
        compression_time=problem["compressing_s"],
        seed=problem["seed"],
    )
    queue, done = spyrrow.ProgressQueue(), []
    worker = threading.Thread(target=lambda: done.append(instance.solve(config, queue)))
    worker.start()
    best = float("inf")
    feasible = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)
    while worker.is_alive():
        worker.join(LOOK_S)
        for kind, found in queue.drain():
            if kind in feasible and found.width < best:
                best = found.width
                tell(found)
    if done and done[0].width < best:
        tell(done[0])


def tell(found: Any) -> None:
    """Write one strip: its length, and for each item its number, turn (degrees) and shift."""
    placed = [(int(item.id), item.rotation, *item.translation) for item in found.placed_items]
    sys.stdout.write(json.dumps({"length": found.width, "placed": placed}) + "\n")
    sys.stdout.flush()


def end_with_input() -> None:
    """End this process when its input closes."""
    sys.stdin.read()
    os._exit(0)


if __name__ == "__main__":
    sys.path.append(sys.argv[1])
    asked = json.loads(sys.stdin.readline())
    threading.Thread(target=end_with_input, daemon=True).start()
    solve(asked)
    # Not waiting for the thread that reads.
    os._exit(0)
