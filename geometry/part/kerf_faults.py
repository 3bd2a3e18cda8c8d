"""What the kerf of a laser or a knife spoils: openings it fills, and points it does not reach."""

from collections.abc import Iterator

from ..findings import Finding
from ..outline.curves import Profile
from .kerf import kerf_losses, shallow_notches
from .line_faults import at, profile_subject
from .stock import Stock

__all__ = ["kerf_faults"]


def kerf_faults(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """Findings about everything that the kerf spoils of a profile.

    Parameters
    ----------
    profile
        At finished size.
    stock
        Whose kerf it is.
    index
        Number of the profile among those that are looked at.
    """
    yield from _lost(profile, stock, index)
    yield from _shallow(profile, stock, index)


def _lost(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """Openings that the kerf fills by itself."""
    for loss in kerf_losses(profile, stock.kerf_mm):
        yield Finding(
            "stop",
            "lost to the kerf",
            loss.template,
            loss.values,
            loss.where,
            loss.size_mm,
            profile_subject(index),
        )


def _shallow(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """Pointed notches whose point the kerf does not reach."""
    for notch in shallow_notches(profile, stock.kerf_mm):
        yield Finding(
            "caution",
            "shallow notch",
            "The pointed notch at {place}, {depth_mm:.1f} mm deep, comes out {missing_mm:.1f} mm "
            "less deep, as the kerf of {kerf_mm:g} mm does not reach its point. Widen it, draw it "
            "deeper or cut the rest by hand.",
            {
                "place": at(notch.where),
                "depth_mm": notch.depth_mm,
                "missing_mm": notch.missing_mm,
                "kerf_mm": stock.kerf_mm,
            },
            notch.where,
            notch.missing_mm,
            profile_subject(index),
        )
