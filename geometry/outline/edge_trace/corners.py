"""Corners put back where two sides meet: a lens rounds them by about its blur."""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray, Points

__all__ = ["restored_corners"]

LEFT_OUT_PX, ASKED_PX = 3.0, 9.0
"""Of each side the first is left out, where the corner's blur bends it; so much more is fitted."""
LEAST_TURN_RAD = 0.5
"""A smaller turn loses less than a tenth of a pixel to the blur."""
ROUNDED = 1.2
"""Blurs by which a right-angled tip is lost over half its angle's sine; chosen by eye, to be
derived from the blur."""
SLACK_PX = 0.4
"""A meeting place farther off than blur rounds a tip was none: no corner is invented there."""
STRAIGHT_PX = 0.25
"""Sides that leave their line by more, root of the mean square, tell no corner."""


def restored_corners(points: Points, told: FloatArray, blur_px: float) -> tuple[Points, FloatArray]:
    """(N, 2) closed ring and (N, …) what is told of it, its rounded corners made sharp."""
    steps = np.hypot(*np.diff(points, axis=0, append=points[:1]).T)
    pace = max(float(np.median(steps)), 1e-6)
    near, far = max(1, round(LEFT_OUT_PX / pace)), max(4, round(ASKED_PX / pace))
    count = len(points)
    if count < 4 * far:
        return points, told
    before = (
        points - np.roll(points, near, axis=0),
        np.roll(points, near, axis=0) - np.roll(points, far, axis=0),
    )
    after = np.roll(points, -far, axis=0) - np.roll(points, -near, axis=0)
    one, two = before[1], after
    turn = np.arctan2(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0], (one * two).sum(axis=1))
    sharp = np.abs(turn)
    corners: list[tuple[int, Points]] = []
    taken = np.zeros(count, dtype=bool)
    for k in np.argsort(-sharp):
        if sharp[k] < LEAST_TURN_RAD:
            break
        if taken[(k + np.arange(-near, near + 1)) % count].any():
            continue
        sides = [points[(k + sign * np.arange(near, far + 1)) % count] for sign in (-1, 1)]
        lines = [_line(side) for side in sides]
        meeting = _meeting(lines[0], lines[1])
        taken[(k + np.arange(-far // 2, far // 2 + 1)) % count] = True
        if meeting is None or max(lines[0][2], lines[1][2]) > STRAIGHT_PX:
            continue
        around = points[(k + np.arange(-near, near + 1)) % count]
        lost = float(np.hypot(*(around - meeting).T).min())
        if lost > (ROUNDED * blur_px + SLACK_PX) / max(np.cos(sharp[k] / 2.0), 0.2):
            continue
        corners.append((int(k), meeting))
    if not corners:
        return points, told
    drop = np.zeros(count, dtype=bool)
    moved = points.copy()
    for k, meeting in corners:
        around = (k + np.arange(-near + 1, near)) % count
        drop[around] = True
        moved[k] = meeting
    for k, _ in corners:
        drop[k] = False
    return moved[~drop], told[~drop]


def _line(side: Points) -> tuple[Points, Points, float]:
    """Middle, direction and root mean square deviation of the line through points."""
    middle = side.mean(axis=0)
    _, size, axes = np.linalg.svd(side - middle, full_matrices=False)
    return middle, axes[0], float(size[1] / np.sqrt(len(side)))


def _meeting(one: tuple[Points, Points, float], two: tuple[Points, Points, float]) -> Points | None:
    cross = float(one[1][0] * two[1][1] - one[1][1] * two[1][0])
    if abs(cross) < 0.2:
        return None
    away = two[0] - one[0]
    along = float(away[0] * two[1][1] - away[1] * two[1][0]) / cross
    return np.asarray(one[0] + along * one[1])
