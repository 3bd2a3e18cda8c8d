"""Answers are asked for once, and never mistaken for another's."""

import numpy as np

from geometry.assembly import Part
from geometry.assembly.solids.cache import BoundedCache, part_key
from geometry.outline import rectangle
from geometry.part import Stock

PLY = Stock("ply", 3.0, 0.2)


def test_an_answer_is_computed_once_and_the_oldest_is_let_go():
    memo, asked = BoundedCache(2), []

    def ask(key):
        return memo.get(key, (), lambda: asked.append(key) or key.upper())

    assert [ask(k) for k in "abab"] == ["A", "B", "A", "B"]
    assert asked == ["a", "b"]
    ask("c")
    ask("b")
    ask("a")
    assert asked == ["a", "b", "c", "a"]


def test_what_is_kept_is_kept_alive():
    memo = BoundedCache(8)
    keys = set()
    for i in range(8):
        profile = rectangle(10.0 + i, 5.0)
        memo.get(id(profile), (profile,), lambda: None)
        keys.add(id(profile))
        del profile
    # Had one been let go, its id could have come back.
    assert len(keys) == 8


def test_a_part_is_told_by_outline_thickness_and_pose_but_not_by_name():
    shape, pose = rectangle(10.0, 5.0), np.eye(4)
    part = Part(shape, PLY, pose, "a")
    moved = np.eye(4)
    moved[0, 3] = 1e-9
    assert part_key(part) == part_key(Part(shape, PLY, np.eye(4), "b"))
    assert part_key(part) != part_key(Part(shape, PLY, moved, "a"))
    assert part_key(part) != part_key(Part(shape, Stock("ply", 2.7, 0.2), pose, "a"))
    assert part_key(part) != part_key(Part(rectangle(10.0, 5.0), PLY, pose, "a"))
