"""Joints between parts: what each part loses and gains."""

from .bundles import copies_along_lines
from .crosslap import CrossLap, Opens, cross_lap, cross_laps
from .cuts import apply_cuts
from .fixture_cut import fixture_cuts
from .joinery import Joinery, join_parts, meeting_pairs, tabbed_pairs
from .joint import Joint
from .tabslot import TabRule
from .ties import Side, Tie, tied_laps

__all__ = [
    "CrossLap",
    "Joinery",
    "Joint",
    "Opens",
    "Side",
    "TabRule",
    "Tie",
    "apply_cuts",
    "copies_along_lines",
    "cross_lap",
    "cross_laps",
    "fixture_cuts",
    "join_parts",
    "meeting_pairs",
    "tabbed_pairs",
    "tied_laps",
]
