"""Bodies wait clear of what stands, and end where they belong."""

import numpy as np
import pytest

from geometry.assembly import Step
from geometry.assembly.sequence.motion import apart


def block(x0, x1):
    return np.array([(x, y, z) for x in (x0, x1) for y in (0.0, 10.0) for z in (0.0, 10.0)])


def test_a_pushed_body_starts_clear_and_ends_in_place():
    steps = [Step((0,), (0.0, 0.0, 0.0)), Step((1,), (1.0, 0.0, 0.0))]
    moves = apart(steps, [block(0.0, 30.0), block(-5.0, 12.0)], gap_mm=20.0)
    assert moves.shape == (3, 2, 3)
    assert np.abs(moves[:, 0]).max() == 0.0
    # Its front at 12 waits 20 before the other's back at 0.
    assert moves[0, 1] == pytest.approx([-32.0, 0.0, 0.0])
    assert moves[1, 1] == pytest.approx([-32.0, 0.0, 0.0])
    assert moves[2, 1] == pytest.approx([0.0, 0.0, 0.0])


def test_a_group_moves_together_and_its_members_move_within_it():
    steps = [
        Step((0,), (0.0, 0.0, 0.0)),
        Step((1,), (0.0, 0.0, 0.0)),
        Step((2,), (0.0, 1.0, 0.0)),
        Step((1, 2), (0.0, 0.0, -1.0)),
    ]
    moves = apart(steps, [block(0.0, 30.0), block(0.0, 10.0), block(0.0, 10.0)], gap_mm=5.0)
    # Before the last push both wait above; before its own, body 2 is also behind.
    assert moves[3, 1] == pytest.approx([0.0, 0.0, 15.0])
    assert moves[3, 2] == pytest.approx([0.0, 0.0, 15.0])
    assert moves[2, 2] == pytest.approx([0.0, -15.0, 15.0])
    assert np.abs(moves[4]).max() == 0.0
