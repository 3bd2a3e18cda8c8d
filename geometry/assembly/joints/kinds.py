"""Every kind of joint, in the order in which they are made: each shares what those before left."""

from ...errors import AssemblyError
from .butt import ButtKind
from .finger import FingerKind
from .kind import JointKind
from .lap import LapKind
from .tab import TabKind

__all__ = ["KINDS", "kind_named"]

KINDS: tuple[JointKind, ...] = (FingerKind(), ButtKind(), TabKind(), LapKind())


def kind_named(name: str) -> JointKind:
    """Return the kind of joint that is kept in files under a name.

    Raises
    ------
    AssemblyError
        If there is none of that name.
    """
    for kind in KINDS:
        if kind.name == name:
            return kind
    known = ", ".join(f"“{kind.name}”" for kind in KINDS)
    raise AssemblyError(
        "There is no joint of the kind “{name}”. Choose one of {known}.", name=name, known=known
    )
