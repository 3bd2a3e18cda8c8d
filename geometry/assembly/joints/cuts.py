"""Parts with their slots cut and their tabs on."""

from collections.abc import Iterable
from dataclasses import replace

from ...errors import AssemblyError, OutlineError
from ...outline.curves import Profile, subtract, union
from ..solids import Part

__all__ = ["apply_cuts", "apply_tabs"]


def apply_cuts(part: Part, cuts: Iterable[Profile]) -> Part:
    """Return the part without what the cuts cover, arcs kept as arcs.

    Parameters
    ----------
    part : Part
        Whole, or cut already.
    cuts : iterable of Profile
        In the part's own x, y, such as `CrossLap.cut_a`.

    Raises
    ------
    AssemblyError
        If a cut would leave nothing, or the part in pieces; the message says where.
    """
    profile, cuts = part.profile, tuple(cuts)
    if len(cuts) > 1:
        # All at once is quicker by far; one by one only to tell which of them is at fault.
        try:
            return replace(part, profile=subtract(profile, *cuts))
        except OutlineError:
            pass
    for cut in cuts:
        try:
            profile = subtract(profile, cut)
        except OutlineError as error:
            x0, y0, x1, y1 = cut.bounds_mm
            name = f"“{part.name}”" if part.name else "the part"
            raise AssemblyError(
                "The cut at ({x0:.1f}, {y0:.1f}) mm would sever {name}. Make it "
                "wider there, or move the part that it crosses.",
                x0=0.5 * (x0 + x1),
                y0=0.5 * (y0 + y1),
                name=name,
            ) from error
    return replace(part, profile=profile)


def apply_tabs(part: Part, tabs: Iterable[Profile]) -> Part:
    """Return the part with tabs joined to it, arcs kept as arcs.

    Raises
    ------
    AssemblyError
        If a tab does not reach the part.
    """
    profile = part.profile
    for tab in tabs:
        try:
            profile = union(profile, tab)
        except OutlineError as error:
            x0, y0, x1, y1 = tab.bounds_mm
            name = f"“{part.name}”" if part.name else "the part"
            raise AssemblyError(
                "The tab at ({x0:.1f}, {y0:.1f}) mm no longer touches {name}: "
                "another joint cut away what it stands on. Move one of the two "
                "joints.",
                x0=0.5 * (x0 + x1),
                y0=0.5 * (y0 + y1),
                name=name,
            ) from error
    return replace(part, profile=profile)
