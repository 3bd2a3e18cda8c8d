"""Residuals at the crossings: put together from both families of lines, kept with the bench."""

import numpy as np

from geometry.bench import Bench, Camera, Residuals, bench_from_record, bench_to_record
from geometry.bench.residuals import node_residuals

DOWN = np.diag([1.0, -1.0, -1.0])


def test_a_node_moved_aside_is_told_from_the_lines_through_it():
    # Two skew families; every line near node (1, 1) was seen moved by (0.3, -0.2) px.
    nodes = np.array([[i, j] for i in range(3) for j in range(3)])
    start, end, normals = [], [], []
    for i, j in nodes:
        if i < 2:
            start.append((i, j))
            end.append((i + 1, j))
            normals.append((0.1, np.sqrt(0.99)))
        if j < 2:
            start.append((i, j))
            end.append((i, j + 1))
            normals.append((np.sqrt(0.96), 0.2))
    normals = np.array(normals)
    moved = np.array([0.3, -0.2])
    away = node_residuals(nodes, (np.array(start), np.array(end)), normals, normals @ moved)
    np.testing.assert_allclose(away, np.tile(moved, (9, 1)), atol=1e-6)


def test_residuals_are_kept_with_the_bench():
    camera = Camera(3000.0, (2000.0, 1500.0), 0.0, 0.0, DOWN, np.array([0.0, 0.0, 400.0]))
    seen = Residuals(np.array([[10.0, 20.0]]), np.array([[0.3, -0.4]]), np.array([0.066]))
    back = bench_from_record(bench_to_record(Bench((4000, 3000), camera, residuals=seen)))
    for name in ("places_px", "away_px", "away_mm"):
        np.testing.assert_array_equal(getattr(back.residuals, name), getattr(seen, name))
    bare = bench_from_record(bench_to_record(Bench((4000, 3000), camera)))
    assert len(bare.residuals) == 0
