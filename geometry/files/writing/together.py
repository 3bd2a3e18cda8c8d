"""Write several files together: all of them, or none."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from ...errors import FileError
from ...progress import Progress, tell
from .atomic import check_target, put_new, refuse_unusable_name, why_not_written

__all__ = ["write_together"]

PREFIX = ".writing-"
MARK = "made-while-saving.txt"
MARK_TEXT = "Flatwright made this folder while it saved cut files. It is left over and may go.\n"
"""By this file alone a folder is known as ours: names are free to everybody."""
LEFT_OVER_S = 24.0 * 3600.0
"""No export takes as long as that."""

Writer = Callable[[Path], object]
"""Writes one whole file at the path it is given, or raises."""


def write_together(
    folder: str | os.PathLike[str],
    files: Sequence[tuple[str, Writer]],
    *,
    overwrite: bool = False,
    progress: Progress | None = None,
) -> tuple[Path, ...]:
    """Write every file into the folder and return their paths; if one fails, none is changed.

    All are made in a hidden folder beside their places first, so that a drawing that cannot be
    written, a full disk or a wish to stop leaves the folder as it was.

    Parameters
    ----------
    folder
        Where to write; it must exist.
    files
        Name and writer of each.
    overwrite
        Whether files of these names may be replaced.
    progress
        Told before each file; may raise `Cancelled`.

    Raises
    ------
    FileError
        If the folder is missing, a name is taken or asked for twice, or a file cannot be written;
        and whatever the writers raise.
    """
    place = Path(folder)
    refuse_unusable_name(place)
    if os.path.exists(place) and not os.path.isdir(place):
        raise FileError(
            "“{place}” is a file, not a folder. Choose a folder.",
            place=place,
        )
    _refuse_names(place, [name for name, _ in files], overwrite)
    staging: Path | None = None
    try:
        _sweep(place)
        staging = Path(tempfile.mkdtemp("", PREFIX, place))
        (staging / MARK).write_text(MARK_TEXT, encoding="utf-8")
        for number, (name, write) in enumerate(files):
            tell(progress, number / len(files), f"Writing {name}")
            write(staging / name)
        # From here on nothing asks and nothing waits.
        tell(progress, 1.0, "Putting the files in place")
        return _put_in_place(staging, place, [name for name, _ in files], overwrite)
    except FileExistsError as error:
        raise FileError(
            "Another export wrote to “{place}” at the same time, and its files "
            "stay. Choose another folder or allow replacing.",
            place=place,
        ) from error
    except OSError as error:
        raise why_not_written(place, error) from error
    finally:
        if staging is not None:
            shutil.rmtree(staging, ignore_errors=True)


def _sweep(place: Path) -> None:
    """Remove hidden folders that a killed export of ours left here long ago."""
    for left in place.glob(f"{PREFIX}*"):
        with contextlib.suppress(OSError, ValueError):
            if time.time() - left.lstat().st_mtime < LEFT_OVER_S or left.is_symlink():
                continue
            if (left / MARK).read_text(encoding="utf-8") == MARK_TEXT:
                shutil.rmtree(left, ignore_errors=True)


def _refuse_names(place: Path, names: Sequence[str], overwrite: bool) -> None:
    seen: set[str] = set()
    taken = []
    for name in names:
        # Windows and macOS do not tell capitals from small letters.
        if name.casefold() in seen:
            raise FileError(
                "Two files would be called “{name}”. Give the stocks names that differ.",
                name=name,
            )
        seen.add(name.casefold())
        check_target(place / name, overwrite=True)
        if os.path.exists(place / name) and not overwrite:
            taken.append(name)
    if taken:
        if len(taken) == 1:
            raise FileError(
                "“{name}” exists already in “{place}”. Choose another folder or allow replacing.",
                name=taken[0],
                place=place,
            )
        raise FileError(
            "“{name}” and {more} more exist already in “{place}”. Choose another folder or allow "
            "replacing.",
            name=taken[0],
            more=len(taken) - 1,
            place=place,
        )


def _put_in_place(
    staging: Path, place: Path, names: Sequence[str], overwrite: bool
) -> tuple[Path, ...]:
    """Move every file to its place; each place holds its old or its new file at every moment.

    Raises
    ------
    FileExistsError
        If nothing may be replaced, and a file came to one of the places meanwhile.
    """
    kept = staging / "replaced"
    kept.mkdir()
    done: list[tuple[Path, Path | None]] = []
    try:
        for name in names:
            target, old = place / name, None
            if not overwrite:
                put_new(staging / name, target)
            else:
                if os.path.exists(target):
                    old = kept / name
                    shutil.copy2(target, old)
                (staging / name).replace(target)
            done.append((target, old))
    except OSError:
        for target, old in reversed(done):
            with contextlib.suppress(OSError):
                old.replace(target) if old is not None else target.unlink()
        raise
    return tuple(target for target, _ in done)
