"""Write a file whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from ...errors import FileError

__all__ = ["check_target", "why_not_written", "write_whole"]

Answer = TypeVar("Answer")


def check_target(path: str | os.PathLike[str], overwrite: bool, ending: str = "") -> Path:
    """Return the path if a file may be written there.

    Raises
    ------
    FileError
        If the folder is missing, the path is a folder, a file is there and may not be replaced, or
        the name does not end in ``ending``.
    """
    target = Path(path)
    if not target.name:
        raise FileError("The file needs a name. Type one and save again.")
    if target.is_dir():
        raise FileError(
            "“{target}” is a folder. Type a file name after it.",
            target=target,
        )
    if ending and target.suffix.lower() != ending:
        raise FileError(
            "The name “{name}” has to end in {ending}. Add it and save again.",
            name=target.name,
            ending=ending,
        )
    if not target.parent.is_dir():
        raise FileError(
            "The folder “{parent}” does not exist. Make it or choose another one.",
            parent=target.parent,
        )
    if target.exists() and not overwrite:
        raise FileError(
            "“{target}” exists already. Choose another name or allow replacing it.",
            target=target,
        )
    return target


def write_whole(
    path: str | os.PathLike[str],
    data: bytes,
    check: Callable[[Path], Answer],
    *,
    overwrite: bool = False,
) -> Answer:
    """Write ``data`` beside ``path``, let ``check`` read it back, then put it in place at once.

    Whatever goes wrong, an older file stays as it was and no temporary file is left.

    Raises
    ------
    FileError
        If the file cannot be written; and whatever ``check`` raises.
    """
    target = check_target(path, overwrite)
    temporary: Path | None = None
    try:
        # The same ending, for the check looks at it; the same folder, for only then is the
        # final move one step.
        handle, name = tempfile.mkstemp(target.suffix, ".writing-", target.parent)
        temporary = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp makes files for their owner alone; a saved file has the usual rights.
        with contextlib.suppress(OSError):
            temporary.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o644)
        answer = check(temporary)
        temporary.replace(target)
        temporary = None
        return answer
    except OSError as error:
        raise FileError(why_not_written(target, error)) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()


def why_not_written(target: Path, error: OSError) -> str:
    """Return what went wrong and what to do, in words."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return (
            f"The disk is full: “{target.name}” was not saved. Free some space or choose another "
            "folder."
        )
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return (
            f"“{target}” cannot be written: no permission, or another program holds it open. "
            "Close it there or choose another folder."
        )
    if error.errno == errno.ENAMETOOLONG:
        return f"The file name “{target.name[:40]}…” is too long. Choose a shorter one."
    why = error.strerror or str(error)
    return f"“{target}” cannot be written ({why}). Choose another folder and save again."
