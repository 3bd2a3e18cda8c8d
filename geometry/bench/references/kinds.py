"""The list of kinds of references; a new one is a line here."""

from ...errors import BenchError
from .disc import DiscKind
from .kind import ReferenceKind
from .length import LengthKind
from .rectangle import RectangleKind

__all__ = ["KINDS", "kind_named"]

KINDS: tuple[ReferenceKind, ...] = (LengthKind(), RectangleKind(), DiscKind())


def kind_named(name: str) -> ReferenceKind:
    """The kind of reference with an identifier such as "LENGTH".

    Raises
    ------
    BenchError
        If there is none: the marks were made by a newer version or are damaged.
    """
    for kind in KINDS:
        if kind.name == name:
            return kind
    raise BenchError(
        "There is no kind of reference called “{name}”. The marks are from a newer version, or "
        "damaged: mark the reference again.",
        name=name,
    )
