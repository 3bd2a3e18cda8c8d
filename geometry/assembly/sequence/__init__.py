"""The order in which parts can be put together, and the sides slots open from."""

from .motion import apart
from .obstacle import one_mesh
from .opening import Opening, open_for_assembly
from .order import Order, Step, assembly_order

__all__ = [
    "Opening",
    "Order",
    "Step",
    "apart",
    "assembly_order",
    "one_mesh",
    "open_for_assembly",
]
