"""What light steps of one blur draw across an edge, and how much of cuts through a photo it is.

An even light tells of no edge: all is measured as what is drawn beyond it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray, Points
from .light import Blurs, LightCrop

__all__ = ["StepWindows", "cuts_across"]

NEW = 1e-6
"""A level whose share that is not drawn by others is less is none of its own."""


def cuts_across(light: LightCrop, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(K, N, T) light of each channel along each direction, its mean taken off."""
    cuts = light.along(places, outward, t).astype(np.float64)
    return np.asarray(cuts - cuts.mean(axis=-1, keepdims=True))


@dataclass(frozen=True, slots=True)
class StepWindows:
    """What steps at given places draw in windows laid across edges of W kinds, by channels.

    ``t`` (T,) is where all windows are sampled, px, ``weight`` (W, C or 1, T) how much each sample
    counts, ``bases`` for each channel and kind (levels, T, C) what, times a cut, is the share of
    the cut that each level of steps at each of C places draws.
    """

    t: FloatArray
    weight: FloatArray
    bases: tuple[list[FloatArray], ...]

    @classmethod
    def of(
        cls,
        t: FloatArray,
        weight: FloatArray,
        places: FloatArray,
        widths: FloatArray,
        blurs: Blurs,
        share: FloatArray,
    ) -> StepWindows:
        """For (C,) places, with a second step (W, C) px after each where that is more than 0.

        ``share`` (W,) is what of all change in the first channel the first step is, else infinite.
        """
        # Nothing tells how another mixture of colours changes at either edge.
        unknown = np.full(len(share), np.inf)
        bases = [
            _bases(t, weight, places, widths, blur, unknown if k else share)
            for k, blur in enumerate(blurs)
        ]
        return cls(t, weight, tuple(bases))

    def power(self, cuts: FloatArray, kinds: Sequence[slice]) -> FloatArray:
        """(N,) weighted power of (K, N, T) cuts, those of each kind in one run."""
        power = np.zeros(cuts.shape[1])
        for weight, mine in zip(self.weight[:, 0] ** 2, kinds, strict=True):
            seen = cuts[:, mine]
            even = (seen @ weight) ** 2 / weight.sum()
            power[mine] = (seen**2 @ weight - even).sum(axis=0)
        return power

    def drawn(self, cuts: FloatArray, kinds: Sequence[slice]) -> FloatArray:
        """(N, C) what steps at each of the places draw of that power."""
        drawn = np.zeros((cuts.shape[1], self.bases[0][0].shape[2]))
        for channel, bases in zip(cuts, self.bases, strict=True):
            for basis, mine in zip(bases, kinds, strict=True):
                drawn[mine] += np.square(channel[mine] @ basis).sum(axis=0)
        return drawn


def _bases(
    t: FloatArray,
    weight: FloatArray,
    places: FloatArray,
    widths: FloatArray,
    blur: float,
    share: FloatArray,
) -> list[FloatArray]:
    """For each kind (levels, T, C) weighted orthonormal bases of what its steps can draw."""
    first = np.broadcast_to(_risen((t - places[:, None]) / blur), (*widths.shape, len(t)))
    columns = [first]
    walled = widths[:, 0] > 0.0
    if walled.any():
        second = _risen((t - (places + widths)[..., None]) / blur)
        # Steps of a known ratio are one: neither is taken for the other.
        known = walled & np.isfinite(share)
        part = np.where(known, share, 1.0)[:, None, None]
        columns = [part * first + (1.0 - part) * second]
        if (walled & ~known).any():
            columns.append(second * (walled & ~known)[:, None, None])
    # Of two or three columns each Gram and Schmidt take a quarter of the time of a QR of many.
    found = [np.broadcast_to(weight / np.linalg.norm(weight, axis=2, keepdims=True), first.shape)]
    for column in columns:
        seen = column * weight
        size = np.sqrt(np.einsum("wct,wct->wc", seen, seen))
        for known_one in found:
            seen = seen - np.einsum("wct,wct->wc", seen, known_one)[..., None] * known_one
        left = np.sqrt(np.einsum("wct,wct->wc", seen, seen))
        # What others draw already, as a foot beyond the window is, draws nothing more.
        own = np.where(left > NEW * size, 1.0 / np.maximum(left, 1e-300), 0.0)
        found.append(seen * own[..., None])
    bases = [np.swapaxes(level * weight, 1, 2) for level in found[1:]]
    return [np.ascontiguousarray(levels) for levels in np.stack(bases, axis=1)]


def _risen(x: FloatArray) -> FloatArray:
    """Normal distribution function to 1e-4, enough for a blurred step (logistic with a cubic)."""
    return 1.0 / (1.0 + np.exp(-np.clip(1.5976 * x + 0.07056 * x**3, -60.0, 60.0)))
