"""Push pieces closer together with a solver for irregular strips, as long as it may take.

The quick layout comes first and stays unless something better is found: fewer sheets, or a shorter
last sheet, so that what is left of it is one usable rectangle. The solver knows no holes, so what
lies in another piece's hole stays there and moves with it.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass, replace

from ..errors import Cancelled, SheetError
from ..progress import Progress, tell
from ..tolerance import LAYOUT_FLAT_MM
from .layout import lay_out, sheet_of
from .lots import Lot, lots_of, placed_by, reach_mm, widening_mm
from .overlap import outside_sheet, too_close
from .placement import Layout, Placement, Sheet
from .solver import PackedStrip, strips

__all__ = ["Better", "tighten"]

Better = Callable[[Layout], None]
FULLEST = 0.92
"""Share of a sheet's area that is tried at first."""
TRIES = 4
SHOWN_S = 2.0
"""Gains are shown no more often than that, and at the end."""
LEAST_MM = 0.02
"""Gains smaller than this are not worth showing."""


def tighten(
    layout: Layout,
    *,
    margin_mm: float,
    gap_mm: float,
    budget_s: float = 30.0,
    seed: int = 0,
    better: Better | None = None,
    progress: Progress | None = None,
) -> Layout:
    """Return a layout at least as good, found within a time budget.

    The seed is fixed, but how far the solver gets depends on the machine: keep the result, not the
    promise to find it again.

    Parameters
    ----------
    layout
        To begin with, such as `lay_out` gives. Pinned pieces stay where they are; what lies on
        a sheet with one stays on it.
    better
        Called with every better layout as it is found, on the caller's thread.
    progress
        Told ten times a second. If it stops the work, the best layout so far is returned.

    Raises
    ------
    SheetError
        If the budget is no time, or the solver does not run.
    """
    if not (math.isfinite(budget_s) and budget_s > 0.0):
        raise SheetError(
            "The time to improve a layout is above 0 s, not {budget_s:g}. Type another number.",
            budget_s=budget_s,
        )
    search = _Search(layout, margin_mm, gap_mm, seed, time.monotonic() + budget_s, budget_s)
    search.better, search.progress = better, progress
    pinned = frozenset(
        i
        for i, sheet in enumerate(layout.sheets)
        if sheet.shape is not None or any(p.pinned for p in sheet.placements)
    )
    try:
        if len(layout.sheets) - len(pinned) > 1:
            search.fewer_sheets(pinned)
        search.shorter_last(pinned)
    except Cancelled:
        pass
    if not search.stopped:
        tell(progress, 1.0, "Laid out")
    return search.best


