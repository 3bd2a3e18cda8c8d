"""Signs of the check: shape, colour and words; and where they come from."""

from importlib import import_module

import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def overlay(package):
    return import_module(f"{package}.addon.assembly.overlay")


def test_state_is_told_by_shape_as_well_as_colour(overlay):
    signs = [
        overlay.Sign((100.0, 100.0), "clear", "2.85 mm"),
        overlay.Sign((400.0, 100.0), "close", "0.20 mm", ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))),
        overlay.Sign((700.0, 100.0), "overlap", "-1.00 mm"),
    ]
    drawing = overlay.signs_drawing(signs, 2.0)
    # Trouble comes first.
    triangle, edge, cross, ring = drawing.strokes
    assert [len(s.lines) for s in (ring, triangle, edge, cross)] == [6, 3, 3, 2]
    assert len({ring.colour, triangle.colour, cross.colour}) == 3
    assert edge.colour == triangle.colour
    assert [label.text for label in drawing.labels] == ["0.20 mm", "-1.00 mm", "2.85 mm"]
    # Twice the interface's size, twice as far beside the sign.
    assert drawing.labels[2].at == (124.0, 92.0)


def test_words_of_near_signs_do_not_run_over_each_other(overlay):
    signs = [overlay.Sign((100.0, 100.0), "clear", "2.85 mm") for _ in range(9)]
    signs.append(overlay.Sign((103.0, 101.0), "close", "0.20 mm"))
    labels = overlay.signs_drawing(signs).labels
    # Trouble has the first choice, beside its sign; four numbers find room around it.
    assert labels[0].text == "0.20 mm"
    assert labels[0].at == (115.0, 97.0)
    assert 2 <= len(labels) <= 4
    wide, high = 7.0 * 6, 12.0
    for i, one in enumerate(labels):
        for other in labels[i + 1 :]:
            apart = abs(one.at[0] - other.at[0]) >= wide or abs(one.at[1] - other.at[1]) >= high
            assert apart


def test_the_nearest_is_written_first_and_no_words_run_over_others(overlay):
    signs = [
        overlay.Sign((100.0, 100.0), "overlap", f"-{far}.00 mm", far=float(far)) for far in range(9)
    ]
    drawing = overlay.signs_drawing(signs[::-1])
    # Every sign is drawn; where there is no room for its words, the sign alone.
    assert len(drawing.strokes) == 9
    assert [label.text[:2] for label in drawing.labels] == ["-0", "-1", "-2", "-3"]


def test_among_very_many_signs_only_trouble_is_written(overlay):
    signs = [overlay.Sign((float(i), 0.0), "clear", "1 mm") for i in range(100)]
    signs.append(overlay.Sign((5.0, 5.0), "close", "0.1 mm"))
    drawing = overlay.signs_drawing(signs)
    assert [label.text for label in drawing.labels] == ["0.1 mm"]
