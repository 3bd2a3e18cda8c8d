"""A windowed Blender with the built extension in it, for every window test."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
for folder in (HERE, ROOT / "scripts"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))

import harness  # noqa: E402

PICTURES = ROOT / "tests" / "out" / "window"


@pytest.fixture(scope="session")
def blender() -> str:
    found = harness.find_blender()
    if found is None:
        pytest.fail("No windowed Blender: put one on PATH or name it in BLENDER.")
    return found


@pytest.fixture(scope="session")
def resources(blender: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Blender's folder for this run, with the freshly built zip installed in it."""
    from build_extension import build, this_platform

    folder = tmp_path_factory.mktemp("window")
    harness.install(blender, build(this_platform(), folder=folder), folder / "resources")
    return folder / "resources"


@pytest.fixture(scope="session")
def screen() -> Iterator[str]:
    with harness.display() as name:
        yield name


@pytest.fixture(scope="session")
def play(blender: str, resources: Path, screen: str) -> Callable[..., harness.Outcome]:
    """Play ``scenario_<name>.py`` in a Blender of its own; its pictures stay in tests/out."""

    def run(name: str, size: tuple[int, int] = harness.SIZE) -> harness.Outcome:
        scenario = HERE / f"scenario_{name}.py"
        return harness.play(blender, screen, resources, scenario, PICTURES / name, size=size)

    return run
