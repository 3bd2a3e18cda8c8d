"""The scene as a job for the machine: checked, and written as cut files."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import bpy

from ...geometry.assembly.joints import kind_named
from ...geometry.errors import FileError
from ...geometry.files import (
    Drawing,
    Formats,
    JointNote,
    LaidSheet,
    check_job,
    drawing,
    save_cut_files,
)
from ...geometry.findings import Finding, Subject
from ...geometry.part import Lettering, Stock
from ...geometry.progress import Progress, stage
from ...geometry.sheet import Piece
from ..blender.curves import curve_of
from ..blender.units import to_mm
from ..part.marks import lettering_of
from ..part.part_objects import stock_named
from ..sheet.laid import placements_on
from ..sheet.layouts import finished_pieces
from ..state.things import part_objects, sheet_objects
from ..state.work import Work

__all__ = ["Formats", "Saved", "checking", "saving"]

CHECKED = 0.3
"""Share of saving that goes into checking."""
BUILT_MM = 1e-3
"""A part's thickness in the scene within this of its stock's is the stock's."""


BUILT = (
    "{part}: built for {built_mm:.2f} mm, and {stock} is {thickness_mm:.2f} mm thick. Rebuild the "
    "parts and lay out again."
)


@dataclass(frozen=True, slots=True)
class Saved:
    """What was found, and the files written; none where something stops the job."""

    findings: tuple[Finding, ...]
    paths: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class _Job:
    """Everything read from the scene, so that the work need not touch Blender."""

    title: str
    wanted: tuple[tuple[Stock, Sequence[Piece]], ...]
    sheets: tuple[LaidSheet, ...]
    numbers: tuple[int, ...]
    not_rebuilt: tuple[Finding, ...]
    lettering: dict[tuple[int, int], list[Lettering]]
    joints: tuple[JointNote, ...]


def checking(context: bpy.types.Context) -> Work:
    """Return the work of checking parts and sheets; its result is the findings, stops first."""
    job = _job(context)
    return lambda progress: _checked(job, progress)


def saving(
    context: bpy.types.Context,
    folder: Path,
    formats: Formats,
    *,
    overwrite: bool,
    anyway: bool,
    share_edges: bool = False,
) -> Work:
    """Return the work of checking and then writing every sheet's files; its result is `Saved`.

    With ``share_edges`` a straight edge two neighbours have in common is cut once. Nothing is
    written where something stops the job, unless ``anyway``.
    """
    job = _job(context)

    def work(progress: Progress) -> Saved:
        findings = _checked(job, stage(progress, 0.0, CHECKED))
        if not anyway and any(found.severity == "stop" for found in findings):
            return Saved(findings, ())
        drawn = [
            (_drawing(job.title, number, sheet, share_edges), sheet.stock)
            for number, sheet in zip(job.numbers, job.sheets, strict=True)
        ]
        paths = save_cut_files(
            folder,
            drawn,
            job.wanted,
            title=job.title,
            joints=job.joints,
            formats=formats,
            overwrite=overwrite,
            progress=stage(progress, CHECKED, 1.0),
        )
        return Saved(findings, paths)

    return work


def _job(context: bpy.types.Context) -> _Job:
    context.view_layer.update()
    sheets = sheet_objects(context)
    wanted = tuple(finished_pieces(context))
    return _Job(
        Path(bpy.data.filepath).stem or "Flatwright",
        wanted,
        tuple(_laid(context, sheet) for sheet in sheets),
        tuple(sheet.flatwright_sheet.number for sheet in sheets),
        tuple(_not_rebuilt(context, wanted)),
        _lettering(context, wanted),
        tuple(_joints(context.scene)),
    )


def _checked(job: _Job, progress: Progress | None) -> tuple[Finding, ...]:
    found = check_job(job.wanted, job.sheets, lettering=job.lettering, progress=progress)
    return (*job.not_rebuilt, *found)


def _laid(context: bpy.types.Context, sheet: bpy.types.Object) -> LaidSheet:
    settings = sheet.flatwright_sheet
    placed = placements_on(sheet)
    return LaidSheet(
        sheet.name,
        stock_named(context.scene, settings.stock),
        tuple(p.profile for p in placed),
        tuple(p.piece.name for p in placed),
        settings.kerf_corrected,
        tuple(stroke for p in placed for stroke in p.marks),
    )


def _not_rebuilt(
    context: bpy.types.Context, wanted: Sequence[tuple[Stock, Sequence[Piece]]]
) -> list[Finding]:
    """Parts still built for another thickness, or known to have been left behind by a change."""
    things = {thing.name: thing for thing in part_objects(context)}
    found = []
    for index, (stock, pieces) in enumerate(wanted):
        for number, piece in enumerate(pieces):
            built_mm = to_mm(2.0 * curve_of(things[piece.name]).extrude)
            if abs(built_mm - stock.thickness_mm) > BUILT_MM:
                values = {
                    "part": piece.name,
                    "built_mm": built_mm,
                    "stock": stock.name,
                    "thickness_mm": stock.thickness_mm,
                }
                subject = Subject("part", (index, number), (piece.name,))
                found.append(Finding("stop", "not rebuilt", BUILT, values, subject=subject))
    if not found and wanted and context.scene.flatwright_assembly.is_stale:
        sentence = "Something changed since. Rebuild the parts and lay out again."
        found.append(Finding("stop", "not rebuilt", sentence, subject=Subject("part", (0, 0))))
    return found


def _lettering(
    context: bpy.types.Context, wanted: Sequence[tuple[Stock, Sequence[Piece]]]
) -> dict[tuple[int, int], list[Lettering]]:
    """Labels marked on parts, by the numbers of their stock and among its pieces."""
    things = {thing.name: thing for thing in part_objects(context)}
    return {
        (index, number): lettering_of(curve_of(things[piece.name]), 0)
        for index, (_, pieces) in enumerate(wanted)
        for number, piece in enumerate(pieces)
    }


def _joints(scene: bpy.types.Scene) -> list[JointNote]:
    """Joints of the assembly, those that are alike counted."""
    settings = scene.flatwright_assembly
    kinds = Counter(
        (
            kind_named(joint.kind).title,
            (settings.fit if joint.fit == "scene" else joint.fit).replace("typed", "own"),
            joint.figures,
        )
        for joint in settings.joints
        if joint.enabled and joint.a and joint.b
    )
    return [JointNote(*kind, count) for kind, count in kinds.items()]


def _drawing(title: str, number: int, sheet: LaidSheet, share_edges: bool) -> Drawing:
    if not sheet.profiles:
        raise FileError(f"Nothing lies on {sheet.name}. Lay out again, or delete the sheet.")
    return drawing(
        sheet.profiles,
        names=sheet.parts,
        marks=sheet.marks,
        title=f"{title} sheet {number}",
        kerf_state="corrected" if sheet.kerf_corrected else "nominal",
        kerf_mm=sheet.stock.kerf_mm if sheet.kerf_corrected else 0.0,
        share_edges=share_edges,
    )
