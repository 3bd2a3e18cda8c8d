"""Make an outline symmetric: about an axis or centre found, given by an object, or clicked."""

from collections.abc import Sequence
from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, FloatVectorProperty, IntProperty

from ...geometry.errors import FlatwrightError, OutlineError, SymmetryError
from ...geometry.outline import Axis, Profile, symmetrise
from ...geometry.progress import Progress
from ..blender.clicking import NAVIGATION
from ..blender.curves import curve_of, read_profile
from ..blender.drawing import Drawing, Overlay, redraw
from ..blender.names import SYMMETRIC, base_of, free_name, name_of_outline
from ..blender.screen import place_under_mouse
from ..blender.units import radians_of, show_length
from ..locale.words import hinted, in_words, reported, reported_of, translated
from ..state.work import LongWork, Stages, Work
from .axis_record import keep_symmetry
from .axis_shown import clicked_drawing
from .outline_objects import add_outline
from .properties import active_outline, selected_outlines
from .symmetry_guides import axis_by_object, center_by_object, cursor_on, guide_object
from .tracing.doubts import read_of

__all__ = ["FLATWRIGHT_OT_make_symmetric", "hand_was_off"]

NOWHERE = (0.0, 0.0, 0.0, 0.0)


class FLATWRIGHT_OT_make_symmetric(LongWork, bpy.types.Operator):
    """Make a symmetric outline from the hand-cut one, and say how far off the hand was"""

    bl_idname = "flatwright.make_symmetric"
    bl_label = "Make Symmetric"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(
        name="Symmetry",
        items=(
            ("mirror", "Mirror", "Both sides of an axis are alike"),
            ("rotational", "Rotational", "Turning by a part of a full turn changes nothing"),
            ("dihedral", "Rotational and Mirror", "It turns onto itself and mirrors, as a star"),
        ),
    )
    order: IntProperty(
        name="Repeats per Turn",
        description="How many times the shape repeats in a turn",
        default=2,
        min=2,
    )
    place: EnumProperty(
        name="Axis or Centre",
        items=(
            ("find", "Find", "The best axis or centre is found"),
            ("middle", "Middle", "Through the middle of the shape"),
            ("cursor", "3D Cursor", "Through the 3D cursor"),
            ("object", "Other Selected", "A curve's two ends, or an object's place and Y axis"),
            ("points", "Clicked", "Through two places you click; a turn's centre comes first"),
        ),
    )
    clicked_mm: FloatVectorProperty(
        name="Clicked",
        description="Two places on the axis, x and y of each in the outline's own millimetres",
        size=4,
        default=NOWHERE,
        options={"SKIP_SAVE", "HIDDEN"},
    )
    axis_deg: FloatProperty(
        name="Direction", description="Direction of the mirror axis", subtype="NONE", default=90.0
    )
    keep: EnumProperty(
        name="Keep",
        items=(
            ("average", "Average", "All copies count alike, which moves the outline least"),
            (
                "first",
                "Left of Axis",
                "What lies left of the axis, or the sector at the first corner",
            ),
            ("second", "Right of Axis", "What lies right of the axis, or the next sector"),
        ),
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_outline(context) is None:
            cls.poll_message_set(translated("Select an outline, or press Trace Outline"))
            return False
        return True

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        layout.prop(self, "kind")
        if self.kind != "mirror":
            layout.prop(self, "order")
        layout.prop(self, "place")
        if self.kind != "rotational" and self.place in ("middle", "cursor"):
            layout.prop(self, "axis_deg")
        layout.prop(self, "keep")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if self.place != "points" or any(self.clicked_mm) or bpy.app.background:
            return self.start(context)
        self._places: list[tuple[float, float]] = []
        self._mouse: tuple[float, float] | None = None
        self._world = active_outline(context).matrix_world.copy()
        self._overlay = Overlay(self._drawing)
        context.window.cursor_modal_set("CROSSHAIR")
        self._tell(context)
        self.listen(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            return super().modal(context, event)
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self._leave(context)
            return {"CANCELLED"}
        if event.type == "MOUSEMOVE" or (event.type, event.value) == ("LEFTMOUSE", "PRESS"):
            try:
                at = place_under_mouse(context, event, active_outline(context))
            except FlatwrightError as error:
                if event.type == "LEFTMOUSE":
                    self.report({"WARNING"}, in_words(error))
                return {"PASS_THROUGH"}
            self._mouse = at
            redraw()
            if event.type == "MOUSEMOVE":
                return {"PASS_THROUGH"}
            self._places.append(at)
            self._tell(context)
            if len(self._places) < self._wanted():
                return {"RUNNING_MODAL"}
            self._leave(context)
            self.clicked_mm = (*self._places[0], *self._places[-1])
            return self.start(context)
        return {"PASS_THROUGH"} if event.type.startswith(NAVIGATION) else {"RUNNING_MODAL"}

    def _wanted(self) -> int:
        return 1 if self.kind == "rotational" else 2

    def _tell(self, context: bpy.types.Context) -> None:
        what = translated(
            {
                "mirror": "Click two places on the axis",
                "rotational": "Click the centre",
                "dihedral": "Click the centre, then a place on a mirror axis",
            }[self.kind]
        )
        context.workspace.status_text_set(
            hinted(
                "{what}   {done} of {wanted}   (Esc: Cancel)",
                what=what,
                done=len(self._places),
                wanted=self._wanted(),
            )
        )

    def _leave(self, context: bpy.types.Context) -> None:
        self._overlay.remove()
        context.window.cursor_modal_restore()
        context.workspace.status_text_set(None)

    def _drawing(self, region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
        ends = [*self._places, *([self._mouse] if self._mouse else [])]
        return clicked_drawing(self._world, ends, region, view)

    def _about(
        self, context: bpy.types.Context, source: bpy.types.Object, profile: Profile
    ) -> Axis | tuple[float, float] | None:
        """Return the axis or centre asked for; None to have it found."""
        mirror = self.kind != "rotational"
        angle = radians_of(self.axis_deg)
        if self.place == "points":
            if not any(self.clicked_mm):
                raise SymmetryError(
                    "No place was clicked. Start Make Symmetric anew and click, or choose Find."
                )
            ax, ay, bx, by = (round(c, 5) for c in self.clicked_mm)
            return Axis.through((ax, ay), (bx, by)) if mirror else (ax, ay)
        if self.place == "object":
            guide = guide_object(context, source)
            return axis_by_object(guide, source) if mirror else center_by_object(guide, source)
        if self.place == "cursor":
            point = cursor_on(context, source)
            return Axis.along(point, angle) if mirror else point
        if self.place == "middle":
            axis = Axis.through_middle(profile, angle)
            return axis if mirror else axis.point
        return None

    def stages(self, context: bpy.types.Context) -> Stages:
        sources = selected_outlines(context)
        if self.place in ("points", "object") or len(sources) < 2:
            sources = [active_outline(context)]
        if sources[0] is None:
            raise OutlineError("No outline is selected. Select the outline to make symmetric.")
        found = []
        for source in sources:
            found.append((source, (yield self._working(context, source))))
        made = [self._show(context, source, result) for source, result in found]
        for thing in made:
            thing.select_set(True)
        self._tell_made(made)

    def _working(self, context: bpy.types.Context, source: bpy.types.Object) -> Work:
        if not is_in_view(context, source):
            raise OutlineError(
                "“{name}” is not in this view layer, so it could not be hidden behind its mirrored "
                "outline. Switch its collection on, or link it to one that is.",
                name=source.name,
            )
        profile, read = read_profile(curve_of(source)), read_of(source)
        kind, order, keep = self.kind, self.order, self.keep
        about = self._about(context, source, profile)

        def work(progress: Progress) -> Any:
            return symmetrise(profile, kind, order=order, about=about, keep=keep, read=read)

        return work

    def _show(
        self, context: bpy.types.Context, source: bpy.types.Object, result: Any
    ) -> bpy.types.Object:
        thing = add_outline(
            context,
            free_name(name_of_outline(base_of(source.name), SYMMETRIC)),
            result.profile,
            source.flatwright_outline.photo,
            frame=source,
        )
        # Two thin lines on top of each other would only confuse; the hand-cut one is kept.
        if is_in_view(context, source):
            source.hide_set(True)
        keep_symmetry(thing, result, source, self.keep, given=self.place != "find")
        return thing

    def _tell_made(self, made: list[bpy.types.Object]) -> None:
        words = hand_was_off(max(made, key=lambda o: o.flatwright_outline.deviation_max_mm))
        if len(made) > 1:
            count = reported("{number} outlines made symmetric; the worst:", number=len(made))
            words = f"{count} {words}"
        self.report({"INFO"}, words)


def is_in_view(context: bpy.types.Context, thing: bpy.types.Object) -> bool:
    """Whether an object belongs to the view layer that is worked in."""
    return context.view_layer.objects.get(thing.name) == thing


def hand_was_off(thing: bpy.types.Object) -> str:
    """Say which symmetry an outline has, how far off it the hand was, and which sides count."""
    settings = thing.flatwright_outline
    return " ".join((_hand_told(settings), *_sides_told(settings.passed_over)))


def _hand_told(settings: Any) -> str:
    if 0.0 < settings.deviation_max_mm <= settings.deviation_chance_mm:
        return reported(
            "{symmetry}, within what was read of its edge: ± {off}.",
            symmetry=settings.symmetry,
            off=show_length(settings.deviation_chance_mm),
        )
    return reported(
        "{symmetry}. Hand-cut error up to {most}, {rms} rms.",
        symmetry=settings.symmetry,
        most=show_length(settings.deviation_max_mm),
        rms=show_length(settings.deviation_rms_mm),
    )


def _sides_told(passed_over: Sequence[int]) -> list[str]:
    """Which copies were taken where others are in doubt: of an axis' left, its right, a centre."""
    left, right, around = passed_over
    told = []
    if left:
        told.append(
            reported_of(
                left,
                "{number} place left of the axis is in doubt: the right side was taken.",
                "{number} places left of the axis are in doubt: the right side was taken.",
            )
        )
    if right:
        told.append(
            reported_of(
                right,
                "{number} place right of the axis is in doubt: the left side was taken.",
                "{number} places right of the axis are in doubt: the left side was taken.",
            )
        )
    if around:
        told.append(
            reported_of(
                around,
                "{number} place is in doubt: its other copies were taken.",
                "{number} places are in doubt: their other copies were taken.",
            )
        )
    return told
