"""Outlines read from a photo: where the edge of a part runs, and how surely that was seen."""

from .band import RimBand, circular_smooth, outline_of_mask, outward_of, smooth_ring, unroll
from .bed import pixel_mm
from .clicked import check_photo
from .corners import restored_corners
from .doubts import WORST, Doubt
from .fitted import fitted, fitting_tolerance
from .light import Blocks, block_light
from .masks import box_sum, labelled
from .rings import FineRing
from .subpixel import USUAL_BLUR_PX, marginals, wander
from .tracing import TracedPart, foresee_bench, trace, trace_all, trace_preview

__all__ = [
    "USUAL_BLUR_PX",
    "WORST",
    "Blocks",
    "Doubt",
    "FineRing",
    "RimBand",
    "TracedPart",
    "block_light",
    "box_sum",
    "check_photo",
    "circular_smooth",
    "fitted",
    "fitting_tolerance",
    "foresee_bench",
    "labelled",
    "marginals",
    "outline_of_mask",
    "outward_of",
    "pixel_mm",
    "restored_corners",
    "smooth_ring",
    "trace",
    "trace_all",
    "trace_preview",
    "unroll",
    "wander",
]
