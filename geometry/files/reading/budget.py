"""How much of a file is read, and for how long: limits that are told, progress, and Esc."""

import struct
import time

from ...errors import FileError
from ...progress import Progress, tell

__all__ = ["DAMAGE", "Budget", "LimitError"]

DAMAGE = (
    ArithmeticError, AssertionError, AttributeError, EOFError, LookupError, MemoryError,
    RuntimeError, StopIteration, TypeError, ValueError, struct.error,
)  # fmt: skip
"""What the libraries let through where a file stops short, or a number is none."""

MOST_PIECES = 200_000
"""Edges and entities; a drawing for one sheet has a few thousand."""
MOST_SECONDS = 60.0
"""Of the processor, so that a busy machine refuses nothing; nobody waits longer for a drawing."""
EVERY = 64
"""Edges read between two looks at the clock. Chosen: a look takes as long as an edge."""


class LimitError(FileError):
    """A file as a whole is too much, and not one of its entities is damaged."""


class Budget:
    """Counts what is read of a file, and ends it in words where that is too much."""

    def __init__(self, file: str, progress: Progress | None = None) -> None:
        self.file = file
        self.pieces = 0
        self._progress = progress
        self._end = time.thread_time() + MOST_SECONDS
        self._fraction, self._message = 0.0, "Reading the file"

    def stage(self, fraction: float, message: str) -> None:
        """Say what comes next, and how much is done; its pieces are counted anew."""
        self.pieces = 0
        self._fraction, self._message = fraction, message
        self.look()

    def spend(self, pieces: int = 1) -> None:
        """Count edges that are read, and time that went by.

        Raises
        ------
        LimitError
            If they are too many, or reading takes too long.
        Cancelled
            If the person presses Esc.
        """
        before, self.pieces = self.pieces, self.pieces + pieces
        if self.pieces > MOST_PIECES:
            raise LimitError(
                "“{file}” holds more than {most_pieces:,} edges, more than are read "
                "here. Save the part alone, or turn scanned or traced lines into fewer "
                "curves.",
                file=self.file,
                most_pieces=MOST_PIECES,
            )
        if before // EVERY != self.pieces // EVERY:
            self.look()

    def look(self) -> None:
        """Tell how far it is, and end it where it takes too long."""
        tell(self._progress, self._fraction, self._message)
        if time.thread_time() > self._end:
            raise LimitError(
                "Reading “{file}” takes longer than {most_seconds:.0f} seconds. Save "
                "the part alone, or with fewer edges, and read that.",
                file=self.file,
                most_seconds=MOST_SECONDS,
            )
