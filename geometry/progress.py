"""How long work tells its caller where it is."""

from collections.abc import Callable

__all__ = ["Progress", "stage", "tell"]

Progress = Callable[[float, str], None]
"""Called with a fraction in 0..1 and a short message; may raise `Cancelled`."""


def tell(progress: Progress | None, fraction: float, message: str) -> None:
    """Report progress if anybody listens."""
    if progress is not None:
        progress(min(max(fraction, 0.0), 1.0), message)


def stage(progress: Progress | None, start: float, end: float) -> Progress | None:
    """Return a callback whose 0..1 covers ``start``..``end`` of the whole job."""
    if progress is None:
        return None
    return lambda fraction, message: progress(start + (end - start) * fraction, message)
