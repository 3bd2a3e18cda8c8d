"""The examples of the docstrings are run as they stand; every stage's door has one."""

import doctest
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DOORS = ("photo", "bench", "outline", "part", "assembly", "sheet", "files")


def modules_with_examples():
    for path in sorted((ROOT / "geometry").rglob("*.py")):
        if ">>> " in path.read_text(encoding="utf-8"):
            parts = path.relative_to(ROOT).with_suffix("").parts
            yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@pytest.mark.parametrize("name", list(modules_with_examples()))
def test_an_example_gives_what_it_says(name):
    module = import_module(name)
    tried = doctest.testmod(module)
    assert tried.attempted > 0
    assert tried.failed == 0


@pytest.mark.parametrize("room", DOORS)
def test_every_door_shows_how_it_is_used(room):
    assert ">>> from geometry" in (import_module(f"geometry.{room}").__doc__ or "")
