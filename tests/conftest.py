"""What every ring of tests shares."""

import os
from typing import Any

try:
    from hypothesis import settings
except ImportError:
    pass
else:
    # No test may fail because the machine is busy, nor a build by the luck of the draw; at the desk
    # every run tries something new.
    settings.register_profile("desk", deadline=None)
    settings.register_profile("build", derandomize=True, deadline=None)
    settings.load_profile("build" if os.environ.get("CI") else "desk")


def pytest_addoption(parser: Any) -> None:
    """Know ``--long``."""
    parser.addoption("--long", action="store_true", help="run also what is long")


def pytest_collection_modifyitems(config: Any, items: list[Any]) -> None:
    """Leave out what is marked as long, unless it is asked for."""
    if config.getoption("--long"):
        return
    left_out = [item for item in items if item.get_closest_marker("long")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not item.get_closest_marker("long")]
