"""The middle of pen lines drawn on paper, read from a photo."""

from .drawn import pen_width_mm, trace_drawn
from .open_line import trace_open_line

__all__ = ["pen_width_mm", "trace_drawn", "trace_open_line"]
