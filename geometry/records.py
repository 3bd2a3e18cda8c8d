"""What was kept as text and is read again: whole, or with a sentence that it is damaged."""

import json
from collections.abc import Callable
from typing import Any, TypeVar

from .errors import FlatwrightError

__all__ = ["DAMAGE", "from_record"]

Value = TypeVar("Value")
LARGEST = 1e30
"""Nothing that is kept is larger, and powers of it are still numbers."""
DAMAGE = (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError)
"""What odd data make of reading them."""


def from_record(record: str, build: Callable[[Any], Value], damaged: FlatwrightError) -> Value:
    """What ``build`` makes of a record's JSON; ``damaged`` is raised where it is none.

    Parameters
    ----------
    record : str
        JSON text.
    build : callable
        Makes the value of the parsed text; may raise whatever odd data raise.
    damaged : FlatwrightError
        Raised where the text is no such record, or holds a number that is none.

    Raises
    ------
    FlatwrightError
        The one given.
    """
    try:
        return build(
            json.loads(record, parse_constant=_refused, parse_float=_finite, parse_int=_whole)
        )
    except DAMAGE as error:
        raise damaged from error


def _refused(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _whole(digits: str) -> int:
    _finite(digits)
    return int(digits)


def _finite(digits: str) -> float:
    value = float(digits)
    return value if abs(value) <= LARGEST else _refused(digits)
