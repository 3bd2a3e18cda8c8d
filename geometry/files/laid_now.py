"""Whether sheets hold the parts as they are now, and as many of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..arrays import Point
from ..errors import PartError
from ..findings import Finding, Subject
from ..outline import Profile
from ..part.stock import Stock
from ..sheet.pieces import cut_of
from ..sheet.placement import Piece
from ..tolerance import STORED_SIZE_MM
from .sheet_drawings import LaidSheet

__all__ = ["middle_of", "out_of_date", "part_subject", "piece_subject"]


def part_subject(stock: int, number: int, piece: Piece) -> Subject:
    """Return what a finding about a piece that is wanted speaks of.

    Parameters
    ----------
    stock, number, piece
        Number of its stock, its own there, and the piece.
    """
    return Subject("part", (stock, number), (piece.name,) if piece.name else ())


def piece_subject(number: int, index: int, sheet: LaidSheet) -> Subject:
    """Return what a finding about a piece on a sheet speaks of.

    Parameters
    ----------
    number, index, sheet
        Number of the sheet, the piece's on it, and the sheet.
    """
    return Subject("sheet", (number, index), (sheet.parts[index],))


def out_of_date(
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
                    middle_of(profile),
                    subject=piece_subject(number, index, sheet),
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
                middle_of(piece.profile),
                subject=part_subject(stock, number, piece),
            )
    yield from cut.impossible


class _Cut:
    """The parts as they are to lie on sheets, each made once."""

    def __init__(self, wanted: Sequence[tuple[Stock, Sequence[Piece]]]) -> None:
        self.wanted = wanted
        self.impossible: list[Finding] = []
        self._made: dict[tuple[int, int, bool], Profile | None] = {}

    def like(self, profile: Profile, name: str, sheet: LaidSheet) -> list[tuple[int, int]]:
        """Return the parts whose shape this is, those of its name first.

        Parameters
        ----------
        profile, name
            What lies on a sheet.
        sheet
            The sheet, whose stock and kerf it was cut for.
        """
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
                subject = part_subject(index, number, piece)
                why = Finding("stop", "cannot be cut", error.template, error.values)
                self.impossible.append(replace(why.about(subject), place=middle_of(piece.profile)))
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


def middle_of(profile: Profile) -> Point:
    """Middle of the box about a shape, mm."""
    x0, y0, x1, y1 = profile.bounds_mm
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
