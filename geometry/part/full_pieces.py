"""Fit series of a real part: the whole part each time, one or two of its features stepped."""

from collections.abc import Sequence

from ..errors import PartError
from ..outline.curves import Profile
from .features import FoundFeature, resized
from .fits import OPENINGS, FitPiece
from .label_place import place_label
from .series_plan import LabelUnit, piece_labels, stepped_sizes
from .stock import Process

__all__ = ["fit_series_of"]


def fit_series_of(
    profile: Profile,
    features: Sequence[FoundFeature],
    step_mm: float,
    count: int,
    *,
    nominal_mm: float | None = None,
    process: Process = "laser",
    repeatability_mm: float | None = None,
    unit: LabelUnit = "mm",
) -> tuple[FitPiece, ...]:
    """Return the part ``count`` times, its feature stepping through sizes, each labelled with it.

    Parameters
    ----------
    features
        One feature as `find_feature` gives it, or two that step together. The first one's size
        grows from piece to piece. A second one loosens as the first loosens: beside a bore that
        widens, an outside narrows.
    nominal_mm
        Size of the first feature in the middle of the series; as drawn by default. A second one is
        at its drawn size there.

    Raises
    ------
    PartError
        If there are no features or more than two, the step is finer than the machine repeats, or a
        piece cannot be made or has no room for its label.
    """
    if not 1 <= len(features) <= 2:
        raise PartError(
            "A series steps one feature or two together, not {features_count}. Choose one or two.",
            features_count=len(features),
        )
    first = features[0]
    nominal = first.size_mm if nominal_mm is None else nominal_mm
    sizes = [stepped_sizes(nominal, step_mm, count, process, repeatability_mm)]
    for other in features[1:]:
        same_way = (other.feature in OPENINGS) == (first.feature in OPENINGS)
        way = 1.0 if same_way else -1.0
        sizes.append([other.size_mm + way * (size - nominal) for size in sizes[0]])
        if min(sizes[-1]) <= 0.0:
            raise PartError(
                "{count} steps of {step_mm:g} mm leave nothing of the {feature} of "
                "{size_mm:g} mm. Take fewer or smaller steps.",
                count=count,
                step_mm=step_mm,
                feature=other.feature,
                size_mm=other.size_mm,
            )
    labels = [piece_labels(column, step_mm, unit) for column in sizes]
    names = tuple(found.feature for found in features)
    pieces = []
    for i in range(count):
        row = tuple(column[i] for column in sizes)
        piece = resized(profile, tuple(zip(features, row, strict=True)))
        label = "/".join(column[i] for column in labels)
        pieces.append(FitPiece(label, row[0], piece, place_label(piece, label), names, row))
    return tuple(pieces)
