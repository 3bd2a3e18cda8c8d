"""Bring everything that is out of date up to date, in the order it is made in."""

import bpy

from ...geometry.errors import Cancelled, FlatwrightError
from ...geometry.sentences import Sentence, sentence_of
from ..assembly.check_record import checking, show_check
from ..assembly.rebuilding import rebuilding, show_parts
from ..bench.again import laying_out_again, show_laid_out
from ..bench.staying import put_back
from ..locale.words import in_words, reported, translated
from ..sheet.layouts import laying
from ..sheet.sheets_shown import show_sheets
from ..state.graph import needs_check, read_anew, stale_outlines, stale_photos, status
from ..state.job import next_step, stale_steps
from ..state.things import part_objects, sheet_objects
from ..state.work import LongWork, Stages
from .remaking import made_again

__all__ = ["FLATWRIGHT_OT_bring_up_to_date"]


class FLATWRIGHT_OT_bring_up_to_date(LongWork, bpy.types.Operator):
    """Lay photos out, trace outlines, rebuild parts, check and lay out, as far as out of date"""

    bl_idname = "flatwright.bring_up_to_date"
    bl_label = "Bring Up to Date"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not part_objects(context) and not stale_steps(context):
            cls.poll_message_set(translated("Nothing is out of date"))
            return False
        return True

    def stages(self, context: bpy.types.Context) -> Stages:
        self._left: list[Sentence] = []
        read_anew(context)
        put_back(context)
        for photo in stale_photos(context):
            show_laid_out(photo, (yield laying_out_again(photo)))
        yield from self._outlines(context)
        if part_objects(context) and not status(context, "parts").is_current:
            show_parts(context, (yield rebuilding(context)))
        if needs_check(context) and not status(context, "check").is_current:
            show_check(context, (yield checking(context)))
        if sheet_objects(context) and status(context, "sheets").state == "stale":
            show_sheets(context, (yield laying(context)))
        self.tell(context)

    def _outlines(self, context: bpy.types.Context) -> Stages:
        """Make outlines again, each once; one that cannot be is left as it is, and told."""
        tried: list[bpy.types.Object] = []
        while True:
            read_anew(context)
            thing = next((o for o in stale_outlines(context) if o not in tried), None)
            if thing is None:
                return
            tried.append(thing)
            try:
                again = made_again(thing)
                again.show((yield again.work))
            except Cancelled:
                raise
            except FlatwrightError as error:
                self._left.append(sentence_of(error))

    def tell(self, context: bpy.types.Context) -> None:
        """Say what is left that a button cannot do."""
        read_anew(context)
        steps = [s for s in stale_steps(context) if s.operator != "flatwright.save_cut_files"]
        wanted = next_step(context)
        if self._left:
            self.report({"WARNING"}, " ".join(map(in_words, self._left)))
        elif steps:
            why = in_words(steps[0].status(context).told)
            self.report({"WARNING"}, reported("Still out of date: {why}", why=why))
        elif wanted is not None and wanted.status(context).state == "failed":
            self.report({"WARNING"}, in_words(wanted.status(context).told))
        else:
            self.report({"INFO"}, reported("Everything that was made is up to date."))
