"""Joints between parts: what each part loses and gains."""

from .bundles import copies_along_lines
from .butts import ButtJoint, ButtRule, butt_joint
from .crosslap import CrossLap, Opens, cross_lap, cross_laps
from .cuts import Crumb, apply_cuts
from .fingers import FingerJoint, FingerRule, finger_joint
from .fixture_cut import fixture_cuts
from .joinery import Joinery, join_parts
from .joint import Joint, Shares
from .kind import Connection, JointKind
from .kinds import KINDS, kind_named
from .lap import meeting_pairs
from .tab import tabbed_pairs
from .tabslot import TabRule
from .ties import Side, Tie, tied_laps

__all__ = [
    "KINDS",
    "ButtJoint",
    "ButtRule",
    "Connection",
    "CrossLap",
    "Crumb",
    "FingerJoint",
    "FingerRule",
    "Joinery",
    "Joint",
    "JointKind",
    "Opens",
    "Shares",
    "Side",
    "TabRule",
    "Tie",
    "apply_cuts",
    "butt_joint",
    "copies_along_lines",
    "cross_lap",
    "cross_laps",
    "finger_joint",
    "fixture_cuts",
    "join_parts",
    "kind_named",
    "meeting_pairs",
    "tabbed_pairs",
    "tied_laps",
]
