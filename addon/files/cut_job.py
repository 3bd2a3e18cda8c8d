"""The scene as a job for the machine: checked, and written as cut files."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import bpy

from ...geometry.assembly.joints import kind_named
from ...geometry.files import (
    CutNotes,
    FeedRates,
    Formats,
    HoldRule,
    JobNote,
    JointNote,
    LaidSheet,
    Layers,
    MachineScale,
    check_job,
    save_cut_files,
    sheet_drawings,
)
from ...geometry.findings import Finding
from ...geometry.part import Lettering, Stock, Strip
from ...geometry.part.labels import MIRROR
from ...geometry.progress import Progress, stage
from ...geometry.sheet import Piece
from ..blender.curves import curve_of
from ..part.bend_record import kept_strips
from ..part.marks import lettering_of
from ..sheet.finished import finished_pieces
from ..sheet.jobs import listed_jobs
from ..state.following import catch_up
from ..state.graph import read_anew
from ..state.records import refuse_newer
from ..state.things import pieces_of, sheet_objects
from ..state.verdict import Objection, objections, stops_first
from ..state.work import Work
from .laid_sheets import hold_rule, laid_sheet
from .machines import chosen_scale, layers_of
from .times import feed_rates

__all__ = ["Formats", "Saved", "checking", "saving"]

CHECKED = 0.3
"""Share of saving that goes into checking."""


@dataclass(frozen=True, slots=True)
class Saved:
    """What was found, and the files written; none where something stops the job."""

    findings: tuple[Objection, ...]
    paths: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class _Job:
    """Everything read from the scene, so that the work need not touch Blender."""

    title: str
    wanted: tuple[tuple[Stock, Sequence[Piece]], ...]
    sheets: tuple[LaidSheet, ...]
    numbers: tuple[int, ...]
    things: dict[tuple[int, int], bpy.types.Object]
    frames: tuple[tuple[bpy.types.Object, tuple[bpy.types.Object, ...]], ...]
    objections: tuple[Objection, ...]
    lettering: dict[tuple[int, int], list[Lettering]]
    bends: dict[tuple[int, int], tuple[Strip, ...]]
    joints: tuple[JointNote, ...]
    jobs: tuple[JobNote, ...]
    guessed: dict[str, frozenset[str]]
    layers: Layers
    machine: MachineScale | None
    hold: HoldRule
    rates: dict[str, FeedRates]


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

    Parameters
    ----------
    context, folder, formats
        The scene, where to write, and in which formats.
    overwrite, anyway
        Whether files that are there may be replaced, and whether to write what something stops.
    share_edges
        Whether a straight edge two neighbours have in common is cut once.
    """
    job = _job(context)

    def work(progress: Progress) -> Saved:
        findings = _checked(job, stage(progress, 0.0, CHECKED))
        stops = [one for one in findings if one.severity == "stop"]
        if stops and not anyway:
            return Saved(findings, ())
        drawn = [
            (replace(one, machine=job.machine), sheet.stock)
            for number, sheet in zip(job.numbers, job.sheets, strict=True)
            for one in sheet_drawings(
                sheet,
                title=_title(job, number, sheet),
                share_edges=share_edges,
                layers=job.layers,
                hold=job.hold,
            )
        ]
        paths = save_cut_files(
            folder,
            drawn,
            job.wanted,
            title=job.title,
            notes=CutNotes(
                job.joints,
                tuple(one.sentence for one in stops),
                tuple(_cautions(job)),
                jobs=job.jobs,
            ),
            guessed=job.guessed,
            rates=job.rates,
            formats=formats,
            overwrite=overwrite,
            progress=stage(progress, CHECKED, 1.0),
        )
        return Saved(findings, paths)

    return work


def _title(job: _Job, number: int, sheet: LaidSheet) -> str:
    """What a sheet's files are called; of a leftover with its name, for it is written on it."""
    title = f"{job.title} sheet {number}"
    return title if sheet.offcut is None else f"{title} {sheet.offcut.name}"


def _cautions(job: _Job) -> list[str]:
    """What whoever cuts is to mind."""
    told = [one.sentence for one in job.objections if one.severity == "caution"]
    return [*told, job.hold.sentence] if job.hold.sentence else told


def _job(context: bpy.types.Context) -> _Job:
    refuse_newer(context.scene)
    # What was changed a moment ago may not be built yet.
    catch_up()
    read_anew(context)
    # A sheet of a stock that was removed is none to cut from; the verdict says that it is stale.
    stocks = context.scene.flatwright_stocks
    sheets = [o for o in sheet_objects(context) if o.flatwright_sheet.stock in stocks]
    finished = finished_pieces(context)
    wanted = tuple((one.stock, one.pieces) for one in finished)
    things = {
        (index, number): thing
        for index, one in enumerate(finished)
        for number, thing in enumerate(one.things)
    }
    return _Job(
        Path(bpy.data.filepath).stem or "Flatwright",
        wanted,
        tuple(laid_sheet(context, sheet) for sheet in sheets),
        tuple(sheet.flatwright_sheet.number for sheet in sheets),
        things,
        tuple((sheet, tuple(pieces_of(sheet))) for sheet in sheets),
        objections(context),
        {key: lettering_of(curve_of(thing), 0) for key, thing in things.items()},
        {key: _strips(thing, finished[key[0]].pieces[key[1]]) for key, thing in things.items()},
        tuple(_joints(context.scene)),
        tuple(JobNote(*job) for job in listed_jobs(context.scene)),
        {
            stock.name: frozenset({"thickness", "kerf"} - set(stock.measured))
            for stock in context.scene.flatwright_stocks
        },
        layers_of(context, context.scene.flatwright_readiness.machine),
        chosen_scale(context),
        hold_rule(context.scene),
        feed_rates(context.scene),
    )


def _checked(job: _Job, progress: Progress | None) -> tuple[Objection, ...]:
    found = check_job(
        job.wanted,
        job.sheets,
        lettering=job.lettering,
        bends=job.bends,
        hold=job.hold,
        progress=progress,
    )
    # What is said of a piece, with its place, need not be said of all sheets at once.
    said = {"out of date"} if {"out of date", "missing"} & {r.rule for r in found} else set()
    told = [
        *(one for one in job.objections if one.rule not in said),
        *(_placed(job, finding) for finding in found),
    ]
    return stops_first(told)


def _placed(job: _Job, finding: Finding) -> Objection:
    """What the core found, with the object it is about."""
    thing = frame = None
    numbers = finding.subject.numbers
    if finding.subject.kind == "part":
        thing = frame = job.things[numbers[0], numbers[1]]
    elif finding.subject.kind == "sheet":
        frame, pieces = job.frames[numbers[0]]
        thing = pieces[numbers[1]] if 0 <= numbers[1] < len(pieces) else frame
    return Objection(finding, thing, frame)


def _strips(thing: bpy.types.Object, piece: Piece) -> tuple[Strip, ...]:
    """Strips that are to bend, as the piece lies that is cut for a part."""
    strips = kept_strips(curve_of(thing))
    return tuple(s.transformed(MIRROR) for s in strips) if piece.is_turned else strips


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
