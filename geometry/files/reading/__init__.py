"""Files read: our own measured against their drawing, and those of others."""

from .outlines_from import Imported, outlines_from
from .readback import read_back
from .verify import Verification, verify

__all__ = [
    "Imported",
    "Verification",
    "outlines_from",
    "read_back",
    "verify",
]
