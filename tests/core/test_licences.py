"""Everything that is shipped brings its licence with it, and README names it."""

import re
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCK = tomllib.loads((ROOT / "scripts" / "wheels.lock.toml").read_text(encoding="utf-8"))
SHIPPED = sorted({wheel["package"] for wheel in LOCK["wheel"]})


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_library_brings_its_licence_and_is_named(name):
    files = distribution(name).files
    inside = [f for f in files if ".dist-info" in str(f) and re.match(r"(?i)licen|copying", f.name)]
    if not inside:
        # A library under the very licence of this project is covered by the project's own copy.
        said = distribution(name).metadata["License"]
        assert said == "GPL", f"no licence in the wheel of {name}"
        own = (ROOT / "LICENSE").read_text(encoding="utf-8")
        assert "GNU GENERAL PUBLIC LICENSE" in own[:200]
    licences = (ROOT / "README.md").read_text(encoding="utf-8").partition("\n## Licence\n")[2]
    assert re.search(rf"(?i)\b{re.sub('[-_]', '[-_]', name)}\b", licences)


def test_something_is_shipped():
    assert {"shapely", "ezdxf"} <= set(SHIPPED)
