"""Whether a job can go to the machine: its parts, its sheets, and whether they belong together."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

import numpy as np
from shapely import LineString

from ..findings import Finding, Subject, stops_first
from ..part.bend_faults import Strip
from ..part.lettering import Lettering
from ..part.readiness import readiness
from ..part.stock import Stock
from ..part.twins import mirrored_pairs
from ..progress import Progress, stage, tell
from ..sheet.overlap import outside_sheet, overlaps, too_close
from ..sheet.placement import Layout, Piece, Placement, Sheet
from ..tolerance import LAYOUT_FLAT_MM
from .compose import UNHELD
from .holding import HoldRule, unheld
from .laid_now import middle_of, out_of_date, part_subject, piece_subject
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
                found.append(finding.about(part_subject(index, number, piece)))
            found.extend(_marks_off(index, number, piece))
            done += 1
        found.extend(_mirrored(index, stock, pieces))
    for number, sheet in enumerate(sheets):
        tell(progress, done / steps, "Checking sheets")
        found.extend(_on_sheet(number, sheet))
        found.extend(_unheld(number, sheet, hold))
        done += 1
    if sheets:
        found.extend(out_of_date(wanted, sheets))
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
                subject=part_subject(index, number, piece),
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
            middle_of(pieces[first].profile),
            subject=part_subject(index, first, pieces[first]),
        )


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
                subject=piece_subject(number, index, sheet),
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
            subject=piece_subject(number, first, sheet),
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
                subject=piece_subject(number, near.first, sheet),
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
            middle_of(sheet.profiles[index]),
            subject=piece_subject(number, index, sheet),
        )
