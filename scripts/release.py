"""Everything a release needs, in one folder: the zips, their checksums, the pictures, the text.

``python scripts/release.py`` writes ``dist/release-<version>/``, for a person to publish.
"""

from __future__ import annotations  # Older Pythons read this far, to start the right one.

import hashlib
import re
import shutil
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from environment import ensure_environment

if __name__ == "__main__":
    ensure_environment("demo")

from build_extension import DIST, PLATFORMS, build, validate
from manual import SOURCE
from stage import manifest

__all__ = ["checksums", "release_text"]

ROOT = Path(__file__).resolve().parents[1]
README_PARTS = ("Is it for you?", "Install", "Cautions", "Licence")
"""What of the README somebody who only has the zip must have read."""


def release_text(readme: str, version: str) -> str:
    """Return the text of a release: the job, what is new in ``version``, and what must be read.

    Raises
    ------
    SystemExit
        If the README tells no changes of that version.
    """
    title, *sections = re.split(r"^## ", readme, flags=re.M)
    bodies = {s.partition("\n")[0].strip(): s.partition("\n")[2].strip() for s in sections}
    job = next(block for block in title.split("\n\n")[1:] if not block.startswith(("|", "!")))
    news = re.split(r"^### ", bodies.get("Changes", ""), flags=re.M)[1:]
    new = [n.partition("\n")[2].strip() for n in news if n.partition("\n")[0].strip() == version]
    if not new:
        raise SystemExit(f"README.md tells no changes of {version}. Write them there first.")
    parts = [f"# Flatwright {version}", job.strip(), "## What is new", new[0]]
    for name in README_PARTS:
        parts += [f"## {name}", bodies[name]]
    return "\n\n".join(parts) + "\n"


def checksums(paths: list[Path]) -> str:
    """Return a line “SHA-256  name” for every file, as ``sha256sum --check`` reads them."""
    return "".join(f"{hashlib.sha256(p.read_bytes()).hexdigest()}  {p.name}\n" for p in paths)


def main() -> None:
    """Build, validate and gather."""
    version = manifest()["version"]
    text = release_text((ROOT / "README.md").read_text(encoding="utf-8"), version)
    folder = DIST / f"release-{version}"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    zips = [build(platform, folder=folder) for platform in PLATFORMS]
    for path in zips:
        judge = validate(path)
        size = f"{path.stat().st_size / 1e6:.1f} MB"
        print(f"{path.name}  {size}, valid for {judge or 'nobody asked'}")
    (folder / "SHA256SUMS").write_text(checksums(zips), encoding="utf-8")
    (folder / "release.md").write_text(text, encoding="utf-8")
    shutil.copytree(SOURCE / "pictures", folder / "pictures")
    print(f"Look through {folder}, then publish it.")


if __name__ == "__main__":
    main()
