"""A box in one act: its boards, drawn to outside size and posed, and the joints between them."""

import itertools
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..arrays import FloatArray, Matrix
from ..errors import AssemblyError
from ..outline.curves import rectangle, subtract
from ..part.stock import Stock
from .joints import FingerRule, Joint
from .solids import Part

__all__ = ["BoxRule", "box_boards", "twins_of"]

RIM = 3.0
"""Width of a lid's inner rim in thicknesses of the board: common practice, no source."""
AXES = ((1, 2), (2, 0), (0, 1))
"""For boards across x, y and z the axes of the world that their own x and y follow."""
NAMES = (("Left", "Right"), ("Front", "Back"), ("Bottom", "Top"))


@dataclass(frozen=True, slots=True)
class BoxRule:
    """Size of a box along x, y, z (mm), outside or inside, and what is on top.

    "closed": a sixth board, joined like the others. "open": none. "lid": a board that lies on the
    walls, with a rim glued under it that reaches inside; ``play_mm`` is what the rim is smaller
    than the hollow, all told. The height of a box with a lid includes the lid. ``foot_mm`` is the
    place in the world in the middle under its bottom.
    """

    width_mm: float
    depth_mm: float
    height_mm: float
    sizes: Literal["outside", "inside"] = "outside"
    top: Literal["closed", "open", "lid"] = "closed"
    play_mm: float = 0.4
    foot_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)


def box_boards(
    rule: BoxRule, stock: Stock, clearance_mm: float = 0.0, fingers: FingerRule | None = None
) -> tuple[list[Part], list[Joint]]:
    """Return the boards of a box that stands upright, and the finger joints between them.

    Parameters
    ----------
    rule
        Size and top of the box.
    stock
        What all boards are cut from.
    clearance_mm, fingers
        Of every joint; see `finger_joint`.

    Raises
    ------
    AssemblyError
        If a size is no length, or leaves no hollow for these boards.
    """
    thickness = stock.thickness_mm
    size = _outside(rule, thickness)
    body = size.copy()
    if rule.top == "lid":
        body[2] -= thickness
    if not (np.isfinite(size).all() and (body > 2.0 * thickness + 1e-9).all()):
        raise AssemblyError(
            "A box of {width_mm:.1f} × {depth_mm:.1f} × {height_mm:.1f} mm outside has no hollow "
            "between boards of {thickness_mm:.2f} mm. Give larger sizes, or thinner boards.",
            width_mm=size[0],
            depth_mm=size[1],
            height_mm=size[2],
            thickness_mm=thickness,
        )
    parts = [
        _board(body, axis, upper, stock)
        for axis, upper in itertools.product(range(3), (False, True))
        if (axis, upper) != (2, True) or rule.top == "closed"
    ]
    normals = [part.pose[:3, 2] for part in parts]
    joints = [
        Joint(i, j, "finger", clearance_mm, fingers=fingers or FingerRule())
        for i, j in itertools.combinations(range(len(parts)), 2)
        if abs(float(normals[i] @ normals[j])) < 0.5
    ]
    if rule.top == "lid":
        parts += _lid(rule, size, stock)
    for part in parts:
        part.pose[:3, 3] += rule.foot_mm
    return parts, joints


def twins_of(parts: Sequence[Part], joints: Sequence[Joint]) -> list[int]:
    """For each board the first that is joined alike, so that one shape does for both; or itself.

    Opposite boards of a box are as large, drawn the same way round and joined at the same edges.
    """
    edges = Counter(index for joint in joints for index in (joint.a, joint.b))
    first: list[int] = []
    for index, part in enumerate(parts):
        turn = part.pose[:3, :3]
        alike = (
            i
            for i in range(index)
            if edges[i] == edges[index] > 0
            and np.array_equal(parts[i].pose[:3, :3], turn)
            and parts[i].profile == part.profile
        )
        first.append(next(alike, index))
    return first


def _outside(rule: BoxRule, thickness: float) -> FloatArray:
    size = np.array([rule.width_mm, rule.depth_mm, rule.height_mm], dtype=np.float64)
    if rule.sizes == "inside":
        size += 2.0 * thickness
        if rule.top == "open":
            size[2] -= thickness
    return size


def _board(size: FloatArray, axis: int, upper: bool, stock: Stock) -> Part:
    """One side of a box, as large as that side."""
    u, v = AXES[axis]
    pose = np.eye(4)
    pose[:3, :3] = np.eye(3)[[u, v, axis]].T
    pose[axis, 3] = (0.5 if upper else -0.5) * (size[axis] - stock.thickness_mm)
    pose[2, 3] += 0.5 * size[2]
    profile = rectangle(float(size[u]), float(size[v]))
    return Part(profile, stock, pose, NAMES[axis][upper])


def _lid(rule: BoxRule, size: FloatArray, stock: Stock) -> list[Part]:
    """A board that lies on the walls, and the rim under it."""
    t = stock.thickness_mm
    width, depth = float(size[0]), float(size[1])
    inner = (width - 2.0 * t - rule.play_mm, depth - 2.0 * t - rule.play_mm)
    if not (math.isfinite(rule.play_mm) and rule.play_mm >= 0.0 and min(inner) > t):
        raise AssemblyError(
            "The rim of the lid would be {width_mm:.1f} × {depth_mm:.1f} mm. Give a larger box or "
            "less play.",
            width_mm=inner[0],
            depth_mm=inner[1],
        )
    rim = rectangle(*inner)
    width_hole, depth_hole = (length - 2.0 * RIM * t for length in inner)
    if min(width_hole, depth_hole) > t:
        rim = subtract(rim, rectangle(width_hole, depth_hole))
    return [
        Part(rectangle(width, depth), stock, _at(size[2] - 0.5 * t), "Lid"),
        Part(rim, stock, _at(size[2] - 1.5 * t), "Rim"),
    ]


def _at(height_mm: float) -> Matrix:
    pose = np.eye(4)
    pose[2, 3] = height_mm
    return pose
