"""Mixtures of Gaussian colours: what a bed or a face looks like.

Fitted by k-means (Lloyd 1982), each group with its own covariance, which is what Rother, Kolmogorov
and Blake (GrabCut, 2004) found to be enough.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, dots, subsample

__all__ = ["TINT", "Mixture", "between", "fit_mixture", "normal"]

SAMPLES = 4000
"""So many colours tell a mixture as well as all do."""
ROUNDS = 9
SHORTEST = 1e-3
"""Colours no farther apart than that are as dense as if they were."""
TINT = 0.05
"""Share by which shade may differ in colour from light: the sky's or the room's against the
lamp's."""


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """(K,) weights, (K, 3) means and (K, 3, 3) covariances."""

    weights: FloatArray
    means: FloatArray
    covariances: FloatArray

    def density(self, colours: FloatArray) -> FloatArray:
        """(…) of (…, 3) colours, in single precision."""
        white = np.linalg.inv(np.linalg.cholesky(self.covariances)).astype(np.float32)
        least = np.einsum("kij,kj->ik", white, self.means.astype(np.float32))
        share = self.weights * np.prod(np.diagonal(white, axis1=1, axis2=2), axis=1)
        # Row by row of all colours: numpy is slow along short rows.
        seen = np.ascontiguousarray(colours.reshape(-1, 3).T, dtype=np.float32)
        off2 = np.zeros((len(white), seen.shape[1]), dtype=np.float32)
        for way, low in zip(white.transpose(1, 0, 2), least, strict=True):
            off = way @ seen - low[:, None]
            off2 += off * off
        odds = np.exp(-0.5 * off2, out=off2)
        found = (share / (2.0 * np.pi) ** 1.5).astype(np.float32) @ odds
        return np.asarray(found.reshape(colours.shape[:-1]), dtype=np.float64)

    def shaded(self, colours: FloatArray, least: float = 0.0, most: float = 1.0) -> FloatArray:
        """(…) density of (…, 3) colours in other light: from ``least`` to ``most`` of it."""
        seen = colours.reshape(-1, 3)
        squares, found = dots(seen, seen), np.zeros(len(seen))
        # As `between` does, but all colours of a group lie on one ray, so that they are numbers.
        along, length2 = self.means @ seen.T, dots(self.means, self.means)
        for weight, own, long2, noise in zip(
            self.weights, along, length2, self.covariances, strict=True
        ):
            share = np.clip(own / max(long2, 1e-6), least, most)
            off2 = np.maximum(squares - share * (2.0 * own - share * long2), 0.0)
            across = _across(off2, share * share * long2, noise)
            found += weight / max((most - least) * np.sqrt(long2), SHORTEST) * across
        return found.reshape(colours.shape[:-1])

    def nearest(self, colours: FloatArray) -> Indices:
        """(N,) number of the mean nearest to each of (N, 3) colours."""
        return _nearest(colours, self.means)

    def joined(self, other: Mixture) -> Mixture:
        """Both, each for half of all."""
        weights = 0.5 * np.concatenate((self.weights, other.weights))
        means = np.concatenate((self.means, other.means))
        return Mixture(weights, means, np.concatenate((self.covariances, other.covariances)))

    def under(self, share: FloatArray, covariance: FloatArray) -> Mixture:
        """The same in other light: (3,) shares of its root that channels keep, and their spread."""
        off = covariance * self.means[:, :, None] * self.means[:, None]
        kept = self.covariances * np.outer(share, share)
        return Mixture(self.weights, self.means * share, kept + off)

    def kept(self, which: NDArray[np.bool_]) -> Mixture:
        """Some of the groups."""
        weights = self.weights[which]
        return Mixture(weights / weights.sum(), self.means[which], self.covariances[which])


def normal(away: FloatArray, covariance: FloatArray) -> FloatArray:
    """(…) density of (…, D) deviations."""
    root = np.linalg.cholesky(covariance)
    white = away @ np.linalg.inv(root).T
    norm = np.prod(np.diag(root)) * (2.0 * np.pi) ** (0.5 * len(root))
    return np.asarray(np.exp(-0.5 * dots(white, white)) / norm)


def between(seen: FloatArray, one: FloatArray, two: FloatArray, noise: FloatArray) -> FloatArray:
    """(…) density of any colour between two, (…, 3) or (3,).

    Parameters
    ----------
    seen : (…, 3) float
        Colours.
    one, two
        The two.
    noise : (3, 3) float
        Covariance of what is off them.
    """
    away, way = seen - one, two - one
    length2, along, start = dots(way, way), dots(away, way), dots(one, way)
    share = np.clip(along / np.maximum(length2, 1e-6), 0.0, 1.0)
    off2 = np.maximum(dots(away, away) - share * (2.0 * along - share * length2), 0.0)
    nearest2 = dots(one, one) + share * (2.0 * start + share * length2)
    return np.asarray(_across(off2, nearest2, noise) / np.maximum(np.sqrt(length2), SHORTEST))


def _across(off2: FloatArray, nearest2: FloatArray, noise: FloatArray) -> FloatArray:
    """(…) density of colours beside a line of them, by squares of their distance and its colour."""
    spread2 = (np.trace(noise) + TINT**2 * nearest2) / 3.0
    return np.asarray(np.exp(-0.5 * off2 / spread2) / (2.0 * np.pi * spread2))


def _nearest(colours: FloatArray, means: FloatArray) -> Indices:
    """(N,) number of the mean nearest to each of (N, D) colours."""
    away = 0.5 * dots(means, means)[:, None] - means @ colours.T
    return np.asarray(np.argmin(away, axis=0))


def fit_mixture(colours: FloatArray, noise: FloatArray, count: int = 5) -> Mixture:
    """Fit (N, 3) colours by at most ``count`` groups; (3, 3) ``noise`` is the least covariance.

    Parameters
    ----------
    colours, noise
        (N, 3) colours, and their (3, 3) least covariance.
    count
        At most so many groups.
    """
    colours = subsample(np.asarray(colours, dtype=np.float64), SAMPLES)
    # Start along the widest direction, at equal shares: no chance in it.
    spread = colours - colours.mean(axis=0)
    axis = np.linalg.eigh(spread.T @ spread)[1][:, -1]
    order = np.argsort(spread @ axis, kind="stable")
    groups = [colours[part] for part in np.array_split(order, count) if len(part)]
    for _ in range(ROUNDS):
        nearest = _nearest(colours, np.array([group.mean(axis=0) for group in groups]))
        groups = [colours[nearest == k] for k in np.unique(nearest)]
    weights = np.array([len(group) for group in groups]) / len(colours)
    centers = np.array([group.mean(axis=0) for group in groups])
    covariances = np.array([np.atleast_2d(np.cov(group.T, bias=True)) + noise for group in groups])
    return Mixture(weights, centers, covariances)
