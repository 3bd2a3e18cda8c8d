"""The wheels the extension ships: the lock file, the matrix they must fill, and the cache."""

import hashlib
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

__all__ = [
    "CELLS",
    "LOCK",
    "Cell",
    "Wheel",
    "check_complete",
    "download",
    "fetch",
    "hash_of",
    "read_lock",
    "write_lock",
]

ROOT = Path(__file__).resolve().parents[1]
LOCK = ROOT / "scripts" / "wheels.lock.toml"
CACHE = ROOT / ".cache" / "wheels"
PURE = frozenset({"ezdxf", "fonttools", "pyparsing", "typing_extensions"})
"""Packages taken without compiled parts: one file for every cell, and small."""


@dataclass(frozen=True)
class Cell:
    """One Python on one of Blender's platforms, with the wheel tags that run there."""

    python: str
    platform: str
    tags: tuple[str, ...]

    @property
    def name(self) -> str:
        """Such as cp311 linux-x64."""
        return f"{self.python} {self.platform}"

    @property
    def python_version(self) -> str:
        """Such as 3.11."""
        return f"{self.python[2]}.{self.python[3:]}"

    def runs(self, file: str) -> bool:
        """Whether a wheel of that file name runs here."""
        python, _, platform = file.removesuffix(".whl").rsplit("-", 3)[1:]
        if platform == "any":
            return True
        return self.python in python.split(".") and any(
            _family(tag) == _family(own) for tag in platform.split(".") for own in self.tags
        )


def _family(tag: str) -> str:
    """Platform of a wheel tag without its system version."""
    for system in ("manylinux", "macosx", "win"):
        if tag.startswith(system):
            machine = next(
                m
                for m in (
                    "x86_64",
                    "arm64",
                    "amd64",
                    "aarch64",
                    "universal2",
                    "win32",
                    "i686",
                    "musllinux",
                    "",
                )
                if tag.endswith(m)
            )
            return f"{system} {machine}"
    return tag


LINUX = (
    "manylinux_2_17_x86_64",
    "manylinux2014_x86_64",
    "manylinux_2_27_x86_64",
    "manylinux_2_28_x86_64",
)
WINDOWS = ("win_amd64",)
ARM = tuple(f"macosx_{n}_0_arm64" for n in range(11, 15))
INTEL = (*tuple(f"macosx_10_{n}_x86_64" for n in range(9, 17)), "macosx_11_0_x86_64")

CELLS = (
    Cell("cp311", "linux-x64", LINUX),
    Cell("cp313", "linux-x64", LINUX),
    Cell("cp311", "windows-x64", WINDOWS),
    Cell("cp313", "windows-x64", WINDOWS),
    Cell("cp311", "macos-arm64", ARM),
    Cell("cp313", "macos-arm64", ARM),
    # Blender 5.1 and newer, which bring Python 3.13, are no longer made for Intel Macs.
    Cell("cp311", "macos-x64", INTEL),
)


@dataclass(frozen=True)
class Wheel:
    """One file of the lock."""

    package: str
    version: str
    file: str
    sha256: str


def hash_of(path: Path) -> str:
    """SHA-256 of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def read_lock(path: Path = LOCK) -> tuple[Wheel, ...]:
    """Return the wheels of the lock."""
    return tuple(Wheel(**entry) for entry in tomllib.loads(path.read_text())["wheel"])


def write_lock(path: Path, wheels: tuple[Wheel, ...]) -> None:
    """Write the lock, sorted, so that a change shows as what it is."""
    lines = [
        "# Written by scripts/update_wheels_lock.py; numpy is Blender's own and never here.",
        "",
    ]
    for wheel in sorted(wheels, key=lambda w: (w.package, w.file)):
        lines += ["[[wheel]]", *(f'{k} = "{getattr(wheel, k)}"' for k in Wheel.__annotations__), ""]
    path.write_text("\n".join(lines))


def check_complete(wheels: tuple[Wheel, ...]) -> None:
    """Refuse a lock with a hole in it; Blender's own validator would not notice.

    Raises
    ------
    SystemExit
        Naming the package and the cell, or the wheel that must not be there.
    """
    for wheel in wheels:
        if wheel.package == "numpy":
            raise SystemExit("numpy must not be shipped: it is Blender's own. Take it out.")
        if "universal2" in wheel.file:
            raise SystemExit(
                f"{wheel.file}: Blender 4.2 refuses universal2 wheels. Pin two others."
            )
    for package in sorted({wheel.package for wheel in wheels}):
        files = [wheel.file for wheel in wheels if wheel.package == package]
        for cell in CELLS:
            if not any(cell.runs(file) for file in files):
                raise SystemExit(
                    f"{package} has no wheel for {cell.name}. Pin a version that has one."
                )


def fetch(wheels: tuple[Wheel, ...], cells: tuple[Cell, ...]) -> list[Path]:
    """Return the cached files of what runs in the given cells, downloading what is missing.

    Raises
    ------
    SystemExit
        If a download differs from its hash.
    """
    CACHE.mkdir(parents=True, exist_ok=True)
    paths = []
    for wheel in wheels:
        cell = next((c for c in cells if c.runs(wheel.file)), None)
        if cell is None:
            continue
        path = CACHE / wheel.file
        if not path.exists():
            download(wheel.package, wheel.version, cell, CACHE)
        if hash_of(path) != wheel.sha256:
            path.unlink()
            raise SystemExit(f"{wheel.file} is not what the lock says. It was deleted; try again.")
        paths.append(path)
    return paths


def download(package: str, version: str, cell: Cell, folder: Path) -> None:
    """Bring one wheel by name and version: the pure one where the package has one."""
    command = [sys.executable, "-m", "pip", "download", f"{package}=={version}", "--no-deps"]
    command += ["--only-binary=:all:", "--quiet", "--disable-pip-version-check"]
    command += ["--python-version", cell.python_version, "--dest", str(folder)]
    if package in PURE:
        command += ["--implementation", "py", "--abi", "none", "--platform", "any"]
    else:
        command += ["--implementation", "cp"]
        command += [word for tag in cell.tags for word in ("--platform", tag)]
    subprocess.run(command, check=True, stderr=subprocess.DEVNULL)
