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

__all__ = ["check_target", "put_new", "refuse_unusable_name", "why_not_written", "write_whole"]

Answer = TypeVar("Answer")


def check_target(path: str | os.PathLike[str], overwrite: bool, ending: str = "") -> Path:
    """Return the path if a file may be written there.

    Parameters
    ----------
    path
        Of the file to be.
    overwrite
        Whether an older file may be replaced.
    ending
        What the name must end in, such as ".dxf".

    Raises
    ------
    FileError
        If the folder is missing, the path is a folder, a file is there and may not be replaced, or
        the name does not end in ``ending``.
    """
    target = Path(path)
    if not target.name:
        raise FileError("The file needs a name. Type one and save again.")
    refuse_unusable_name(target)
    if os.path.isdir(target):
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
    if not os.path.isdir(target.parent):
        raise FileError(
            "The folder “{parent}” does not exist. Make it or choose another one.",
            parent=target.parent,
        )
    if os.path.islink(target) and not os.path.exists(target):
        raise FileError(
            "“{target}” is a link that leads nowhere. Remove it or choose another name.",
            target=target,
        )
    if os.path.exists(target) and not overwrite:
        raise _taken(target)
    return target


def refuse_unusable_name(path: Path) -> None:
    """Refuse what no file system takes for a name.

    Raises
    ------
    FileError
        If the name holds a zero character or half of one.
    """
    try:
        usable = b"\0" not in os.fsencode(path)
    except UnicodeEncodeError:
        usable = False
    if not usable:
        raise FileError(
            "The name “{name}” holds a character that no file name can. Type another name.",
            name=path.name,
        )


def _taken(target: Path) -> FileError:
    return FileError(
        "“{target}” exists already. Choose another name or allow replacing it.",
        target=target,
    )


def put_new(source: Path, target: Path) -> None:
    """Move a file to a place where none may be; of two who do so at once only one succeeds.

    Raises
    ------
    FileExistsError
        If something of that name is there already.
    """
    try:
        os.link(source, target)
    except FileExistsError:
        raise
    except OSError:
        # A disk without hard links: the place is taken first, which only one can.
        os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL))
        try:
            source.replace(target)
        except OSError:
            target.unlink()
            raise
    else:
        source.unlink()


def write_whole(
    path: str | os.PathLike[str],
    data: bytes,
    check: Callable[[Path], Answer],
    *,
    overwrite: bool = False,
) -> Answer:
    """Write ``data`` beside ``path``, let ``check`` read it back, then put it in place at once.

    Whatever goes wrong, an older file stays as it was and no temporary file is left.

    Parameters
    ----------
    path
        Of the file to be.
    data
        All of it.
    check
        Reads the file that is not yet in place; what it returns is returned.
    overwrite
        Whether an older file may be replaced.

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
            temporary.chmod(target.stat().st_mode & 0o777 if os.path.exists(target) else 0o644)
        answer = check(temporary)
        if overwrite:
            temporary.replace(target)
        else:
            put_new(temporary, target)
        temporary = None
        return answer
    except FileExistsError as error:
        raise _taken(target) from error
    except OSError as error:
        raise why_not_written(target, error) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()


def why_not_written(target: Path, error: OSError) -> FileError:
    """Return what the system's refusal means for a file or folder, and what to do, to be raised."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return FileError(
            "The disk is full: “{name}” was not saved. Free some space or choose another folder.",
            name=target.name,
        )
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return FileError(
            "“{target}” cannot be written: no permission, or another program holds it open. "
            "Close it there or choose another folder.",
            target=target,
        )
    if error.errno == errno.ENAMETOOLONG:
        return FileError(
            "The file name “{name}…” is too long. Choose a shorter one.", name=target.name[:40]
        )
    return FileError(
        "“{target}” cannot be written ({why}). Choose another folder and save again.",
        target=target,
        why=error.strerror or error,
    )
