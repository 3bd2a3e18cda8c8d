"""Kinds of joints as people see them: one entry each, by the name the core knows them under."""

from typing import Any, NamedTuple

__all__ = ["ITEMS", "SHOWN", "ShownKind"]


class ShownKind(NamedTuple):
    """Label, tooltip and icon of a kind of joint, and the settings of its own that are shown."""

    label: str
    tip: str
    icon: Any
    settings: tuple[str, ...]


SHOWN = {
    "lap": ShownKind(
        "Cross-Lap",
        "Both sheets are slotted half way and pushed into each other",
        "MOD_BOOLEAN",
        ("split", "opens"),
    ),
    "tab": ShownKind(
        "Tab and Slot",
        "One sheet goes through slots in the other with tabs",
        "SNAP_EDGE",
        ("tab_count", "tab_width", "tab_margin", "tab_ends"),
    ),
}
ITEMS = tuple((name, kind.label, kind.tip) for name, kind in SHOWN.items())
"""Choices for a property; the names are kept in files."""
