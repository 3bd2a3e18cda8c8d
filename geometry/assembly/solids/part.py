"""A flat part standing in space."""

from dataclasses import dataclass, field

import numpy as np

from ...arrays import Matrix
from ...outline.curves import Profile
from ...part.stock import Stock

__all__ = ["Part"]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """An outline cut from stock and posed.

    ``pose`` (4, 4) takes the part's own axes to the world: its outline lies in x, y and the sheet
    fills z from minus half to plus half its thickness, so the pose speaks of the mid-plane.
    """

    profile: Profile
    stock: Stock
    pose: Matrix = field(default_factory=lambda: np.eye(4))
    name: str = ""
