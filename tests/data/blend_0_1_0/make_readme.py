# ruff: noqa: E501
"""Write the README's table: every place where version 0.1.0 keeps something; see make.py."""

import json
import re
from pathlib import Path

import bpy

HERE = Path(__file__).resolve().parent

WORDS = {
    "axis_object": "Object whose z axis parts stand around",
    "more_fixtures": "Further fixtures, each with its own gap",
    "more_fixtures.thing": "The further fixture",
    "is_stale": "Something changed while Follow Changes was off",
    "is_computing": "Parts are being computed beside the window: a passing state, kept although it is not meant to be",
    "trouble": "Why parts could not be rebuilt",
    "joints": "The list of joints",
    "joints.a": "First part",
    "joints.b": "Second part; empty where it was deleted",
    "joints.kind": "lap: cross-lap; tab: tab and slot",
    "joints.fit": "press, sliding, loose, typed, or as all (scene)",
    "joints.opens": "Which end of the line the first part's slot opens at; auto chooses",
    "joints.needed": "Side found for an automatic joint by Open Slots",
    "joints.is_asleep": "The parts do not meet as they stand, so nothing is cut",
    "joints.figures": "What became of the joint, in words",
    "joints.place": "Middle of the joint's line, Blender units",
    "joints.start": "The line's start, Blender units",
    "joints.end": "The line's end, Blender units",
    "joint_index": "Row chosen in the list",
    "opening": "What was said when sides were last sought",
    "laps": "How many cross-laps were cut",
    "tabbed": "How many tabbed joints were cut",
    "steps": "The order of assembly, one push after the other",
    "steps.sentence": "The push in words",
    "steps.direction": "Which way it goes",
    "steps.pushed": "What is pushed",
    "steps.pushed.thing": "A part or fixture that is pushed",
    "flatwright_assembly.checked": "The assembly was checked",
    "flatwright_assembly.checked_scene": "Fingerprint of what was checked",
    "remarks": "Findings of the check",
    "remarks.severity": "stop or caution",
    "remarks.label": "The finding in short",
    "remarks.sentence": "The finding in a sentence",
    "remarks.things": "What it is about",
    "remarks.things.thing": "A part it is about",
    "remarks.has_place": "Whether it has a place",
    "remarks.place": "Its place, Blender units",
    "remark_index": "Row chosen in the list",
    "interferences": "How many pairs overlap",
    "order_found": "An order of assembly was found",
    "is_clear": "Every gap is as required",
    "is_reached": "Some part reaches a fixture, so that the least gap means something",
    "least_gap_mm": "Least gap to a fixture",
    "feature": "slot, tab, peg, hole, ring bore or ring outside",
    "flatwright_fit_series.pieces": "coupon, gauge or part",
    "flatwright_fit_series.fit": "The fit that is being learned",
    "iso_hole": "Tolerance class of the hole",
    "iso_shaft": "Tolerance class of the shaft",
    "is_saved": "Cut files were saved",
    "findings": "What the check before cutting found",
    "findings.severity": "stop or caution",
    "findings.label": "Rule and part",
    "findings.sentence": "The finding in a sentence",
    "findings.thing": "The part or piece it is about",
    "findings.frame": "In whose axes its place is",
    "findings.place_mm": "Its place",
    "flatwright_readiness.index": "Row chosen in the list",
    "flatwright_readiness.checked": "Parts and sheets were checked",
    "flatwright_readiness.checked_scene": "Fingerprint of what was checked",
    "flatwright_stock_index": "Row chosen in the list of stocks",
    "flatwright_stocks": "The stocks",
    "flatwright_stocks.name": "Name, by which parts and sheets refer to it",
    "known_name": "The name it had before it was renamed",
    "measured": "Which of its numbers a person measured or typed",
    "sheet_width_mm": "Width of the sheet",
    "sheet_height_mm": "Height of the sheet",
    "process": "laser, router or knife",
    "references": "What was marked on the photo",
    "references.size_mm": "The size typed",
    "references.misfit_mm": "How far it is off by the scale found",
    "contradictions": "Which references disagree, in sentences",
    "straightened_height_mm": "Height the picture was straightened at",
    "tilt_deg": "The camera's tilt",
    "rms_px": "How well the grid is fitted",
    "nodes_used": "Crossings, ticks or marks used",
    "squares_seen": "The grid's columns and rows",
    "doubt_per_100_mm": "Doubt of the scale on 100 mm",
    "warnings": "What to mind about the scale, in sentences",
    "told": "The bench in words",
    "flatwright_check.checked": "The part was checked",
    "reaches": "It reaches a fixture",
    "gap_mm": "Its least gap to a fixture",
    "flatwright_check.required_mm": "The gap required there",
    "overlap_mm2": "Area by which it overlaps the fixture",
    "flatwright_check.sentence": "The clearance in words",
    "flatwright_check.place": "Where it is least, Blender units",
    "is_outline": "The curve is an outline",
    "photo": "The photo it was traced on, whose bench it lies on",
    "traced": "The hand-cut outline a symmetric one was made from",
    "inside_px": "The first click",
    "clicks": "Further clicks",
    "clicks.place_px": "The click",
    "clicks.is_removed": "It removes rather than adds",
    "tolerance_mm": "How far the fit may stay from the edge",
    "smallest_hole_mm": "What is narrower is no hole",
    "character": "precise or organic",
    "origin_mm": "Where the outline's origin was on the bench",
    "traced_record": "Fingerprint of what was traced, to tell edits by",
    "symmetry": "The symmetry in words",
    "deviation_max_mm": "How far off the hand was at most",
    "deviation_rms_mm": "How far off the hand was, rms",
    "made_of": "How many lines, arcs and curves, in words",
    "is_part": "The curve is a part",
    "flatwright_part.outline": "The outline it is cut from",
    "flatwright_part.stock": "Name of its stock",
    "is_photo": "The image empty is a photo",
    "file_name": "The file it came from",
    "original": "Its file, byte for byte, as a packed image",
    "width_px": "Width",
    "height_px": "Height",
    "role": "SHEET, PIECE or MARK",
    "flatwright_sheet.stock": "Name of the sheet's stock",
    "flatwright_sheet.label": "Name of the part a piece is cut for",
    "number": "The sheet's number",
    "flatwright_sheet.pieces": "Pieces on the sheet",
    "used": "Share of the sheet that is used",
    "offcut_mm": "Size of what is left over",
    "kerf_corrected": "The pieces' lines were moved by half the kerf",
    "pinned": "The piece stays where it lies",
    "flatwright_step_of": "The part a moving copy stands for",
    "items": "Suggested corrections",
    "items.kind": "What the edges nearly are",
    "items.sentence": "The suggestion in a sentence",
    "items.edges": "The first and the last edge it is about",
    "items.place_mm": "Where it is shown",
    "items.movement_mm": "How far something would move",
    "flatwright_suggestions.index": "Row chosen in the list",
    "flatwright_suggestions.record": "Fingerprint of the outline that was asked about",
    "flatwright_suggestions.doubt_mm": "How far an edge may move",
}
KEYS = {
    "flatwright_profile": "Curve: the exact lines, arcs and cubics of its loops, as text",
    "flatwright_marks": "Curve: lettering of a test piece, as text",
    "flatwright_joint_corners": "Curve of a part: inside corners that joints have cut (mm), x and y in turn",
    "flatwright_inside_radius": "Curve of a part: tightest inside bend (mm), corners of joints aside; -1: none",
    "flatwright_file_name": "Image: name of the photo's file, for its ending",
}


