"""Lay out a clean folder that Blender can pack: the add-on, the core, the manifest, the wheels."""

import shutil
import tomllib
from pathlib import Path

from manual import write_manual
from wheels import Cell, fetch, read_lock

__all__ = ["manifest", "stage"]

ROOT = Path(__file__).resolve().parents[1]

ENTRY = '''"""Flatwright: from a photo of a mock-up to parts that fit. Written at staging."""


def register():
    """Register with Blender."""
    from . import addon

    addon.register()


def unregister():
    """Take everything back."""
    from . import addon

    addon.unregister()
'''


def manifest() -> dict:
    """Return the manifest as written in the repository."""
    return tomllib.loads((ROOT / "blender_manifest.toml").read_text())


def stage(folder: Path, cells: tuple[Cell, ...], *, oldest_blender: str | None = None) -> None:
    """Fill ``folder`` with what one zip holds.

    Parameters
    ----------
    cells
        The Pythons and the platform whose wheels go in.
    oldest_blender
        Another minimum than the manifest's, for testing on what is published of 4.2.
    """
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    skip = shutil.ignore_patterns("__pycache__", "*.pyc")
    for package in ("addon", "geometry"):
        shutil.copytree(ROOT / package, folder / package, ignore=skip)
    # The manual goes in as pages, not as what they are made from.
    shutil.rmtree(folder / "addon" / "guide" / "manual")
    write_manual(folder / "manual")
    for name in ("LICENSE", "README.md"):
        shutil.copy(ROOT / name, folder / name)
    (folder / "example").mkdir()
    shutil.copy(ROOT / "scripts" / "demo" / "photo.jpg", folder / "example" / "photo.jpg")
    (folder / "__init__.py").write_text(ENTRY)
    names = []
    (folder / "wheels").mkdir()
    for path in fetch(read_lock(), cells):
        shutil.copy(path, folder / "wheels" / path.name)
        names.append(path.name)
    (folder / "blender_manifest.toml").write_text(
        _manifest_text(sorted(names), cells[0].platform, oldest_blender)
    )


def _manifest_text(wheels: list[str], platform: str, oldest_blender: str | None) -> str:
    text = (ROOT / "blender_manifest.toml").read_text()
    data = manifest()
    lines = []
    for line in text.splitlines():
        if line.startswith("platforms"):
            line = f'platforms = ["{platform}"]'
            # A plain key must stand before the first table.
            listed = ",\n".join(f'  "./wheels/{name}"' for name in wheels)
            line += f"\nwheels = [\n{listed},\n]"
        if line.startswith("blender_version_min") and oldest_blender:
            line = line.replace(data["blender_version_min"], oldest_blender)
        lines.append(line)
    return "\n".join(lines) + "\n"
