"""Joints between parts: what each part loses and gains."""

from .butts import ButtJoint, ButtRule, butt_joint
from .coupling import Coupling, Side, coupled_laps
from .crosslap import CrossLap, Opens, cross_lap, cross_laps
from .cuts import Crumb, apply_cuts
from .fingers import FingerJoint, FingerRule, finger_joint
from .fixture_cut import fixture_cuts
from .joinery import Joinery, join_parts
from .joint import Joint, Shares
from .kind import Connection, JointKind
from .kinds import KINDS, kind_named
from .lap import meeting_pairs
from .shared_lines import copies_along_lines
from .tab import tabbed_pairs
from .tabslot import TabRule

__all__ = [
    "KINDS",
    "ButtJoint",
    "ButtRule",
    "Connection",
    "Coupling",
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
    "apply_cuts",
    "butt_joint",
    "copies_along_lines",
    "coupled_laps",
    "cross_lap",
    "cross_laps",
    "finger_joint",
    "fixture_cuts",
    "join_parts",
    "kind_named",
    "meeting_pairs",
    "tabbed_pairs",
]
