"""Whether a job can go to the machine: its parts, its sheets, and whether they belong together."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from shapely import LineString

from ..arrays import Point
from ..errors import PartError
from ..findings import Finding, Subject, stops_first
from ..outline import Profile
from ..part.bend_faults import Strip
from ..part.lettering import Lettering
from ..part.readiness import readiness
from ..part.stock import Stock
from ..part.twins import mirrored_pairs
from ..progress import Progress, stage, tell
from ..sheet.overlap import outside_sheet, overlaps, too_close
from ..sheet.pieces import cut_of
from ..sheet.placement import Layout, Piece, Placement, Sheet
from ..tolerance import LAYOUT_FLAT_MM, STORED_SIZE_MM
from .compose import UNHELD
from .holding import HoldRule, unheld
from .sheet_drawings import LaidSheet, sheet_drawings

__all__ = ["check_job"]

OFF_MM = 0.05
"""A mark may reach so far over an edge: less is not seen."""


def check_job(
    wanted: Sequence[tuple[Stock, Sequence[Piece]]],
    sheets: Sequence[LaidSheet] = (),
    *,
    not_rebuilt: Collection[tuple[int, int]] = (),
    lettering: Mapping[tuple[int, int], Sequence[Lettering]] | None = None,
    bends: Mapping[tuple[int, int], Sequence[Strip]] | None = None,
    hold: HoldRule = UNHELD.rule,
    progress: Progress | None = None,
) -> tuple[Finding, ...]:
    """Findings about a job before cutting, those that stop it first.

    Parts are looked at as they are to come out, each in its own plane; sheets as they will be cut.
    Without sheets only the parts are looked at.

    Parameters
    ----------
    wanted
        What is to be made of each stock, at finished size, copies counted.
    sheets
        What is about to be cut.
    not_rebuilt
        Parts that changed since they were made, by the numbers of their stock and among its pieces.
    lettering, bends, hold
        Labels on parts and strips of them to bend, by the same numbers; how parts are held.
    progress
        Told after each part and sheet.
    """
    found: list[Finding] = []
    steps = max(sum(len(pieces) for _, pieces in wanted) + len(sheets), 1)
    done = 0
    for index, (stock, pieces) in enumerate(wanted):
        for number, piece in enumerate(pieces):
            part_of_job = stage(progress, done / steps, (done + 1) / steps)
            stale = {0} if (index, number) in not_rebuilt else ()
            labels = (lettering or {}).get((index, number), ())
            for finding in readiness(
                [piece.profile],
                stock,
                together=False,
                lettering=labels,
                bends=(bends or {}).get((index, number), ()),
                not_rebuilt=stale,
                progress=part_of_job,
            ):
                found.append(finding.about(_part(index, number, piece)))
            found.extend(_marks_off(index, number, piece))
            done += 1
        found.extend(_mirrored(index, stock, pieces))
    for number, sheet in enumerate(sheets):
        tell(progress, done / steps, "Checking sheets")
        found.extend(_on_sheet(number, sheet))
        found.extend(_unheld(number, sheet, hold))
        done += 1
    if sheets:
        found.extend(_out_of_date(wanted, sheets))
    tell(progress, 1.0, "Checked")
    return stops_first(found)


def _marks_off(index: int, number: int, piece: Piece) -> Iterator[Finding]:
    """A mark that reaches off its piece's material: the part was changed after it was kept."""
    room = piece.profile.polygon(LAYOUT_FLAT_MM).buffer(OFF_MM)
    for mark in (m for m in piece.marks if m.purpose != "cut"):
        places = [segment.flatten(LAYOUT_FLAT_MM) for segment in mark.segments]
        line = LineString(np.vstack((*places, mark.segments[-1].end)))
        if not room.covers(line):
            off = line.difference(room)
            yield Finding(
                "caution",
                "mark off the part",
                "{part}: a mark reaches {size_mm:.1f} mm off the material. Take the part's lines "
                "away and keep others.",
                {"part": piece.name, "size_mm": off.length},
                tuple(off.representative_point().coords[0]),
                off.length,
                subject=_part(index, number, piece),
            )
            return


