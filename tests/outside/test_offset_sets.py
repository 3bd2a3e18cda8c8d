"""Kerf paths of published polygons and of random shapes, against two libraries and a tool's sweep.

Polygons: GitHub ESICUP/datasets, folder 2d_irregular, commit 5fba5c4, CC0-1.0; kept in tests/data.
Offsets of the same polygons: shapely (GEOS) and pyclipr (Clipper 2) with mitred joins. Steiner's
formula with mitres: area + perimeter × d + d² Σ tan(turn / 2) on convex shapes (elementary).
"""

import importlib.util
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry.polygon import orient

from geometry.outline import Arc, Cubic, Line, Loop, Profile, circle
from geometry.part.kerf import compensate_kerf, compensate_kerf_all

pytestmark = pytest.mark.outside

DATA = Path(__file__).parents[1] / "data" / "esicup_irregular"
SETS = ["blaz_blaz", "shapes_shapes", "shirts_shirts", "swim_swim", "trousers_trousers"]
LIMIT = 4.0
TWO_MICROMETRES = 2e-3


def corners_of_set(name):
    """Read blocks of PIECE, QUANTITY, NUMBER OF VERTICES and VERTICES."""
    pieces = []
    for block in (DATA / f"{name}.txt").read_text().split("PIECE")[1:]:
        words = block.split()
        numbers = [float(w) for w in words[words.index("(X,Y)") + 1 :]]
        corners = np.array(numbers).reshape(-1, 2)
        if (corners[0] == corners[-1]).all():
            corners = corners[:-1]
        polygon = orient(shapely.Polygon(corners))
        pieces.append(np.asarray(polygon.exterior.coords)[:-1])
    return pieces


def turns(corners):
    here = corners - np.roll(corners, 1, axis=0)
    following = np.roll(here, -1, axis=0)
    cross = here[:, 0] * following[:, 1] - here[:, 1] * following[:, 0]
    return np.arctan2(cross, np.sum(here * following, axis=1))


def kerf_for(corners):
    """A kerf in proportion to the piece, as the sets are in units of their own."""
    return 2e-3 * float(np.ptp(corners, axis=0).max())


def references(corners, d):
    yield shapely.Polygon(corners).buffer(d, join_style="mitre", mitre_limit=LIMIT)
    if importlib.util.find_spec("pyclipr"):
        import pyclipr

        clipper = pyclipr.ClipperOffset()
        clipper.scaleFactor = 1_000_000
        clipper.miterLimit = LIMIT
        clipper.addPath(corners, pyclipr.JoinType.Miter, pyclipr.EndType.Polygon)
        yield shapely.Polygon(clipper.execute(d)[0])


@pytest.mark.parametrize("name", SETS)
def test_paths_of_published_polygons_agree_with_other_libraries(name):
    compared = 0
    for corners in corners_of_set(name):
        kerf = kerf_for(corners)
        ours = compensate_kerf(Profile(Loop.through(corners)), kerf, allow_loss=True).polygon(1e-6)
        for theirs in references(corners, kerf / 2.0):
            apart = shapely.hausdorff_distance(ours.exterior, theirs.exterior)
            if np.abs(turns(corners)).max() < math.radians(150.0):
                assert apart < 1e-5 * kerf + 2e-6
            else:
                # Libraries cut sharp corners off differently; none reaches further than the limit.
                assert apart < LIMIT * kerf
            compared += 1
    assert compared >= 4


@pytest.mark.parametrize("name", SETS)
def test_areas_obey_steiner_and_the_path_holds_every_round_offset(name):
    for corners in corners_of_set(name):
        kerf = kerf_for(corners)
        d, piece = kerf / 2.0, shapely.Polygon(corners)
        path = compensate_kerf(Profile(Loop.through(corners)), kerf, allow_loss=True)
        rounded = piece.buffer(d, quad_segs=64)
        steiner = piece.area + piece.length * d
        assert steiner + math.pi * d * d >= rounded.area - 1e-9
        assert path.polygon().buffer(1e-6 * kerf).covers(rounded)
        turned = turns(corners)
        if turned.min() > 0.0 and turned.max() < math.radians(150.0):
            wanted = steiner + d * d * np.tan(turned / 2.0).sum()
            assert path.area_mm2 == pytest.approx(wanted, rel=1e-10)


