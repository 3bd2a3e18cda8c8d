"""The face of a thick part whose wall looks as it does is carved from its silhouette."""

import numpy as np
import pytest
import shapely
from shapely import Point, affinity, box

from geometry.outline.trace.silhouette import carved
from tests.core.trace_trials import GOAL_95_MM, GOAL_WORST_MM, try_part

SLANT = np.array((6.0, 14.0))


def silhouette_of(face):
    """What is seen of a part that slants by `SLANT`: a face and, below it, its wall."""
    levels = [affinity.translate(face, *(share * SLANT)) for share in np.linspace(0.0, 1.0, 101)]
    return shapely.union_all(levels)


def rings_of(shape):
    """Rings of points a pixel apart."""
    rings = (shape.exterior, *shape.interiors)
    return [shapely.get_coordinates(ring.segmentize(1.0))[:-1] for ring in rings]


@pytest.mark.parametrize(
    "face",
    [
        box(0, 0, 120, 90),
        box(0, 0, 120, 90) - box(50, -1, 80, 60),
        box(0, 0, 120, 90) - box(-1, 30, 70, 60),
        Point(0, 0).buffer(60.0, quad_segs=90) - Point(5, -5).buffer(25.0, quad_segs=90),
    ],
    ids=["plate", "slot along the slant", "slot across it", "ring"],
)
def test_a_face_is_carved_from_its_silhouette_hidden_corners_and_all(face):
    found = carved(rings_of(silhouette_of(face)), lambda places: -SLANT + 0.0 * places)
    assert len(found) == 1 + len(face.interiors)
    for ring, truth in zip(found, (face.exterior, *face.interiors), strict=True):
        assert shapely.LinearRing(ring).hausdorff_distance(truth) < 1.0


def test_an_arc_along_which_nothing_was_read_is_drawn_from_its_neighbours():
    face = Point(0, 0).buffer(60.0, quad_segs=90)
    (ring,) = rings_of(silhouette_of(face))
    read = ring[np.hypot(*(ring - (0.0, -60.0)).T) > 20.0]
    assert shapely.LinearRing(read).distance(Point(0, -60.0)) > 3.0
    (found,) = carved([read], lambda places: -SLANT + 0.0 * places)
    assert shapely.LinearRing(found).hausdorff_distance(face.exterior) < 1.0


@pytest.mark.parametrize(
    ("kind", "seed"),
    [
        ("wall as bright as the face", 731),
        ("wall as bright as the face", 107),
        ("black foam", 731),
        ("black foam", 944),
        ("wall as bright as the face", 206),
        ("black foam", 200),
        ("black foam", 311),
        ("wall as bright as the face", 505),
        ("wall as bright as the face", 526),
        ("foam on pale, with shadow", 320),
        ("black foam", 306),
    ],
    ids=[
        "narrow wall",
        "corner of the wall",
        "rounded corner",
        "hole nearly hidden",
        "wall hardly darker than the face",
        "wall narrower than where it is hidden",
        "slit of a hole",
        "upright edges at small angles",
        "wall bent at many corners",
        "wall of the colour of the bench",
        "small round corner beside the wall",
    ],
)
def test_foam_whose_edges_do_not_all_show_is_traced_at_its_top_edge(kind, seed):
    trial = try_part(kind, seed)
    assert trial.most_mm <= GOAL_95_MM
    assert trial.worst_mm <= GOAL_WORST_MM
    assert trial.holes_missed == 0
