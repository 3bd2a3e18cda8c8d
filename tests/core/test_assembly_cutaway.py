"""Faces that a plane cuts, against sizes worked by hand and sections of solids by trimesh."""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import Part, lie_across_axis, stand_on_axis, turn_about_axis
from geometry.assembly.check import Fixture
from geometry.assembly.cutaway import cut_faces, hatching, plane_through
from geometry.outline import circle, rectangle, ring
from geometry.part import Stock

PLY = Stock("ply", 3.0, 0.1)


def test_a_plane_at_a_part_shows_its_whole_face_and_bars_of_what_crosses_it():
    plate = Part(ring(100.0, 40.0), PLY, np.eye(4), "plate")
    wall = Part(rectangle(80.0, 50.0), PLY, stand_on_axis(0.0), "wall")
    away = Part(rectangle(80.0, 50.0), PLY, lie_across_axis(1.6), "away")
    faces = cut_faces(np.eye(4), [plate, wall, away], [])
    assert [face.body for face in faces] == [0, 1]
    assert faces[0].face.area == pytest.approx(math.pi * (50.0**2 - 20.0**2), rel=1e-3)
    assert len(faces[0].rings) == 2
    assert (faces[1].length_mm, faces[1].width_mm) == pytest.approx((80.0, 3.0))
    # A ring on edge is cut twice.
    upright = Part(ring(100.0, 40.0), PLY, stand_on_axis(0.0), "ring")
    twice = cut_faces(np.eye(4), [upright], [])
    assert [(f.length_mm, f.width_mm) for f in twice] == [pytest.approx((30.0, 3.0))] * 2


@settings(max_examples=20, deadline=None)
@given(
    turn=st.floats(0.0, math.pi / 2),
    about=st.floats(0.0, 6.0),
    height=st.floats(-10.0, 10.0),
)
def test_a_plane_at_any_slant_cuts_a_sheet_as_it_cuts_the_solid(turn, about, height):
    axis = (math.cos(about), math.sin(about), 0.0)
    plane = turn_about_axis((0, 0, 0), axis, turn)
    plane[:3, 3] = (0.0, 0.0, height)
    box = trimesh.creation.box((60.0, 40.0, 3.0))
    solid = Fixture(np.array(box.vertices), np.array(box.faces), "box")
    sheet = Part(rectangle(60.0, 40.0), PLY, np.eye(4), "sheet")
    faces = cut_faces(plane, [sheet], [solid])
    areas = [math.fsum(f.face.area for f in faces if f.body == body) for body in (0, 1)]
    cut = box.section(plane_origin=plane[:3, 3], plane_normal=plane[:3, 2])
    theirs = 0.0 if cut is None else cut.to_2D()[0].area
    # Near the sheet's own plane a micrometre decides whether the plane is still inside it.
    if abs(abs(height) - 1.5) > 0.01 or turn > 0.01:
        assert areas[0] == pytest.approx(theirs, abs=0.3, rel=5e-3)
        assert areas[1] == pytest.approx(theirs, abs=0.3, rel=5e-3)


def test_the_globe_is_cut_in_the_circle_of_its_height():
    ball = trimesh.creation.icosphere(subdivisions=5, radius=100.0)
    globe = Fixture(np.array(ball.vertices), np.array(ball.faces), "globe")
    plane = np.eye(4)
    plane[2, 3] = 60.0
    (face,) = cut_faces(plane, [], [globe])
    assert face.length_mm == pytest.approx(160.0, rel=2e-3)
    assert face.body == 0
    # Askew through its middle, it is as wide as the globe.
    askew = plane_through((0.0, 0.0, 0.0), (1.0, 2.0, 3.0), (0.0, 0.0, 1.0))
    assert cut_faces(askew, [], [globe])[0].width_mm == pytest.approx(200.0, rel=2e-3)


@pytest.mark.parametrize("normal", [(0, 0, 1), (0, 0, -1), (1, 2, 3), (0, -5, 0)])
def test_a_plane_is_square_to_its_normal_and_upright(normal):
    pose = plane_through((1.0, 2.0, 3.0), normal, (0.0, 0.0, 1.0))
    assert np.allclose(pose[:3, :3].T @ pose[:3, :3], np.eye(3))
    assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)
    assert np.allclose(pose[:3, 2] * np.linalg.norm(normal), normal)
    assert pose[2, 1] >= -1e-12


def test_hatching_fills_a_face_evenly_and_leaves_holes_open():
    face = ring(60.0, 20.0).polygon()
    lines = hatching(face, 2.0, math.pi / 4)
    lengths = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1)
    # Lines 2 mm apart cover the area once: the trapezoid rule along them.
    assert lengths.sum() * 2.0 == pytest.approx(face.area, rel=0.02)
    middles = lines.mean(axis=1)
    assert np.hypot(*middles.T).min() > 9.9
    steps = lines[:, 1] - lines[:, 0]
    assert np.allclose(steps[:, 0], steps[:, 1], atol=1e-9)
    # Two faces of one plane are hatched in step.
    other = hatching(circle(10.0).moved(40.0, 3.0).polygon(), 2.0, math.pi / 4)
    level = np.concatenate((lines[:, 0], other[:, 0])) @ np.array((-1.0, 1.0)) / math.sqrt(2.0)
    assert np.allclose(level / 2.0, np.round(level / 2.0), atol=1e-9)
