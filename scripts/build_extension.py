"""Build the extension's zips: one for this platform, or with --all one for each.

Every zip holds only its own platform's wheels, for both Pythons that Blender has had since 4.2.
"""

from __future__ import annotations  # Older Pythons read this far, to start the right one.

import argparse
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from environment import ensure_environment

if __name__ == "__main__":
    ensure_environment("demo")

from stage import manifest, stage
from wheels import CELLS, check_complete, read_lock

__all__ = ["build", "build_for_this_platform", "validate"]

DIST = Path(__file__).resolve().parents[1] / "dist"
PLATFORMS = tuple(dict.fromkeys(cell.platform for cell in CELLS))
SAME_DATE = (2020, 1, 1, 0, 0, 0)
"""Every file's date in the zip, so that the same source gives the same zip."""


def this_platform() -> str:
    """Blender's name for the machine this runs on."""
    system = {"Linux": "linux", "Windows": "windows", "Darwin": "macos"}[platform.system()]
    machine = "arm64" if platform.machine().lower() in ("arm64", "aarch64") else "x64"
    return f"{system}-{machine}"


def build(
    platform_name: str,
    *,
    pythons: tuple[str, ...] = ("cp311", "cp313"),
    oldest_blender: str | None = None,
    folder: Path = DIST,
) -> Path:
    """Build, validate where a validator is at hand, and return the zip for one platform."""
    check_complete(read_lock())
    cells = tuple(c for c in CELLS if c.platform == platform_name and c.python in pythons)
    if not cells:
        raise SystemExit(
            f"There is no build for {platform_name}; there are {', '.join(PLATFORMS)}."
        )
    data = manifest()
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{data['id']}-{data['version']}-{platform_name}.zip"
    with tempfile.TemporaryDirectory() as work:
        staged = Path(work) / data["id"]
        stage(staged, cells, oldest_blender=oldest_blender)
        part = path.with_suffix(".part")
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
            for file in sorted(staged.rglob("*")):
                if file.is_file():
                    info = zipfile.ZipInfo(str(file.relative_to(staged).as_posix()), SAME_DATE)
                    info.compress_type = zipfile.ZIP_DEFLATED
                    info.external_attr = 0o644 << 16
                    archive.writestr(info, file.read_bytes())
        part.replace(path)
    return path


def build_for_this_platform() -> Path:
    """Build the zip for the machine this runs on."""
    return build(this_platform())


def validate(path: Path) -> str | None:
    """Let Blender's own validator read a zip; return which one did, or None if none is at hand.

    Raises
    ------
    SystemExit
        With the validator's words, if it refuses the zip.
    """
    command = _validator()
    if command is None:
        return None
    result = subprocess.run([*command, "validate", str(path)], capture_output=True, text=True)
    if result.returncode != 0:
        raise SystemExit(
            f"Blender's validator refuses {path.name}:\n{result.stdout}{result.stderr}"
        )
    return " ".join(Path(word).name for word in command[:2])


def _validator() -> list[str] | None:
    blender = os.environ.get("BLENDER") or shutil.which("blender")
    if blender:
        return [blender, "--factory-startup", "--command", "extension"]
    found = importlib.util.find_spec("bpy")
    if found is None or not found.submodule_search_locations:
        return None
    base = Path(found.submodule_search_locations[0])
    scripts = sorted(base.glob("**/bl_pkg/cli/blender_ext.py"))
    return [sys.executable, str(scripts[0])] if scripts else None


def main() -> None:
    """Build what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--all", action="store_true", help="one zip for every platform")
    options = parser.parse_args()
    for name in PLATFORMS if options.all else (this_platform(),):
        path = build(name)
        judge = validate(path)
        verdict = f"valid for {judge}" if judge else "no Blender at hand to validate it"
        print(f"{path}  {path.stat().st_size / 1e6:.1f} MB, {verdict}")


if __name__ == "__main__":
    main()
