"""Shapes made exactly symmetric, and how far the hand was off."""

from .axes import AxisHandles, Handle, copy_about, handles_of
from .deviation import HandError, fair_factor, hand_error
from .groups import Kind
from .halves import whole_from_half
from .symmetry import Axis, Deviation, Keep, Symmetry, symmetrise

__all__ = [
    "Axis",
    "AxisHandles",
    "Deviation",
    "HandError",
    "Handle",
    "Keep",
    "Kind",
    "Symmetry",
    "copy_about",
    "fair_factor",
    "hand_error",
    "handles_of",
    "symmetrise",
    "whole_from_half",
]
