"""Lattices of boards that cradle an object, against manifold3d: cut, joined, ordered, exported.

Boards share what the object leaves of them. All solids here are manifold3d's own extrusions; the
cut file is read by ezdxf, and a beam as wide as the kerf is run along its paths by shapely.
"""

import math
import re
from dataclasses import replace

import ezdxf
import ezdxf.path
import manifold3d
import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import Joint, Part, fixture_cuts, join_parts, meeting_pairs
from geometry.assembly.check import Fixture, check_assembly
from geometry.errors import AssemblyError
from geometry.files import drawing, write_dxf
from geometry.outline import rectangle
from geometry.part import Stock
from geometry.sheet.pieces import cut_piece

pytestmark = pytest.mark.outside

KERF_MM = 0.18
CONTACT_MM3 = 0.2
"""Overlaps below this are the polygons' chords and rounding, not material."""


def upright(width, height, place, turn, name, stock):
    """A board on edge on the plane z = 0, its middle at ``place``, turned about z."""
    c, s = math.cos(turn), math.sin(turn)
    pose = np.array([[c, 0, s, place[0]], [s, 0, -c, place[1]], [0, 1, 0, 0], [0, 0, 0, 1.0]])
    return Part(rectangle(width, height, (0.0, 0.5 * height)), stock, pose, name)


def lattice(counts, size, height, stock, askew=0.0):
    """Boards along x and boards across, evenly over (length, width); the latter turned askew."""
    (n, m), (length, width) = counts, size
    rows = (np.arange(n) + 0.5) / n * width - 0.5 * width
    columns = (np.arange(m) + 0.5) / m * length - 0.5 * length
    along = [
        upright(length + 20.0, height, (0.0, y), 0.0, f"A{i + 1}", stock)
        for i, y in enumerate(rows)
    ]
    across = [
        upright(1.2 * width + 20.0, height, (x, 0.0), 0.5 * math.pi + askew, f"B{i + 1}", stock)
        for i, x in enumerate(columns)
    ]
    return [*along, *across]


def body(size, bottom, roundness=0.6, around=24):
    """A body like a car's: a rounded box with a cabin, its lowest place at a height."""
    ball = trimesh.creation.uv_sphere(1.0, count=[around, around])
    ball.merge_vertices()
    unit = np.array(ball.vertices)
    rounded = np.sign(unit) * np.abs(unit) ** roundness * 0.5 * np.array(size)
    cabin = 0.25 * size[2] * np.exp(-((rounded[:, 0] / (0.25 * size[0])) ** 2))
    rounded[:, 2] += np.where(unit[:, 2] > 0.1, cabin * unit[:, 2], 0.0)
    rounded[:, 2] += bottom - rounded[:, 2].min()
    return rounded, np.array(ball.faces)


def polygon_solid(polygon, part):
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    t = part.stock.thickness_mm
    return manifold3d.Manifold.extrude(flat, t).translate((0, 0, -t / 2)).transform(part.pose[:3])


def solid(part):
    return polygon_solid(part.profile.polygon(1e-3), part)


def mesh_solid(vertices, triangles):
    made = manifold3d.Manifold(
        manifold3d.Mesh(vertices.astype(np.float32), triangles.astype(np.uint32))
    )
    assert not made.is_empty()
    return made


def overlaps(solids):
    """The largest common volume of any two solids whose boxes meet."""
    boxes = np.array([s.bounding_box() for s in solids])
    worst = 0.0
    for i, one in enumerate(solids):
        for j in range(i + 1, len(solids)):
            if (boxes[i, :3] <= boxes[j, 3:]).all() and (boxes[j, :3] <= boxes[i, 3:]).all():
                worst = max(worst, (one ^ solids[j]).volume())
    return worst


def built(parts, mesh, gap, clearance=0.0):
    cuts = {i: fixture_cuts(part, *mesh, gap) for i, part in enumerate(parts)}
    joints = [Joint(i, j, clearance_mm=clearance) for i, j in meeting_pairs(parts)]
    joinery = join_parts(parts, joints, other_cuts=cuts)
    made = [replace(p, profile=q) for p, q in zip(parts, joinery.profiles, strict=True)]
    return made, joinery


def pushes_are_free(steps, solids, fixture_number):
    """Move what each step pushes back out by small strides; nothing that stands may be met."""
    standing = []
    for step in steps:
        direction = np.array(step.direction)
        if direction.any():
            for away in (0.5, 2.0, 5.0, 11.0, 17.0, 29.0, 47.0, 80.0, 150.0):
                back = tuple(-away * direction)
                for mover in step.parts:
                    moved = solids[mover].translate(back)
                    for other in standing:
                        if other not in step.parts:
                            assert (moved ^ solids[other]).volume() < CONTACT_MM3
        standing += step.parts
        assert fixture_number >= max(step.parts)


def dxf_rings(path):
    """Closed paths of a DXF as shapely polygons, put together from what ezdxf reads."""
    lines = []
    for entity in ezdxf.readfile(path).modelspace():
        if entity.dxftype() in ("LWPOLYLINE", "POLYLINE", "CIRCLE", "ARC", "LINE", "SPLINE"):
            points = ezdxf.path.make_path(entity).flattening(1e-3)
            lines.append(shapely.LineString([(round(p.x, 4), round(p.y, 4)) for p in points]))
    found = shapely.polygonize([shapely.union_all(lines)])
    return list(shapely.get_parts(found))