def _mirrored(index: int, stock: Stock, pieces: Sequence[Piece]) -> Iterator[Finding]:
    """Pieces that only the good face tells apart."""
    if stock.good_face == "both":
        return
    for first, second in mirrored_pairs([piece.profile for piece in pieces]):
        yield Finding(
            "caution",
            "mirror images",
            "{first} and {second} are mirror images of each other. {stock} has a good face: do "
            "not turn one over to use it as the other.",
            {"first": pieces[first].name, "second": pieces[second].name, "stock": stock.name},
            _middle(pieces[first].profile),
            subject=_part(index, first, pieces[first]),
        )


def _part(stock: int, number: int, piece: Piece) -> Subject:
    return Subject("part", (stock, number), (piece.name,) if piece.name else ())


def _on_sheet(number: int, sheet: LaidSheet) -> Iterator[Finding]:
    if not sheet.profiles:
        yield Finding(
            "stop",
            "empty sheet",
            "{sheet}: nothing lies on it. Press Lay Out Sheets.",
            {"sheet": sheet.name},
            (0.0, 0.0),
            subject=Subject("sheet", (number, -1), (sheet.name,)),
        )
        return
    placed = tuple(Placement(Piece(profile), 0, np.eye(3)) for profile in sheet.profiles)
    for index, placement in enumerate(placed):
        alone = Layout((Sheet((placement,), 0.0, sheet.shape),), sheet.stock)
        for place in outside_sheet(alone):
            yield Finding(
                "stop",
                "over the edge",
                "{sheet}: {part} reaches over the sheet's edge. Move it back.",
                {"sheet": sheet.name, "part": sheet.parts[index]},
                place,
                subject=_piece(number, index, sheet),
            )
    layout = Layout((Sheet(placed, 0.0, sheet.shape),), sheet.stock)
    clashes = {(o.first, o.second): o for o in overlaps(layout)}
    for (first, second), clash in clashes.items():
        yield Finding(
            "stop",
            "overlap",
            "{sheet}: {first} and {second} overlap by {area_mm2:.3g} mm². Move them apart.",
            {
                "sheet": sheet.name,
                "first": sheet.parts[first],
                "second": sheet.parts[second],
                "area_mm2": clash.area_mm2,
            },
            clash.where_mm,
            subject=_piece(number, first, sheet),
        )
    if sheet.kerf_corrected:
        return
    kerf_mm = sheet.stock.kerf_mm
    for near in too_close(layout, kerf_mm):
        if (near.first, near.second) not in clashes:
            yield Finding(
                "caution",
                "closer than the kerf",
                "{sheet}: {first} and {second} lie closer than the kerf of {kerf_mm:g} mm. Move "
                "them apart.",
                {
                    "sheet": sheet.name,
                    "first": sheet.parts[near.first],
                    "second": sheet.parts[near.second],
                    "kerf_mm": kerf_mm,
                },
                near.where_mm,
                subject=_piece(number, near.first, sheet),
            )


def _unheld(number: int, sheet: LaidSheet, hold: HoldRule) -> Iterator[Finding]:
    """Parts with fewer places for bridges than asked: they may drop out before the last cut."""
    if not (hold.bridges and sheet.profiles):
        return
    front, *_ = sheet_drawings(sheet, title=sheet.name, hold=hold)
    for index in unheld(sheet.parts, front.shapes, hold):
        yield Finding(
            "caution",
            "few bridges",
            "{sheet}: {part} has no good place for {count} bridges. Hold it by hand or tape, make "
            "bridges narrower or take fewer.",
            {"sheet": sheet.name, "part": sheet.parts[index], "count": hold.bridges},
            _middle(sheet.profiles[index]),
            subject=_piece(number, index, sheet),
        )


def _piece(number: int, index: int, sheet: LaidSheet) -> Subject:
    return Subject("sheet", (number, index), (sheet.parts[index],))


