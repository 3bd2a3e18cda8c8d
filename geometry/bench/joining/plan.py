"""What lies on a gridded mat, seen from above in cells of a whole part of its pitch."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Point, Points
from ...photo.reading import Photo
from ..bench import Bench
from .lattice import Lattice

__all__ = ["Plan", "cells_per_pitch", "plan_of"]

MOST_CELLS = 400
"""Along the longer side, where the pitch allows: cells of 1 mm for a photo of A3, in which a card's
edge is told to a cell. Chosen for speed: a Fourier transform of 800 × 800 takes 0.03 s."""
SAMPLES = 4
"""Samples along a side of a cell; their mean no longer shows which pixels they fell on."""


@dataclass(frozen=True, slots=True, eq=False)
class LightSteps:
    """``steps`` (6, rows, columns) of light across and along cells; ``known`` (rows, columns)."""

    steps: FloatArray
    known: NDArray[np.bool_]

    @property
    def mean_square(self) -> float:
        """Of a cell's steps together."""
        return float((self.steps**2).sum() / max(int(self.known.sum()), 1))


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Cells of ``side_mm`` from crossing to crossing, ``per_pitch`` of them in a pitch.

    ``light`` (rows, columns, 3) root of light without the mat's lines, rows upwards; ``seen``
    (rows, columns) which the photo shows; ``low_mm`` the corner of the first.
    """

    light: FloatArray
    seen: NDArray[np.bool_]
    side_mm: float
    per_pitch: int
    low_mm: Point

    def light_steps(self) -> "LightSteps":
        """How light changes to both sides of every cell."""
        across = np.zeros_like(self.light)
        along = np.zeros_like(self.light)
        across[:, 1:-1] = self.light[:, 2:] - self.light[:, :-2]
        along[1:-1] = self.light[2:] - self.light[:-2]
        known = np.zeros_like(self.seen)
        near = (self.seen[1:-1, 1:-1], self.seen[1:-1, 2:], self.seen[1:-1, :-2])
        known[1:-1, 1:-1] = np.logical_and.reduce(
            (*near, self.seen[2:, 1:-1], self.seen[:-2, 1:-1])
        )
        steps = np.concatenate((across, along), axis=2)
        steps[~known] = 0.0
        return LightSteps(np.moveaxis(steps, 2, 0), known)

    def turned(self, quarters: int) -> "Plan":
        """The same turned about the bench's origin by so many quarter turns to the left."""
        plan = self
        for _ in range(quarters % 4):
            rows = plan.light.shape[0]
            x, y = plan.low_mm
            plan = Plan(
                plan.light.transpose(1, 0, 2)[:, ::-1],
                plan.seen.T[:, ::-1],
                plan.side_mm,
                plan.per_pitch,
                (-(y + rows * plan.side_mm), x),
            )
        return plan


def cells_per_pitch(bench: Bench, pitch_mm: float) -> int:
    """So many cells of a photo's plan go on a pitch of its grid."""
    places = bench.to_plane(_border(bench))
    longer = float((places.max(axis=0) - places.min(axis=0)).max())
    return max(1, round(pitch_mm * MOST_CELLS / longer))


def _border(bench: Bench) -> Points:
    """Corners and middles of a photo's sides, px."""
    w, h = bench.size_px
    return np.array([(x * w / 2, y * h / 2) for x in range(3) for y in range(3)])


def plan_of(photo: Photo, bench: Bench, lattice: Lattice, per_pitch: int, height_mm: float) -> Plan:
    """What lies on a bench, as cells.

    Parameters
    ----------
    photo, bench
        The picture and its true scale.
    lattice
        Of the bench's grid.
    per_pitch
        Cells on a pitch.
    height_mm
        Of the faces that are compared, above the bench: they are seen where they are.
    """
    w, h = photo.size_px
    places = bench.to_plane(_border(bench), height_mm)
    low, high = places.min(axis=0), places.max(axis=0)
    pitch = lattice.pitch_mm
    side = pitch / per_pitch
    first = np.floor((low - lattice.origin_mm) / pitch)
    corner = first * pitch + lattice.origin_mm
    columns, rows = per_pitch * np.ceil((high - corner) / pitch).astype(int)
    offsets = (np.arange(SAMPLES) + 0.5) / SAMPLES
    x = corner[0] + side * (np.arange(columns)[:, None] + offsets).ravel()
    y = corner[1] + side * (np.arange(rows)[:, None] + offsets).ravel()
    total = np.zeros((rows, columns, 3))
    seen = np.ones((rows, columns), dtype=bool)
    for row in range(rows):
        strip = y[row * SAMPLES : (row + 1) * SAMPLES]
        mesh = np.stack(np.meshgrid(x, strip), axis=-1).reshape(-1, 2)
        at = np.round(bench.to_photo(mesh, height_mm)).astype(int)
        inside = ((at >= 0) & (at < (w, h))).all(axis=1)
        at = np.clip(at, 0, (w - 1, h - 1))
        # A coded value goes about as the square root of light (IEC 61966-2-1).
        light = photo.pixels[at[:, 1], at[:, 0]] / 255.0
        total[row] = light.reshape(SAMPLES, columns, SAMPLES, 3).mean(axis=(0, 2))
        seen[row] = inside.reshape(SAMPLES, columns, SAMPLES).all(axis=(0, 2))
    return Plan(_without_lines(total, per_pitch), seen, side, per_pitch, (corner[0], corner[1]))


def _without_lines(light: FloatArray, per_pitch: int) -> FloatArray:
    """Light with what is narrower than half a pitch taken away, edges kept (Tukey's median)."""
    reach = per_pitch // 2
    for axis in (0, 1):
        wide = np.pad(light, [(reach, reach) if k == axis else (0, 0) for k in range(3)], "edge")
        runs = np.lib.stride_tricks.sliding_window_view(wide, 2 * reach + 1, axis=axis)
        light = np.median(runs, axis=-1)
    return light
