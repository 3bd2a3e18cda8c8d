"""The job without a window: ``blender --command flatwright`` check, export and measure."""

import argparse
import contextlib
import json
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import bpy

from ..geometry.errors import FileError, FlatwrightError, PartError, PhotoError
from ..geometry.units import parse_length
from .assembly.check_record import checking as checking_assembly
from .assembly.check_record import show_check
from .assembly.rebuilding import rebuild_parts
from .files.cut_job import Formats, Saved, checking, saving
from .measuring import add_measure
from .sheet.layouts import laying
from .sheet.sheets_shown import show_sheets
from .state.graph import needs_check
from .state.things import decide_hidden, part_objects, sheet_objects
from .state.verdict import Objection

__all__ = ["NOT_READY", "READY", "USAGE", "register", "run", "unregister"]

READY, NOT_READY, USAGE = 0, 1, 2
"""What the command ends with."""

_handles: list[Any] = []


def register() -> None:
    """Give Blender the command."""
    # Blender's stubs do not know of the handle.
    handle: Any = bpy.utils.register_cli_command("flatwright", run)  # type: ignore[func-returns-value]
    _handles.append(handle)


def unregister() -> None:
    """Take the command back."""
    while _handles:
        bpy.utils.unregister_cli_command(_handles.pop())


def run(arguments: Sequence[str]) -> int:
    """Do what the command line asks for; return 0 if ready or done, 1 if not, 2 if misused.

    Results go to the standard output, everything else to the error output.
    """
    try:
        options = _parser().parse_args(list(arguments))
    except SystemExit as ended:
        return USAGE if ended.code else READY
    try:
        with _words_aside():
            if options.file is not None:
                _open(options.file)
    except FileError as error:
        _tell(str(error))
        return USAGE
    try:
        return int(options.do(options))
    except PhotoError as error:
        _tell(str(error))
        return USAGE
    except FlatwrightError as error:
        _tell(str(error))
        return NOT_READY


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="blender --command flatwright", allow_abbrev=False)
    commands = parser.add_subparsers(required=True, metavar="check | export | measure")
    check = commands.add_parser(
        "check", help="say what speaks against cutting a file's parts and sheets"
    )
    check.add_argument("file", metavar="FILE.blend", type=Path)
    check.add_argument("--json", action="store_true", help="answer as one line of JSON")
    _add_hidden(check)
    check.set_defaults(do=_check)
    export = commands.add_parser(
        "export", help="lay a file's parts out anew and write the cut files; the file stays as is"
    )
    export.add_argument("file", metavar="FILE.blend", type=Path)
    export.add_argument("--out", metavar="DIR", type=Path, required=True, help="existing folder")
    kinds = export.add_argument_group("files (without any of these: DXF, SVG and report)")
    for kind, what in (
        ("dxf", "DXF of each sheet"),
        ("svg", "SVG of each sheet"),
        ("pdf", "full-size paper template of each sheet"),
        ("report", "cut list of each stock"),
    ):
        kinds.add_argument(f"--{kind}", action="store_true", help=what)
    kinds.add_argument("--dxf-version", choices=("R2010", "R12"), default="R2010")
    kinds.add_argument("--dxf-unit", choices=("mm", "in"), default="mm")
    kinds.add_argument("--dxf-entities", choices=("segments", "polylines"), default="segments")
    kinds.add_argument("--line-width", metavar="MM", type=_length, default=0.1, help="of the SVG")
    kinds.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="of the PDF")
    kinds.add_argument(
        "--share-edges", action="store_true", help="cut a straight edge of two neighbours once"
    )
    sheet = export.add_argument_group(
        "another sheet of material",
        "Slots follow the thickness, paths the kerf. Bores and outlines that fit the fixture stay "
        "as designed.",
    )
    sheet.add_argument(
        "--stock",
        metavar="NAME",
        help="which of the file's stocks is meant; not needed if all is of one",
    )
    sheet.add_argument("--thickness", metavar="MM", type=_length, help="as a caliper says")
    sheet.add_argument("--kerf", metavar="MM", type=_length, help="full width the tool removes")
    _add_hidden(export)
    export.add_argument("--overwrite", action="store_true", help="replace files of the same name")
    export.add_argument("--anyway", action="store_true", help="write even if something stops it")
    export.set_defaults(do=_export)
    add_measure(commands, _length)
    return parser


def _add_hidden(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--hidden",
        choices=("cut", "leave-out"),
        help="whether parts that are hidden in the file are cut; without this they stop the job",
    )


def _length(text: str) -> float:
    try:
        return parse_length(text)
    except FlatwrightError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _open(path: Path) -> None:
    if not path.is_file():
        raise FileError(
            "There is no file “{path}”. Name an existing .blend file.",
            path=path,
        )
    try:
        # Nothing a stranger put into the file is run.
        bpy.ops.wm.open_mainfile(filepath=str(path.resolve()), load_ui=False, use_scripts=False)
    except RuntimeError as error:
        raise FileError(
            "“{path}” cannot be opened: it is no .blend file of Blender's. Name one that is.",
            path=path,
        ) from error


