"""How near a shape is to a symmetry, and what is said where that is not near enough."""

import math
from collections.abc import Sequence

from ...arrays import Matrix
from ...errors import SymmetryError
from ...sentences import Sentence
from ...tolerance import SEARCH_FLAT_MM
from ..curves import Profile
from .groups import Kind, SymmetryGroup
from .search import find_axis, find_center, overlap, polish_axis

__all__ = ["LEAST_OVERLAP", "refusal", "worst_overlap"]

LEAST_OVERLAP = 0.85
"""A shape that shares less than this with its own copy has no such symmetry."""
MOST_TURNS = 8
"""Shapes that turn onto themselves more often are hardly cut by hand."""


def worst_overlap(profile: Profile, matrices: Sequence[Matrix]) -> float:
    """Least overlap of a shape with its copies, 0 to 1; the first matrix is the identity."""
    shape = profile.polygon(SEARCH_FLAT_MM)
    return min(overlap(shape, profile.transformed(m).polygon(SEARCH_FLAT_MM)) for m in matrices[1:])


def refusal(profile: Profile, kind: Kind, order: int, score: float, given: bool) -> SymmetryError:
    """Why a shape is not made symmetric: how far from it it is, and what symmetry it has instead.

    Parameters
    ----------
    kind, order
        What was asked for.
    score
        Its `worst_overlap` with its copies.
    given
        Whether the axis or centre was given, not found.
    """
    image = {
        "mirror": "its mirror image",
        "rotational": "itself turned by 1/{order}",
        "dihedral": "itself turned by 1/{order} and mirrored",
    }
    place = Sentence("the place given" if given else "the best place found")
    said = Sentence(
        "The shape is not symmetric: about {place} it shares only {shared_percent:.0f} % with "
        "{image}, and {least_percent:.0f} % are needed.",
        {
            "place": place,
            "shared_percent": 100.0 * score,
            "image": Sentence(image[kind], {"order": order}),
            "least_percent": 100.0 * LEAST_OVERLAP,
        },
    )
    others = _symmetries(profile)
    if not others:
        return SymmetryError(
            "{said} Nor has it any mirror axis, nor turns onto itself up to {turns} times: it is "
            "not symmetric at all. Trim the shape first.",
            said=said,
            turns=MOST_TURNS,
        )
    return SymmetryError(
        "{said} It has {other}: choose that, or trim the shape first.", said=said, other=others[0]
    )


def _symmetries(profile: Profile) -> list[Sentence]:
    """Names of the symmetries a shape is near to having, the nearest first."""
    point, angle = polish_axis(profile, *find_axis(profile))
    images = SymmetryGroup(1, mirrors=True).elements_about(point, angle % math.pi)
    found = [(worst_overlap(profile, images), 1, Sentence("a mirror axis"))]
    for order in range(2, MOST_TURNS + 1):
        center = find_center(profile, order)
        copies = SymmetryGroup(order, mirrors=False).elements_about(center, 0.0)
        name = Sentence("rotational symmetry of order {order}", {"order": order})
        found.append((worst_overlap(profile, copies), order, name))
    near = [one for one in found if one[0] >= LEAST_OVERLAP]
    return [name for _, _, name in sorted(near, key=lambda one: one[:2], reverse=True)]
