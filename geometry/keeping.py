"""What is worked out from a value, kept for the next time as long as that value is."""

from __future__ import annotations

from collections.abc import Callable, MutableMapping
from functools import wraps
from typing import TypeVar
from weakref import WeakKeyDictionary

__all__ = ["kept_with"]

Value = TypeVar("Value")
Found = TypeVar("Found")


def kept_with(work: Callable[[Value], Found]) -> Callable[[Value], Found]:
    """Work done once for each value; what was found goes when the value does.

    Values are told apart by what they are equal to, and what is found must not refer to them.
    """
    known: MutableMapping[Value, Found] = WeakKeyDictionary()

    @wraps(work)
    def kept(value: Value) -> Found:
        if value not in known:
            known[value] = work(value)
        return known[value]

    return kept