def _check(options: argparse.Namespace) -> int:
    context = bpy.context
    _refuse_without_parts(options.file)
    _decide(context, options)
    remarks = checking(context)(_silent)
    ready = not _stops(remarks)
    if options.json:
        answer = {
            "file": str(options.file),
            "ready": ready,
            "parts": len(part_objects(context)),
            "sheets": len(sheet_objects(context)),
            "findings": [
                {
                    "severity": remark.severity,
                    "rule": remark.rule,
                    "sentence": remark.sentence,
                    "place_mm": [round(c, 3) for c in remark.place],
                }
                for remark in remarks
            ],
        }
        _say(json.dumps(answer))
    else:
        for remark in remarks:
            _say(f"{remark.severity}: {remark.sentence}")
        if not sheet_objects(context):
            _say("No sheets are laid out; only the parts were checked.")
        _say("Ready." if ready else "Not ready.")
    return READY if ready else NOT_READY


def _export(options: argparse.Namespace) -> int:
    context = bpy.context
    _refuse_without_parts(options.file)
    _decide(context, options)
    _measure_stock(context, options)
    with _words_aside():
        rebuild_parts(context)
        if needs_check(context):
            show_check(context, checking_assembly(context)(_silent))
        show_sheets(context, laying(context)(_silent))
    work = saving(
        context,
        options.out,
        _formats(options),
        overwrite=options.overwrite,
        anyway=options.anyway,
        share_edges=options.share_edges,
    )
    saved: Saved = work(_silent)
    for remark in saved.findings:
        _tell(f"{remark.severity}: {remark.sentence}")
    if not saved.paths:
        _tell("Nothing was written. Mend what stops it, or add --anyway.")
        return NOT_READY
    for path in saved.paths:
        _say(str(path))
    return READY


def _formats(options: argparse.Namespace) -> Formats:
    chosen = (options.dxf, options.svg, options.pdf, options.report)
    dxf, svg, pdf, report = chosen if any(chosen) else (True, True, False, True)
    return Formats(
        dxf=dxf,
        svg=svg,
        template=pdf,
        cut_list=report,
        dxf_version=options.dxf_version,
        dxf_unit=options.dxf_unit,
        dxf_entities=options.dxf_entities,
        hairline_mm=options.line_width,
        paper=options.paper,
    )


def _measure_stock(context: bpy.types.Context, options: argparse.Namespace) -> None:
    """Give the stock the numbers of the sheet at hand."""
    stocks = {stock.name: stock for stock in context.scene.flatwright_stocks}
    used = sorted({thing.flatwright_part.stock for thing in part_objects(context)})
    listed = ", ".join(f"“{name}”" for name in used)
    if options.stock is not None and options.stock not in used:
        raise PartError(
            "No part is made of “{stock}”. Here parts are made of {listed}.",
            stock=options.stock,
            listed=listed,
        )
    if options.thickness is None and options.kerf is None:
        return
    if options.stock is None and len(used) > 1:
        raise PartError(
            "Parts are made of {listed}. Say with --stock which one is meant.",
            listed=listed,
        )
    name = options.stock or used[0]
    if name not in stocks:
        raise PartError(
            "There is no stock named “{name}” in this file any more. Add it in Blender and "
            "save the file.",
            name=name,
        )
    if options.thickness is not None:
        if options.thickness <= 0.0:
            raise PartError("The thickness is a length above 0 mm. Measure the sheet.")
        stocks[name].thickness_mm = options.thickness
    if options.kerf is not None:
        if options.kerf < 0.0:
            raise PartError("The kerf is a width of 0 mm or more. Measure a test cut.")
        stocks[name].kerf_mm = options.kerf


def _decide(context: bpy.types.Context, options: argparse.Namespace) -> None:
    """Cut hidden parts or leave them out, if the command line says so."""
    if options.hidden is not None:
        choice = "CUT" if options.hidden == "cut" else "LEAVE"
        decide_hidden(context, choice, lasting=False)


def _refuse_without_parts(path: Path) -> None:
    if not part_objects(bpy.context):
        raise PartError(
            "There is no part in “{path}”. Make one in Blender and save the file.",
            path=path,
        )


def _stops(findings: Sequence[Objection]) -> int:
    return sum(one.severity == "stop" for one in findings)


def _silent(fraction: float, message: str) -> None:
    """Nobody watches."""


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def _tell(text: str) -> None:
    sys.stderr.write(f"{text}\n")
    sys.stderr.flush()


@contextlib.contextmanager
def _words_aside() -> Iterator[None]:
    """Send what Blender itself says to the error output, so that the answer stands alone."""
    sys.stdout.flush()
    kept = os.dup(1)
    try:
        os.dup2(2, 1)
        yield
    finally:
        sys.stdout.flush()
        os.dup2(kept, 1)
        os.close(kept)
