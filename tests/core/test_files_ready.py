"""What is told before anything is cut."""

import math

from geometry.files import LaidSheet, check_job
from geometry.outline import Loop, Profile, circle, rectangle, ring
from geometry.part import Lettering, Stock
from geometry.sheet import Piece
from geometry.sheet.pieces import cut_piece

PLY = Stock("plywood", 3.0, 0.2)


def at(x, y, width=80.0, height=60.0):
    return rectangle(width, height, (x, y))


def laid(*profiles, parts=None, corrected=False, stock=PLY):
    return LaidSheet("Sheet 1", stock, profiles, parts or ("foot",) * len(profiles), corrected)


def wanted(quantity=1, profile=None, name="foot", stock=PLY):
    return [(stock, [Piece(profile or at(0.0, 0.0), quantity, name)])]


def told(*arguments):
    return [(r.severity, r.sentence) for r in check_job(*arguments)]


def test_a_job_without_faults_has_nothing_to_tell():
    assert check_job(wanted(2), [laid(at(100.0, 100.0), at(200.0, 100.0))]) == ()


def test_parts_alone_are_checked_in_their_own_planes():
    assert check_job([(PLY, [Piece(at(0, 0), 1, "a"), Piece(at(0, 0), 1, "b")])]) == ()
    (remark,) = check_job(wanted(profile=ring(40.0, 36.0)))
    assert remark.severity == "caution"
    assert (remark.subject.kind, remark.subject.numbers) == ("part", (0, 0))
    assert remark.sentence.startswith("foot: Only 2.00 mm")


def test_kerf_paths_of_the_parts_are_no_thin_webs():
    # A web of 3.05 mm is enough; its cut path, 0.2 mm wider for the kerf, is not looked at.
    part = ring(60.0, 53.9)
    cut = cut_piece(part, PLY, 1, "foot", correct_kerf=True).profile.moved(100.0, 100.0)
    assert check_job(wanted(profile=part), [laid(cut, corrected=True)]) == ()


def test_overlap_on_the_sheet_stops_and_says_how_much():
    (remark,) = check_job(wanted(2), [laid(at(100.0, 100.0), at(170.0, 100.0))])
    assert (remark.severity, remark.rule) == ("stop", "overlap")
    assert "600 mm²" in remark.sentence
    x, y = remark.place
    assert 130.0 <= x <= 140.0
    assert 70.0 <= y <= 130.0


def test_part_in_anothers_hole_is_no_overlap():
    frame, disc = ring(100.0, 60.0), circle(30.0)
    job = [(PLY, [Piece(frame, 1, "frame"), Piece(disc, 1, "disc")])]
    sheet = laid(frame.moved(100, 100), disc.moved(100, 100), parts=("frame", "disc"))
    assert check_job(job, [sheet]) == ()


def test_piece_over_the_sheets_edge_stops():
    (remark,) = check_job(wanted(), [laid(at(590.0, 100.0))])
    assert (remark.severity, remark.subject.numbers) == ("stop", (0, 0))
    assert "edge" in remark.sentence


def test_nominal_pieces_closer_than_the_kerf_are_a_caution():
    (found,) = told(wanted(2), [laid(at(100.0, 100.0), at(180.1, 100.0))])
    assert found[0] == "caution"
    assert "kerf of 0.2 mm" in found[1]


def test_changed_part_missing_part_and_one_too_many_stop():
    (changed,) = told(wanted(), [laid(at(100.0, 100.0, 80.0, 61.0))])
    assert "Press Lay Out Sheets" in changed[1]
    assert "changed since" in changed[1]
    (many,) = told(wanted(1), [laid(at(100.0, 100.0), at(200.0, 100.0))])
    assert "more often" in many[1]
    (few,) = told(wanted(3), [laid(at(100.0, 100.0), at(200.0, 100.0))])
    assert "1 of 3 missing" in few[1]


def test_a_changed_kerf_is_noticed_and_a_new_name_does_not_matter():
    cut = cut_piece(at(0, 0), PLY, 1, "foot", correct_kerf=True).profile.moved(100.0, 100.0)
    assert check_job(wanted(name="leg"), [laid(cut, corrected=True)]) == ()
    wider = Stock("plywood", 3.0, 0.3)
    found = told(wanted(stock=wider), [laid(cut, corrected=True, stock=wider)])
    assert [severity for severity, _ in found] == ["stop"]


def test_turned_pieces_are_still_the_part():
    turned = at(0, 0).rotated(math.radians(33.0)).moved(200.0, 200.0)
    assert check_job(wanted(), [laid(turned)]) == ()


def test_part_the_kerf_swallows_is_told_and_nothing_raises():
    slit = Loop.through([(-5.0, 0.05), (5.0, 0.05), (5.0, -0.05), (-5.0, -0.05)])
    part = Profile(at(0, 0).outer, (slit,))
    found = told(wanted(profile=part), [laid(part.moved(100.0, 100.0), corrected=True)])
    assert any(s == "stop" and w.startswith("foot: ") and "kerf" in w for s, w in found)


def test_empty_sheet_stops_and_stops_come_first():
    thin = ring(40.0, 36.0)
    found = told(wanted(profile=thin), [laid()])
    assert [s for s, _ in found] == ["stop", "stop", "caution"]


def test_part_that_was_not_rebuilt_stops_and_is_named():
    parts = [Piece(at(0, 0), 1, "foot"), Piece(at(0, 0), 1, "arm")]
    (remark,) = check_job([(PLY, parts)], not_rebuilt={(0, 1)})
    assert (remark.severity, remark.rule, remark.subject.numbers) == ("stop", "not rebuilt", (0, 1))
    assert remark.sentence.startswith("arm: ")


def test_lettering_too_small_for_the_tool_is_named():
    piece = Piece(rectangle(60.0, 40.0), 1, "gauge")
    labels = {(0, 0): [Lettering("3.05", 0.8, (0.0, 0.0))]}
    stock = Stock("ply", 3.0, 0.2)
    (remark,) = check_job([(stock, [piece])], lettering=labels)
    assert (remark.rule, remark.subject.numbers) == ("small lettering", (0, 0))
    labels = {(0, 0): [Lettering("3.05", 4.0, (0.0, 0.0))]}
    assert check_job([(stock, [piece])], lettering=labels) == ()
