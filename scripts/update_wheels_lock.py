"""Look up every wheel the extension ships and write its name and hash to the lock file.

Run by hand when a version changes: ``python scripts/update_wheels_lock.py``. Building only ever
takes what the lock names.
"""

import tempfile
from pathlib import Path

from wheels import CELLS, LOCK, Cell, Wheel, check_complete, download, hash_of, write_lock

PACKAGES = {
    "shapely": "2.1.2",
    "ezdxf": "1.4.3",
    "pyparsing": "3.2.5",
    "typing_extensions": "4.15.0",
    "fonttools": "4.60.1",
    "pillow": "12.0.0",
    "pillow-heif": "1.1.1",
    "spyrrow": "0.9.0",
    "PyMaxflow": "1.3.2",
}
"""What is shipped: shapely, ezdxf with its three needs, Pillow and its reader of HEIC,
spyrrow, PyMaxflow."""


def look_up(package: str, version: str, cell: Cell) -> Wheel:
    """Download one wheel and return what the lock says of it."""
    with tempfile.TemporaryDirectory() as folder:
        download(package, version, cell, Path(folder))
        (path,) = Path(folder).glob("*.whl")
        return Wheel(package, version, path.name, hash_of(path))


def main() -> None:
    """Write the lock."""
    wheels: dict[str, Wheel] = {}
    for package, version in PACKAGES.items():
        for cell in CELLS:
            wheel = look_up(package, version, cell)
            wheels[wheel.file] = wheel
            print(f"{cell.name:<22} {wheel.file}")
    check_complete(tuple(wheels.values()))
    write_lock(LOCK, tuple(wheels.values()))


if __name__ == "__main__":
    main()
