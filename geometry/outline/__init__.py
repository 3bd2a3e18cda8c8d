"""Outlines: closed flat shapes of lines, arcs and cubics."""

from .profile import Loop, Profile
from .segments import Arc, Cubic, Line, Segment

__all__ = ["Arc", "Cubic", "Line", "Loop", "Profile", "Segment"]
