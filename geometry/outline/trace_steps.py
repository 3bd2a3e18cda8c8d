"""What light steps of one blur draw across an edge, and how much of cuts through a photo it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Points
from .trace_light import Blurs, LightCrop

__all__ = ["StepWindow", "cuts_across", "power_drawn", "step_bases"]

NEW = 1e-6
"""A level whose share that is not drawn by others is less is none of its own."""


def cuts_across(light: LightCrop, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(K, N, T) light of each channel along each direction, its mean taken off."""
    x, y = places[:, :1] + t * outward[:, :1], places[:, 1:] + t * outward[:, 1:]
    cuts = np.array(light.each_at(x, y), dtype=np.float64)
    return np.asarray(cuts - cuts.mean(axis=-1, keepdims=True))


@dataclass(frozen=True, slots=True)
class StepWindow:
    """What steps at given places draw in a window laid across the edge, by a picture's channels.

    ``t`` is where the window is sampled, px, ``weight`` (T,) how much each sample counts, ``bases``
    (T, C, levels) for each channel an orthonormal basis of what steps at each place can draw.
    """

    t: FloatArray
    weight: FloatArray
    bases: tuple[FloatArray, ...]

    @classmethod
    def of(
        cls,
        t: FloatArray,
        weight: FloatArray,
        places: FloatArray,
        widths: FloatArray,
        blurs: Blurs,
        share: float = math.inf,
    ) -> StepWindow:
        """For (C,) places, with a second step (C,) px after each where that is more than 0.

        ``share`` is what of all change in the first channel the first step is, if that is known.
        """
        weights = np.broadcast_to(weight, (len(places), len(t)))
        bases = [
            step_bases(t, places, widths, blur, weights, math.inf if k else share)
            for k, blur in enumerate(blurs)
        ]
        return cls(t, weight, tuple(bases))

    def seen(self, light: LightCrop, places: Points, outward: Points) -> FloatArray:
        """(K, N, T) weighted cuts along (N, 2) directions from as many places."""
        return cuts_across(light, places, outward, self.t) * self.weight

    def power(self, seen: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(N,) power of weighted cuts, and what an even light draws of it."""
        even = ((seen @ self.weight) ** 2).sum(axis=0) / (self.weight @ self.weight)
        return np.einsum("kij,kij->i", seen, seen), even

    def drawn(self, seen: FloatArray) -> FloatArray:
        """(N, C) power of weighted cuts that steps at each of the places draw."""
        return np.sum(
            [power_drawn(cuts, bases) for cuts, bases in zip(seen, self.bases, strict=True)], axis=0
        )


def power_drawn(cuts: FloatArray, bases: FloatArray) -> FloatArray:
    """(N, C) power of (N, T) cuts that each of (T, C, levels) bases draws."""
    size, count, levels = bases.shape
    shares = cuts @ bases.reshape(size, count * levels)
    return np.asarray((shares**2).reshape(len(cuts), count, levels).sum(axis=2))


def step_bases(
    t: FloatArray,
    places: FloatArray,
    widths: FloatArray,
    blur: float,
    weight: FloatArray,
    share: float = math.inf,
) -> FloatArray:
    """Orthonormal (T, C, levels) bases of what levels and steps at (C,) places can draw.

    ``weight`` (C, T) is how much each sample counts for each of them; ``share`` what of all change
    the first of two steps is, if that is known.
    """
    first = _risen((t - places[:, None]) / blur)
    columns = [1.0 - first, first]
    if widths[0] > 0.0:
        second = _risen((t - (places + widths)[:, None]) / blur)
        columns = [1.0 - first, first - second, second]
        if math.isfinite(share):
            # Steps of a known ratio are one: neither is taken for the other.
            both = share * first + (1.0 - share) * second
            columns = [1.0 - both, both]
    # Of two or three columns each Gram and Schmidt take a quarter of the time of a QR of many.
    found: list[FloatArray] = []
    for column in columns:
        seen = column * weight
        size = np.sqrt(np.einsum("ct,ct->c", seen, seen))
        for known in found:
            seen -= np.einsum("ct,ct->c", seen, known)[:, None] * known
        left = np.sqrt(np.einsum("ct,ct->c", seen, seen))
        # What others draw already, as a foot beyond the window is, draws nothing more.
        found.append(
            seen * np.where(left > NEW * size, 1.0 / np.maximum(left, 1e-300), 0.0)[:, None]
        )
    return np.ascontiguousarray(np.stack(found, axis=-1).transpose(1, 0, 2))


def _risen(x: FloatArray) -> FloatArray:
    """Normal distribution function to 1e-4, enough for a blurred step (logistic with a cubic)."""
    return 1.0 / (1.0 + np.exp(-np.clip(1.5976 * x + 0.07056 * x**3, -60.0, 60.0)))
