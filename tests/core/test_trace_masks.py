"""Masks: thin things that hang together by corners."""

import numpy as np

from geometry.outline.trace.masks import joined_at_corners, labelled


def test_a_slanting_slit_a_pixel_wide_stays_open_and_a_slanting_strip_whole():
    slit = np.ones((30, 30), dtype=bool)
    slit[np.arange(20), 5 + np.arange(20) // 2] = False
    slit[0] = False
    assert labelled(~slit).max() > 1
    opened = joined_at_corners(slit)
    assert len(np.unique(labelled(~opened))) == 2
    strip = joined_at_corners(~slit)
    assert len(np.unique(labelled(strip))) == 2
    straight = np.ones((30, 30), dtype=bool)
    straight[4:20, 12] = False
    assert (joined_at_corners(straight) == straight).all()
