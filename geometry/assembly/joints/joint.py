"""One joint of two parts, as it is asked for."""

from dataclasses import dataclass, field
from typing import Literal

from .crosslap import Opens
from .fingers import FingerRule
from .tabslot import TabRule

__all__ = ["Joint", "Shares"]

Shares = Literal["left", "whole"]


@dataclass(frozen=True, slots=True)
class Joint:
    """Two parts, by their indices, and how they are to be joined.

    ``kind`` is the name of one of the kinds of joint. In a joint with tabs, ``a`` carries them and
    ``b`` is slotted. ``clearance_mm`` is what slots are wider than what goes into them.
    ``split``, ``a_opens`` and ``shares`` are a lap's: the share of the length that part a's slot
    takes, the end of the line it opens at, and whether the two share what of them is "left" by all
    other cuts, or halve their "whole" outlines, as files of 0.1.0 have it. ``own`` is the rule of
    a kind that has one of its own, such as `ButtRule`; without it that kind takes its default.
    """

    a: int
    b: int
    kind: str = "lap"
    clearance_mm: float = 0.0
    split: float = 0.5
    a_opens: Opens = "auto"
    tabs: TabRule = field(default_factory=TabRule)
    shares: Shares = "left"
    fingers: FingerRule = field(default_factory=FingerRule)
    own: object = None
