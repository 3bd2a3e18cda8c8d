"""The space a flat part passes over on a push, held to its parallelograms drawn one by one."""

import math

import numpy as np
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from geometry.assembly.sequence.sweep import swept
from geometry.assembly.solids.plates import Plate

NESTED = [5.0, 5.0, 6.0, *[5.0] * 7, 6.0, *[5.0] * 3, 6.0, 5.0, 7.0, 10.0, 18.8203125]
NESTED += [17.758350280567193, 8.0, 6.0, 6.0, 5.0, 5.0]
"""A shape of which GEOS unites the swept pieces to nested parts."""


@settings(max_examples=40, deadline=None)
@given(
    radii=st.lists(st.floats(5.0, 20.0), min_size=12, max_size=40),
    heading=st.floats(0.0, 2.0 * math.pi),
    length_mm=st.floats(1.0, 60.0),
)
@example(radii=NESTED, heading=4.587890625, length_mm=18.5)
def test_a_push_passes_over_every_edge_s_parallelogram(radii, heading, length_mm):
    turns = np.linspace(0.0, 2.0 * np.pi, len(radii), endpoint=False)
    outline = np.column_stack((np.cos(turns), np.sin(turns))) * np.array(radii)[:, None]
    polygon = shapely.Polygon(outline, [shapely.Point(0.0, 0.0).buffer(2.0).exterior.coords])
    direction = np.array((math.cos(heading), math.sin(heading), 0.0))
    path = swept(Plate(polygon, 3.0, np.eye(4)), direction, length_mm)
    pieces = [polygon]
    for ring in shapely.get_rings(polygon):
        corners = shapely.get_coordinates(ring)
        start, end = corners[:-1], corners[1:]
        move = direction[:2] * length_mm
        boxes = shapely.polygons(np.stack((start, end, end + move, start + move), axis=1))
        pieces += [shapely.make_valid(box) for box in boxes]
    assert path.polygon.symmetric_difference(shapely.union_all(pieces)).area < 1e-6
    assert path.thickness_mm == 3.0


def test_a_push_along_the_normal_thickens_and_an_askew_one_is_not_told():
    sheet = Plate(shapely.box(0.0, 0.0, 10.0, 10.0), 3.0, np.eye(4))
    lifted = swept(sheet, np.array((0.0, 0.0, 1.0)), 20.0)
    assert (lifted.thickness_mm, lifted.pose[2, 3]) == (23.0, 10.0)
    assert swept(sheet, np.array((0.0, 0.6, 0.8)), 20.0) is None
