"""An object from a caliper's readings, against published formulas and another modeller.

Volume of a frustum of a cone: V = π h (R² + R r + r²) / 3; of a pyramid with rectangular ends, the
prismatoid formula V = h (A₁ + 4 Aₘ + A₂) / 6 (Bronshtein and Semendyayev, Handbook of Mathematics,
solids; from memory). The same solids are built by manifold3d, which shares no code with this
project.
"""

import math
from itertools import pairwise

import numpy as np
import pytest

from geometry.assembly.measured import MeasuredSolid, pulled, read_table, turned_outline
from geometry.outline import circle, rectangle, ring, subtract

manifold3d = pytest.importorskip("manifold3d")

TYPED = """height\tdiameter
0\t60.00 ± 0.05
5\t60.0
5\t52.0 ± 0.1
18\t48,4
30\t44.2
42\t44.2
55\t51.0
68\t60.3
80\t66.1
92\t68.0
104\t68.0
110\t62.5""".replace(",", ".")
"""Twelve rows of a lamp's foot, with a shoulder at 5 mm."""


def solid_of(mesh):
    vertices, triangles = mesh
    made = manifold3d.Manifold(
        manifold3d.Mesh(vertices.astype(np.float32), triangles.astype(np.uint32))
    )
    assert made.status() == manifold3d.Error.NoError, "not watertight"
    return made


def test_twelve_typed_rows_are_the_solid_that_is_built_by_hand():
    readings = read_table(TYPED, doubt_mm=0.2)
    assert len(readings) == 12
    solid = MeasuredSolid.of(readings)
    rows = [(float(h), float(d) / 2.0) for h, d in (
        (0, 60), (5, 60), (5, 52), (18, 48.4), (30, 44.2), (42, 44.2), (55, 51), (68, 60.3),
        (80, 66.1), (92, 68), (104, 68), (110, 62.5))]  # fmt: skip
    frusta = sum(
        math.pi * (h1 - h0) * (r0 * r0 + r0 * r1 + r1 * r1) / 3.0
        for (h0, r0), (h1, r1) in pairwise(rows)
    )
    assert solid.volume_mm3 == pytest.approx(frusta, rel=1e-12)
    made = solid_of(solid.mesh())
    # Chords lie 0.01 mm inside at most, on a surface of about 25,000 mm².
    assert 0.0 < frusta - made.volume() < 0.01 * 25_000.0
    sides = 400
    by_hand = manifold3d.Manifold()
    for (h0, r0), (h1, r1) in pairwise(rows):
        if h1 > h0:
            by_hand += manifold3d.Manifold.cylinder(h1 - h0, r0, r1, sides).translate((0, 0, h0))
    apart = (made - by_hand).volume() + (by_hand - made).volume()
    assert apart < 0.02 * 25_000.0
    box = made.bounding_box()
    assert box == pytest.approx((-34.0, -34.0, 0.0, 34.0, 34.0, 110.0), abs=1e-3)


def test_box_sections_are_frusta_of_pyramids():
    solid = MeasuredSolid.of(read_table("0; 80 x 40; \n50; 60 x 30\n50; 20 x 20\n70; 20 x 20"))
    lower = 50.0 / 6.0 * (80 * 40 + 4 * 70 * 35 + 60 * 30)
    assert solid.volume_mm3 == pytest.approx(lower + 20 * 20 * 20)
    made = solid_of(solid.mesh())
    assert made.volume() == pytest.approx(lower + 8000.0, rel=1e-5)
    assert made.bounding_box() == pytest.approx((-40, -20, 0, 40, 20, 70), abs=1e-4)


def test_a_pulled_outline_holds_its_area_times_its_height():
    plate = subtract(rectangle(80.0, 50.0, corner_radius_mm=5.0), circle(20.0))
    made = solid_of(pulled(plate, 12.0))
    assert made.volume() == pytest.approx(plate.area_mm2 * 12.0, rel=1e-3)
    assert made.genus() == 1


def test_a_turned_half_follows_pappus():
    """Second theorem of Pappus and Guldin: V = 2π · distance of the centroid · area."""
    disc = circle(20.0, (30.0, 0.0))
    made = solid_of(turned_outline(disc, (0.0, 0.0), math.pi / 2.0, "right"))
    assert made.volume() == pytest.approx(2.0 * math.pi * 30.0 * math.pi * 100.0, rel=2e-3)
    assert made.genus() == 1
    half = solid_of(turned_outline(circle(50.0), (0.0, 0.0), math.pi / 2.0, "left"))
    assert half.volume() == pytest.approx(4.0 / 3.0 * math.pi * 25.0**3, rel=3e-3)
    bowl = solid_of(turned_outline(ring(50.0, 40.0), (0.0, 0.0), 0.0, "right"))
    shell = 4.0 / 3.0 * math.pi * (25.0**3 - 20.0**3)
    assert bowl.volume() == pytest.approx(shell, rel=3e-3)
