"""How long work tells its caller where it is."""

from collections.abc import Callable

__all__ = ["Progress", "stage", "tell"]

Progress = Callable[[float, str], None]
"""Called with a fraction in 0..1 and a short message; may raise `Cancelled`."""


def tell(progress: Progress | None, fraction: float, message: str) -> None:
    """Report progress to whoever listens, who may raise `Cancelled`.

    Parameters
    ----------
    progress
        The callback, or None.
    fraction
        Done so far, 0 to 1.
    message
        What is going on, for people.
    """
    if progress is not None:
        progress(min(max(fraction, 0.0), 1.0), message)


def stage(progress: Progress | None, start: float, end: float) -> Progress | None:
    """Callback whose 0 to 1 covers a part of the whole job; None where nobody listens.

    Parameters
    ----------
    progress
        Of the whole job, or None.
    start, end
        Fractions of the whole, 0 to 1.

    Examples
    --------
    >>> told = []
    >>> half = stage(lambda fraction, message: told.append(fraction), 0.5, 1.0)
    >>> half(0.5, "Halfway through the second half")
    >>> told
    [0.75]
    """
    if progress is None:
        return None
    return lambda fraction, message: progress(start + (end - start) * fraction, message)
