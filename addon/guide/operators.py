"""Look at one stage of the job, start with an example, read the manual."""

import webbrowser
from pathlib import Path
from typing import Any

import bpy
from bpy.props import EnumProperty, StringProperty

from ...geometry.errors import FileError
from ..bench.entries import entry_named
from ..blender.views import frame_from_above, frame_things, show_relations
from ..locale.words import LANGUAGES, reported, spoken_language, translated
from ..photo.covering import uncover
from ..photo.operators import add_photo
from ..photo.packed_photo import reading
from ..photo.properties import active_photo
from ..state.job import next_step
from ..state.things import fixture_objects, part_objects, sheet_objects
from ..state.work import LongWork, Work, plainly
from .panel import stage_of

__all__ = [
    "FLATWRIGHT_OT_add_example",
    "FLATWRIGHT_OT_look_at",
    "FLATWRIGHT_OT_next_step",
    "FLATWRIGHT_OT_read_manual",
]

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT.joinpath("example", "photo.jpg")
MANUAL = ROOT.joinpath("manual")
EXAMPLE_PITCH_MM, EXAMPLE_FACE_MM = 10.0, 5.0


class FLATWRIGHT_OT_look_at(bpy.types.Operator):
    """Turn the view to one stage of the job and show all of it"""

    bl_idname = "flatwright.look_at"
    bl_label = "Look At"

    what: EnumProperty(
        name="View",
        items=(
            ("BENCH", "Photo", "Down on the photo", "IMAGE_DATA", 0),
            ("ASSEMBLY", "Assembly", "Aslant on the parts and their fixture", "MOD_SOLIDIFY", 1),
            ("SHEET", "Sheets", "Down on the sheets", "SNAP_FACE", 2),
        ),
    )

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        self._show(context)
        _show_lines(context, self.what != "SHEET")
        return {"FINISHED"}

    def _show(self, context: bpy.types.Context) -> None:
        if self.what == "BENCH":
            photo = active_photo(context)
            if photo is None:
                raise FileError("There is no photo to look at. Press Add Photo first.")
            frame_from_above(context, photo)
        elif self.what == "ASSEMBLY":
            parts = part_objects(context)
            if not parts:
                raise FileError("There are no parts to look at. Press Make Part first.")
            things = [*parts, *(thing for thing, _ in fixture_objects(context))]
            frame_things(context, things, from_above=False)
        else:
            sheets = sheet_objects(context)
            if not sheets:
                raise FileError("There are no sheets to look at. Press Lay Out Sheets first.")
            frame_things(context, sheets, from_above=True)


def _show_lines(context: bpy.types.Context, shown: bool) -> None:
    """Take lines between sheets and their pieces away; bring back only what was taken away."""
    guide = context.scene.flatwright_guide
    if not shown and show_relations(context, False):
        guide.hides_relations = True
    elif shown and guide.hides_relations:
        show_relations(context, True)
        guide.hides_relations = False


class FLATWRIGHT_OT_next_step(bpy.types.Operator):
    """Do the next step of the job, and open its stage in the sidebar"""

    bl_idname = "flatwright.next_step"
    bl_label = "Next Step"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if next_step(context) is None:
            cls.poll_message_set(translated("Everything is done"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        return self._start(context, "EXEC_DEFAULT")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        return self._start(context, "INVOKE_DEFAULT")

    def _start(self, context: bpy.types.Context, how: str) -> set[str]:
        wanted: Any = next_step(context)
        context.window_manager.flatwright_tab.stage = stage_of(wanted.panel)
        room, name = wanted.operator.split(".")
        if name == "find_grid":
            # What a photo's scale is taken from is chosen in its panel.
            room, name = entry_named(active_photo(context).flatwright_bench.reference).button.split(
                "."
            )
        try:
            getattr(getattr(bpy.ops, room), name)(how)
        except RuntimeError as error:
            # Blender hands on as an exception what the step has reported.
            told = str(error).removeprefix("Error: ").strip()
            self.report({"ERROR"}, told)
        return {"FINISHED"}


class FLATWRIGHT_OT_add_example(LongWork, bpy.types.Operator):
    """Start with the example: a cardboard rib for a globe's cradle on a 10 mm mat"""

    bl_idname = "flatwright.add_example"
    bl_label = "Start with the Example"
    bl_options = {"REGISTER", "UNDO"}

    def gather(self, context: bpy.types.Context) -> Work:
        return reading(EXAMPLE)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        by_hand = self._job is not None
        photo = add_photo(context, EXAMPLE, result, by_hand=by_hand)
        over = uncover(context, photo) if by_hand else ""
        bench = photo.flatwright_bench
        bench.pitch_mm, bench.face_height_mm = EXAMPLE_PITCH_MM, EXAMPLE_FACE_MM
        told = reported("The mat's lines are 10 mm apart, the card is 5 mm thick. Find Grid.")
        self.report({"INFO"}, f"{told} {over}".strip())


def manual_page(section: str, language: str) -> Path:
    """Where a page of the manual lies: in one of Blender's languages, else in English."""
    return MANUAL.joinpath(LANGUAGES.get(language, ""), f"{section}.html")


class FLATWRIGHT_OT_read_manual(bpy.types.Operator):
    """Open the manual's page about this stage in the browser; it lies in the installed folder"""

    bl_idname = "flatwright.read_manual"
    bl_label = "Read the Manual"

    section: StringProperty(name="Manual Page", default="index", options={"SKIP_SAVE"})

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        page = manual_page(self.section, spoken_language())
        if not page.is_file():
            raise FileError(
                "The manual has no page “{page}”. Install Flatwright again from its zip.",
                page=self.section,
            )
        shown = not bpy.app.background and webbrowser.open(page.as_uri())
        told = (
            reported("The manual's page is open in the browser.")
            if shown
            else reported("The manual's page is {path}.", path=page)
        )
        self.report({"INFO"}, told)
        return {"FINISHED"}