def test_a_lattice_around_a_deeply_sunk_body_fits_together_again_from_its_cut_file(tmp_path):
    stock = Stock("plywood", 3.0, KERF_MM)
    parts = lattice((6, 6), (240.0, 120.0), 44.0, stock)
    mesh = body((230.0, 104.0, 60.0), 10.0)
    made, joinery = built(parts, mesh, 0.3)
    assert len(joinery.laps) == 36
    assert joinery.unmatched == ()
    check = check_assembly(made, [Fixture(*mesh, "body", 0.3)])
    assert check.is_clear
    assert check.order.can_be_built
    solids = [solid(part) for part in made]
    fixture = mesh_solid(*mesh)
    assert overlaps(solids) < CONTACT_MM3
    assert max((fixture ^ one).volume() for one in solids) < 1e-3
    pushes_are_free(check.order.steps, [*solids, fixture], len(made))
    # Exported one beside the other, read back, and cut by a beam as wide as the kerf.
    apart = 400.0
    paths = [
        cut_piece(part.profile, stock, 1, part.name, correct_kerf=True).profile.moved(
            apart * i, 0.0
        )
        for i, part in enumerate(made)
    ]
    names = [part.name for part in made]
    file = tmp_path / "lattice.dxf"
    write_dxf(file, drawing(paths, names=names, kerf_state="corrected", kerf_mm=KERF_MM))
    rings = dxf_rings(file)
    cut = []
    for i, part in enumerate(made):
        own = [r for r in rings if abs(r.centroid.x - apart * i) < 0.5 * apart]
        outline = max(own, key=lambda r: r.area)
        path = shapely.difference(outline, shapely.union_all([r for r in own if r is not outline]))
        left = shapely.difference(path, path.boundary.buffer(0.5 * KERF_MM, quad_segs=32))
        assert left.geom_type == "Polygon"
        moved = shapely.transform(left, lambda xy, i=i: xy - (apart * i, 0.0))
        cut.append(polygon_solid(moved, part))
        # No more is missing than what a round beam leaves out of corners.
        assert shapely.difference(part.profile.polygon(1e-3), moved).area < 0.1
    assert overlaps(cut) < CONTACT_MM3
    assert max((fixture ^ one).volume() for one in cut) < 1e-3
    # And a slot a tenth of a mm narrower than its sheet would have bitten.
    tight, _ = built(parts, mesh, 0.3, -0.1)
    assert overlaps([solid(part) for part in tight]) > CONTACT_MM3


@settings(max_examples=12, deadline=None)
@given(
    st.integers(2, 4),
    st.integers(2, 4),
    st.floats(2.0, 6.0),
    st.floats(-35.0, 35.0),
    st.floats(2.0, 40.0),
    st.floats(0.4, 1.0),
    st.floats(0.0, 1.0),
)
def test_any_lattice_around_any_sunk_body_has_no_overlap_and_every_push_is_free(
    n, m, thickness, askew, left, roundness, gap
):
    stock = Stock("board", thickness, KERF_MM)
    parts = lattice((n, m), (160.0, 110.0), 48.0, stock, math.radians(askew))
    mesh = body((150.0, 100.0, 70.0), left, roundness)
    refused = ""
    try:
        made, joinery = built(parts, mesh, gap)
    except AssemblyError as error:
        refused = str(error)
    if refused:
        # What would fall apart is refused with its place and cause, never made.
        assert re.search(r"“[AB]\d” would fall apart: .* at \(.*\) mm", refused)
        return
    solids = [solid(part) for part in made]
    assert overlaps(solids) < CONTACT_MM3
    assert max((mesh_solid(*mesh) ^ one).volume() for one in solids) < 1e-3
    assert all(isinstance(shape.area_mm2, float) for shape in joinery.profiles)
    for crumbs in joinery.crumbs:
        assert all(crumb.area_mm2 < 200.0 for crumb in crumbs)
    order = check_assembly(made, [Fixture(*mesh, "body", gap)]).order
    if order.can_be_built:
        pushes_are_free(order.steps, [*solids, mesh_solid(*mesh)], len(made))


@pytest.mark.parametrize("sunk", [10.0, 28.0, 29.5, 34.0, 44.0, 52.0])
def test_two_boards_share_what_a_ball_leaves_of_them(sunk):
    """Boards 60 mm high, a ball of 100 mm sunk into them: they meet under its lowest place."""
    stock = Stock("board", 3.0, KERF_MM)
    boards = [
        upright(200.0, 60.0, (0.0, 0.0), turn, name, stock)
        for turn, name in ((0.0, "A"), (0.5 * math.pi, "B"))
    ]
    ball = trimesh.creation.icosphere(subdivisions=4, radius=50.0)
    ball.apply_translation((0.0, 0.0, 110.0 - sunk))
    mesh = np.array(ball.vertices), np.array(ball.faces)
    made, joinery = built(boards, mesh, 0.0)
    (lap,) = joinery.laps
    left = 60.0 - sunk
    assert lap.cross_lap.shared_mm == pytest.approx(left, abs=0.1)
    assert lap.cross_lap.split_world[2] == pytest.approx(0.5 * left, abs=0.05)
    assert overlaps([solid(part) for part in made]) < 1e-3