@dataclass(slots=True, eq=False)
class _Search:
    """One run: the best layout so far, and until when to go on."""

    best: Layout
    margin_mm: float
    gap_mm: float
    seed: int
    end: float
    budget_s: float
    better: Better | None = None
    progress: Progress | None = None
    stopped: bool = False
    measured: Sheet | None = None
    reached_mm: float = 0.0

    def fewer_sheets(self, pinned: frozenset[int]) -> None:
        """Fill one sheet after another, the largest pieces first; keep it if a sheet is saved."""
        kept = [s for i, s in enumerate(self.best.sheets) if i in pinned]
        waiting = [
            lot
            for i, sheet in enumerate(self.best.sheets)
            if i not in pinned
            for lot in lots_of(sheet, self.best.stock)
        ]
        waiting.sort(key=lambda lot: -lot.area_mm2)
        allowed = len(self.best.sheets) - len(kept) - 1
        share = 0.7 * self.budget_s / max(allowed, 1)
        filled: list[Sheet] = []
        while waiting and len(filled) < allowed:
            chosen, placed = self._fill(waiting, time.monotonic() + share)
            if not chosen:
                return
            waiting = [lot for lot in waiting if lot not in chosen]
            filled.append(sheet_of(placed, self.best.stock))
        if not waiting:
            self._take(Layout((*kept, *filled), self.best.stock))

    def _fill(self, waiting: list[Lot], until: float) -> tuple[list[Lot], list[Placement]]:
        """As much as fits one sheet of what waits; nothing if time is over before."""
        width, height = self._strip()
        share = FULLEST
        for attempt in range(TRIES):
            lots, area = [], 0.0
            for lot in waiting:
                if area + lot.area_mm2 <= share * width * height:
                    lots.append(lot)
                    area += lot.area_mm2
            if not lots:
                break
            left = max(until - time.monotonic(), 0.5) / (TRIES - attempt)
            length, found = self._solve(lots, height, left, good_enough=width)
            if length <= width + 1e-6:
                return lots, found
            share = area / (width * height) * min(0.98, max(0.7, width / length))
        return [], []

    def shorter_last(self, pinned: frozenset[int]) -> None:
        """Push what lies on the last sheet to its left edge, showing every gain."""
        number = len(self.best.sheets) - 1
        if self.best.sheets[number].shape is not None:
            return
        if number in pinned:
            self._around_pinned()
            return
        sheet = self.best.sheets[number]
        rest = self.best.sheets[:number]
        _, height = self._strip()
        known = reach_mm(sheet, self.best.stock)

        def show(_: float, placed: list[Placement]) -> None:
            nonlocal known
            shorter = sheet_of(placed, self.best.stock)
            reached = reach_mm(shorter, self.best.stock) if placed else math.inf
            if reached < known - LEAST_MM and self._take(Layout((*rest, shorter), self.best.stock)):
                known = reached

        lots = lots_of(sheet, self.best.stock)
        left = self.end - time.monotonic()
        if left > 0.2:
            show(*self._solve(lots, height, left, seen=show))

    def _around_pinned(self) -> None:
        """Lay what is not pinned on the last sheet out anew; keep it if it is shorter."""
        *rest, sheet = self.best.sheets
        stock = self.best.stock
        counts = Counter(id(p.piece) for p in sheet.placements if not p.pinned)
        pieces = {id(p.piece): p.piece for p in sheet.placements}
        try:
            anew = lay_out(
                [replace(pieces[key], quantity=count) for key, count in counts.items()],
                stock,
                margin_mm=self.margin_mm,
                gap_mm=self.gap_mm,
                pinned=[(0, p) for p in sheet.placements if p.pinned],
                progress=lambda *_: self._tell(),
            )
        except SheetError:
            # Around pinned pieces there may be no better way than the one that was found by hand.
            return
        gain = reach_mm(sheet, stock) - reach_mm(anew.sheets[0], stock)
        if len(anew.sheets) == 1 and gain > LEAST_MM:
            self._take(Layout((*rest, *anew.sheets), stock))

    def _strip(self) -> tuple[float, float]:
        """Length and height of the strip a sheet is, without its margins."""
        sides = sorted(side - 2.0 * self.margin_mm for side in self.best.stock.sheet_mm)
        return sides[1], sides[0]

    def _take(self, layout: Layout) -> bool:
        """Keep a layout if it holds; the solver works with chords, so it is measured first."""
        if too_close(layout, self.gap_mm - 2.0 * LAYOUT_FLAT_MM) or outside_sheet(
            layout, self.margin_mm - LAYOUT_FLAT_MM
        ):
            return False
        self.best = layout
        if self.better is not None:
            self.better(layout)
        return True

    def _solve(
        self,
        lots: Sequence[Lot],
        height: float,
        seconds: float,
        *,
        good_enough: float = 0.0,
        seen: Callable[[float, list[Placement]], None] | None = None,
    ) -> tuple[float, list[Placement]]:
        """Length of the strip and where everything lies, the best found in time."""
        self._tell()
        best, shown_s = None, -math.inf
        items = [(lot.outer, lot.turns_deg) for lot in lots]
        gap = self.gap_mm + widening_mm(lots)
        with closing(strips(items, height, gap, seconds, self.seed)) as asked:
            for strip in asked:
                if strip is not None and (best is None or strip.length_mm < best.length_mm):
                    best = strip
                    # Measuring many pieces takes time that the solver needs on a small machine.
                    if seen is not None and time.monotonic() - shown_s > SHOWN_S:
                        seen(best.length_mm, self._placed(lots, best))
                        shown_s = time.monotonic()
                    if best.length_mm <= good_enough:
                        break
                self._tell()
        if best is None:
            return math.inf, []
        return best.length_mm, self._placed(lots, best)

    def _placed(self, lots: Sequence[Lot], strip: PackedStrip) -> list[Placement]:
        return placed_by(lots, strip, self.best.stock, self.margin_mm)

    def _tell(self) -> None:
        left = max(self.end - time.monotonic(), 0.0)
        count, last = len(self.best.sheets), self.best.sheets[-1]
        if self.measured is not last:
            self.measured, self.reached_mm = last, reach_mm(last, self.best.stock)
        try:
            tell(
                self.progress,
                min(1.0 - left / self.budget_s, 1.0),
                f"{count} {'sheet' if count == 1 else 'sheets'}, the last one used for "
                f"{self.reached_mm:.0f} mm",
            )
        except Cancelled:
            self.stopped = True
            raise
