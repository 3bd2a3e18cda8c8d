"""Files of others, opened: ordinary files of a bounded size, and a sentence for anything else."""

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

from .errors import FlatwrightError

__all__ = ["open_input"]

MB = 1_000_000
WITHOUT_WAITING, AS_BYTES = getattr(os, "O_NONBLOCK", 0), getattr(os, "O_BINARY", 0)
"""Each system knows one of the two."""


def open_input(path: Path, error: type[FlatwrightError], most_mb: int, advice: str) -> BinaryIO:
    """Return an ordinary file open for reading; a pipe or a device is never waited for.

    Parameters
    ----------
    path : Path
        The file.
    error : type
        What is raised.
    most_mb : int
        How many million bytes it may hold.
    advice : str
        What to do about a larger one, as the end of a sentence.

    Raises
    ------
    FlatwrightError
        Of the type given, if there is no such file, it is none, too large, or may not be read.
    """
    name = path.name or str(path)
    try:
        # Opened without waiting: a pipe that nobody writes to would stop everything.
        handle = os.open(path, os.O_RDONLY | WITHOUT_WAITING | AS_BYTES)
    except (OSError, ValueError) as why:
        raise _not_opened(path, why, error) from why
    try:
        about = os.fstat(handle)
        if stat.S_ISDIR(about.st_mode):
            raise error(
                "“{name}” is a folder. Choose a file in it.",
                name=name,
            )
        if not stat.S_ISREG(about.st_mode):
            raise error(
                "“{name}” is a pipe or a device, not a file. Choose a file.",
                name=name,
            )
        if about.st_size > most_mb * MB:
            raise error(
                "“{name}” holds {st_size} MB, more than the {most_mb} MB that are read "
                "here. {advice}",
                name=name,
                st_size=about.st_size // MB,
                most_mb=most_mb,
                advice=advice,
            )
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def _not_opened(
    path: Path, why: OSError | ValueError, error: type[FlatwrightError]
) -> FlatwrightError:
    name = path.name or str(path)
    number = why.errno if isinstance(why, OSError) else None
    if number in (errno.ENOENT, errno.ENOTDIR):
        return error(
            "There is no file “{name}”. Check the folder and the name.",
            name=name,
        )
    if os.path.isdir(path):
        return error(
            "“{name}” is a folder. Choose a file in it.",
            name=name,
        )
    if number in (errno.EACCES, errno.EPERM):
        return error(
            "“{name}” cannot be read: no permission. Allow reading it or choose another file.",
            name=name,
        )
    if number == errno.ENAMETOOLONG:
        return error(
            "The file name “{name}…” is too long. Give the file a shorter one.",
            name=name[:40],
        )
    reason = why.strerror if isinstance(why, OSError) and why.strerror else str(why)
    return error(
        "“{name}” cannot be read ({reason}). Choose another file.",
        name=name,
        reason=reason,
    )