def write():
    said = {
        n: json.loads((HERE / f"{n}.json").read_text()) for n in ("every record", "globe cradle")
    }
    where, keys = {}, {}
    for file, told in said.items():
        for owner, values in told["values"].items():
            kind, _, name = owner.partition(" ")
            for path in values:
                place = kind + "." + re.sub(r"\[\d+\]", "", path)
                at = re.search(r"\[\d+\].*", path)
                where.setdefault(place, f"{file}: {name}{', ' + at[0] if at else ''}")
        for owner, names in told["keys"].items():
            for name in names:
                keys.setdefault(name, f"{file}: {owner}")
    rows = [
        "| Property or key | What it holds | Where it is other than it begins |",
        "|---|---|---|",
    ]
    for place in said["every record"]["known"]:
        rows.append(f"| `{place}` | {words(place)} | {where[place]} |")
    for key in sorted(keys):
        rows.append(f'| `["{key}"]` | {KEYS[key]} | {keys[key]} |')
    text = (HERE / "README.head.md").read_text(encoding="utf-8")
    (HERE / "README.md").write_text(text + "\n".join(rows) + "\n", encoding="utf-8")


def words(place):
    names = place.split(".")
    for k in range(1, len(names)):
        found = WORDS.get(".".join(names[k:]))
        if found:
            return found
    rna = getattr(bpy.types, names[0]).bl_rna
    for name in names[1:-1]:
        rna = rna.properties[name].fixed_type
    properties = {p.identifier: p for p in rna.properties}
    prop = properties[names[-1]]
    other = properties.get(names[-1].removesuffix("_mm"))
    return prop.description or (other and other.description) or (other or prop).name