def _out_of_date(
    wanted: Sequence[tuple[Stock, Sequence[Piece]]], sheets: Sequence[LaidSheet]
) -> Iterator[Finding]:
    """Sheets that hold other pieces than the parts ask for, by shape or by number."""
    left = {
        (index, number): piece.quantity
        for index, (_, pieces) in enumerate(wanted)
        for number, piece in enumerate(pieces)
    }
    cut = _Cut(wanted)
    told: set[tuple[str, str]] = set()
    for number, sheet in enumerate(sheets):
        for index, (name, profile) in enumerate(zip(sheet.parts, sheet.profiles, strict=True)):
            same = cut.like(profile, name, sheet)
            free = [key for key in same if left[key] > 0]
            if free:
                left[free[0]] -= 1
            elif (sheet.name, name) not in told:
                told.add((sheet.name, name))
                yield Finding(
                    "stop",
                    "out of date",
                    "{sheet}: {part} lies on the sheets more often than it is wanted. Press "
                    "Lay Out Sheets."
                    if same
                    else "{sheet}: {part} is not as the part is now: part, stock or kerf changed "
                    "since. Press Lay Out Sheets.",
                    {"sheet": sheet.name, "part": name},
                    _middle(profile),
                    subject=_piece(number, index, sheet),
                )
    for (stock, number), missing in left.items():
        piece = wanted[stock][1][number]
        # Where the sheets hold it as it was, that has been said.
        if missing > 0 and piece.name not in {name for _, name in told}:
            yield Finding(
                "stop",
                "missing",
                "{part}: {missing} of {wanted} missing on the sheets. Press Lay Out Sheets."
                if piece.quantity > 1
                else "{part}: It is missing on the sheets. Press Lay Out Sheets.",
                {"part": piece.name, "missing": missing, "wanted": piece.quantity},
                _middle(piece.profile),
                subject=_part(stock, number, piece),
            )
    yield from cut.impossible


class _Cut:
    """The parts as they are to lie on sheets, each made once."""

    def __init__(self, wanted: Sequence[tuple[Stock, Sequence[Piece]]]) -> None:
        self.wanted = wanted
        self.impossible: list[Finding] = []
        self._made: dict[tuple[int, int, bool], Profile | None] = {}

    def like(self, profile: Profile, name: str, sheet: LaidSheet) -> list[tuple[int, int]]:
        """Return the parts whose shape this is, those of its name first."""
        same = [
            (index, number)
            for index, (stock, pieces) in enumerate(self.wanted)
            if stock.name == sheet.stock.name
            for number in range(len(pieces))
            if self._is_like(index, number, profile, sheet.kerf_corrected)
        ]
        return sorted(same, key=lambda key: self.wanted[key[0]][1][key[1]].name != name)

    def _is_like(self, index: int, number: int, profile: Profile, corrected: bool) -> bool:
        meant = self._cut(index, number, corrected)
        return meant is not None and not _differ(meant, profile)

    def _cut(self, index: int, number: int, corrected: bool) -> Profile | None:
        key = (index, number, corrected)
        if key not in self._made:
            stock, pieces = self.wanted[index]
            piece = pieces[number]
            try:
                made = cut_of(piece, stock, correct_kerf=corrected)
                self._made[key] = made.profile
            except PartError as error:
                self._made[key] = None
                subject = _part(index, number, piece)
                why = Finding("stop", "cannot be cut", error.template, error.values)
                self.impossible.append(replace(why.about(subject), place=_middle(piece.profile)))
        return self._made[key]


def _differ(a: Profile, b: Profile) -> bool:
    """Whether two profiles differ in what no move or turn changes: their loops' sizes."""
    if len(a.loops) != len(b.loops):
        return True
    one, two = (
        sorted((loop.length_mm, abs(loop.signed_area_mm2)) for loop in p.loops) for p in (a, b)
    )
    return any(
        abs(length_a - length_b) > STORED_SIZE_MM
        or abs(area_a - area_b) > STORED_SIZE_MM * max(length_a, 1.0)
        for (length_a, area_a), (length_b, area_b) in zip(one, two, strict=True)
    )


def _middle(profile: Profile) -> Point:
    x0, y0, x1, y1 = profile.bounds_mm
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
