"""Parts that touch along a dark seam, and lines drawn across one part that look like it."""

import pytest

from tests.core.trace_trials import try_part


@pytest.mark.parametrize("seed", [700, 702, 703, 924])
def test_a_hair_seam_parts_what_touches_where_the_edge_turns_in(seed):
    trial = try_part("touching, with a seam", seed)
    assert trial.is_good, trial


def test_a_pen_line_from_edge_to_edge_parts_nothing():
    trial = try_part("pen cross", 931)
    assert trial.is_good, trial