def sweep_gives_the_part_back(part, path, kerf):
    """The disc of the kerf's width, run along the path: nothing of the part goes, nothing stays.

    What a disc cannot reach in inside corners is taken for what it is: the part closed by it.
    """
    radius = kerf / 2.0
    nominal, way = part.polygon(5e-5), path.polygon(5e-5)
    centers = shapely.points(shapely.get_coordinates(shapely.segmentize(way.boundary, 0.5)))
    # The tool never comes nearer to the part than its radius,
    assert shapely.distance(centers, nominal).min() > radius - TWO_MICROMETRES
    reachable = nominal.buffer(radius, quad_segs=150).buffer(-radius, quad_segs=150)
    edge = shapely.points(shapely.get_coordinates(shapely.segmentize(reachable.boundary, 0.5)))
    # and comes that near to all of its edge that a disc can touch.
    assert shapely.distance(edge, way.boundary).max() < radius + TWO_MICROMETRES


@pytest.mark.parametrize("name", SETS)
def test_simulated_cut_gives_published_pieces_back(name):
    for corners in corners_of_set(name):
        scaled = corners * (150.0 / np.ptp(corners, axis=0).max())
        part = Profile(Loop.through(scaled))
        for kerf in (0.1, 0.4):
            sweep_gives_the_part_back(part, compensate_kerf(part, kerf), kerf)


def side(a, b, bend):
    """Line, arc of a bulge, or for a bend of two numbers a cubic."""
    if not bend:
        return Line(a, b)
    if isinstance(bend, float):
        return Arc.from_bulge(a, b, bend)
    (x0, y0), (x1, y1) = a, b
    dx, dy = (x1 - x0) / 3.0, (y1 - y0) / 3.0
    one, two = bend
    return Cubic(
        a,
        (x0 + dx + one * dy, y0 + dy - one * dx),
        (x1 - dx + two * dy, y1 - dy - two * dx),
        b,
    )


BENDS = [0, 0, 0.3, -0.3, 0.6, (0.5, 0.5), (0.4, -0.3), (-0.3, 0.2)]


@st.composite
def shapes(draw):
    """Star-shaped outlines of lines, arcs and cubics, some with a round hole."""
    count = draw(st.integers(4, 10))
    gaps = np.array(draw(st.lists(st.floats(0.4, 1.0), min_size=count, max_size=count)))
    angles = np.cumsum(gaps) * 2.0 * math.pi / gaps.sum()
    radii = draw(st.lists(st.floats(15.0, 50.0), min_size=count, max_size=count))
    bends = draw(st.lists(st.sampled_from(BENDS), min_size=count, max_size=count))
    places = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, angles, strict=True)]
    loop = Loop(
        side(a, b, bend) for a, b, bend in zip(places, places[1:] + places[:1], bends, strict=True)
    )
    holes = circle(draw(st.floats(1.0, 6.0))).loops if draw(st.booleans()) else ()
    return Profile(loop, holes)


@settings(max_examples=35, deadline=None)
@given(shapes(), st.floats(0.05, 0.45))
def test_simulated_cut_gives_random_shapes_back(part, kerf):
    shape = part.polygon(2e-5)
    assume(shape.is_valid)
    # A part whose inside narrows under the kerf loses something, and is refused elsewhere.
    assume(shape.buffer(kerf).buffer(-kerf).symmetric_difference(shape).area < 1.0)
    path = compensate_kerf_all([part], kerf, allow_loss=True)[0]
    assert path.count(Arc) == part.count(Arc)
    sweep_gives_the_part_back(part, path, kerf)
