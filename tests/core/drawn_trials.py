"""Trace pen lines drawn at random on paper, and say how far off their middle is."""

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from geometry.outline import trace_drawn
from tests.core.part_pictures import BLACK, BLUE, KRAFT, PALE, WHITE, camera_over, picture
from tests.core.trace_trials import shape_of, trial_of

PENS_MM = (0.3, 0.5, 0.7, 1.0, 1.6, 2.0)
INKS = (BLACK, BLUE, (0.5, 0.04, 0.05), (0.3,) * 3, (0.45,) * 3)
MARGIN_MM, GRID_MM = 12.0, 5.0


def _sketch(rng):
    """A shape, the paper it is drawn on, and the patches that draw it, with grid and sizes."""
    shape = shape_of(rng)
    shape = Polygon(shape.exterior, [h for h in shape.interiors if Polygon(h).area > 30.0])
    pen, paper = float(rng.choice(PENS_MM)), (WHITE, WHITE, PALE, KRAFT)[rng.integers(4)]
    ink = np.array(INKS[rng.integers(len(INKS))]) * (1.0 if paper is WHITE else 0.5)
    west, south, east, _ = shape.bounds
    left, low, right, high = box(*shape.bounds).buffer(MARGIN_MM).bounds
    strokes = [ring.buffer(pen / 2.0) for ring in (shape.exterior, *shape.interiors)]
    if rng.random() < 0.4:
        strokes.append(LineString([(west, south - 8), (east, south - 8)]).buffer(pen / 2.0))
        strokes.append(LineString([(west, south - 1.5), (west, south - 9)]).buffer(pen / 2.0))
    patches = [(shapely.union_all(strokes), tuple(ink))]
    if rng.random() < 0.4:
        lines = [LineString([(left, y), (right, y)]) for y in np.arange(low, high, GRID_MM)]
        lines += [LineString([(x, low), (x, high)]) for x in np.arange(left, right, GRID_MM)]
        printed = shapely.union_all([line.buffer(0.08) for line in lines])
        patches.insert(0, (printed, tuple(0.75 * np.array(paper))))
    return shape, pen, paper, box(left, low, right, high), patches


def try_drawn(seed):
    """Draw one sketch, trace it and measure the outline both ways; the kind is the pen's width."""
    rng = np.random.default_rng([7, seed])
    shape, pen, paper, sheet, patches = _sketch(rng)
    scale = rng.uniform(6.0, 12.0)
    reach = scale * (2.0 * np.hypot(*shapely.get_coordinates(sheet).T).max() + 6.0)
    size = (int(reach), int(0.95 * reach))
    bench = camera_over(size, scale, rng.uniform(0.0, 20.0), rng.uniform(0.0, 360.0), lens=2.5)
    look = {"jpeg": int(rng.choice([80, 92])), "vignette": 0.25, "blur_px": rng.uniform(0.7, 1.5)}
    photo = picture(bench, sheet, face=paper, patches=patches, seed=seed, **look)
    place = shapely.maximum_inscribed_circle(shape, 0.1).coords[0]
    click = tuple(bench.to_photo(np.array([place]), 0.0)[0])
    return trial_of(f"pen of {pen:g} mm", seed, shape, lambda: trace_drawn(photo, bench, click))
