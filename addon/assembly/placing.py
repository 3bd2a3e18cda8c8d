"""Place parts with the mouse: on a face, at the cursor, edge to edge, around an axis, mirrored."""

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    StringProperty,
)

from ...geometry.errors import AssemblyError, FlatwrightError
from ..blender.clicking import ask_for_click, meaning, stop_asking
from ..blender.units import LENGTH, radians_of, to_mm
from ..locale.words import in_words, reported_of, translated
from ..part.needs import NeedsSelectedParts
from ..state.things import selected_parts
from ..state.work import LongWork, Stages, plainly
from .part_poses import arraying, mate_parts, mirroring, place_on_face
from .surfaces import edge_near, surface_under_mouse

__all__ = [
    "FLATWRIGHT_OT_array_parts",
    "FLATWRIGHT_OT_mate_edges",
    "FLATWRIGHT_OT_mirror_parts",
    "FLATWRIGHT_OT_place_at_cursor",
    "FLATWRIGHT_OT_place_on_face",
]


class OnPart:
    """Mixin for what moves the active part."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.object is None or not context.object.flatwright_part.is_part:
            cls.poll_message_set(translated("Select a part"))  # type: ignore[attr-defined]
            return False
        return True


class Picking(OnPart):
    """Mixin for operators that are told with clicks; ``prompts`` say what each click is for."""

    prompts: tuple[str, ...]

    def begin(self, context: bpy.types.Context) -> set[str]:
        self._clicks = 0
        ask_for_click(context, self.prompts[0])
        context.window_manager.modal_handler_add(self)  # type: ignore[arg-type]
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        meant = meaning(event)
        if meant == "cancel":
            stop_asking(context)
            return {"CANCELLED"}
        return self._click(context, event) if meant == "click" else {"PASS_THROUGH"}

    def _click(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        try:
            self.picked(context, event, self._clicks)
        except FlatwrightError as error:
            # A click beside what was meant costs nothing: the next one counts.
            self.report({"WARNING"}, in_words(error))
            return {"RUNNING_MODAL"}
        self._clicks += 1
        if self._clicks < len(self.prompts):
            ask_for_click(context, self.prompts[self._clicks])
            return {"RUNNING_MODAL"}
        stop_asking(context)
        return self.execute(context)


class FLATWRIGHT_OT_place_on_face(Picking, bpy.types.Operator):
    """Stand or lay the part on the face you click on"""

    bl_idname = "flatwright.place_on_face"
    bl_label = "Place on Face"
    bl_options = {"REGISTER", "UNDO"}
    prompts = ("Click on the face to place the part on",)

    how: EnumProperty(
        name="Pose",
        items=(
            ("stand", "Stand", "Upright, on a straight edge"),
            ("lie", "Lie", "Flat on the face"),
        ),
    )
    turn: FloatProperty(name="Rotation", description="About the face's normal", subtype="ANGLE")
    foot: IntProperty(
        name="Foot Edge", description="Which straight edge it stands on, longest first", min=0
    )
    place: FloatVectorProperty(name="Place", subtype="XYZ", size=3)
    normal: FloatVectorProperty(name="Normal", subtype="DIRECTION", default=(0.0, 0.0, 1.0))

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        return self.begin(context)

    def picked(self, context: bpy.types.Context, event: bpy.types.Event, number: int) -> None:
        hit = surface_under_mouse(context, event, without=context.object)
        self.place, self.normal = hit.place, hit.normal

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        place_on_face(
            context,
            context.object,
            self.place,
            self.normal,
            stands=self.how == "stand",
            heading_rad=self.turn,
            foot=self.foot,
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_place_at_cursor(OnPart, bpy.types.Operator):
    """Stand or lay the part at the 3D cursor, as the cursor is turned"""

    bl_idname = "flatwright.place_at_cursor"
    bl_label = "Place at Cursor"
    bl_options = {"REGISTER", "UNDO"}

    how: EnumProperty(
        name="Pose",
        items=(
            ("stand", "Stand", "Upright, on a straight edge"),
            ("lie", "Lie", "Flat at the cursor"),
        ),
    )
    turn: FloatProperty(name="Rotation", description="About the cursor's z axis", subtype="ANGLE")
    foot: IntProperty(
        name="Foot Edge", description="Which straight edge it stands on, longest first", min=0
    )

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        cursor = context.scene.cursor.matrix
        place_on_face(
            context,
            context.object,
            cursor.translation,
            cursor.to_3x3().col[2],
            stands=self.how == "stand",
            heading_rad=self.turn,
            foot=self.foot,
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_mate_edges(Picking, bpy.types.Operator):
    """Stand one edge of the part on another part, along an edge of that one: click both edges"""

    bl_idname = "flatwright.mate_edges"
    bl_label = "Mate Edges"
    bl_options = {"REGISTER", "UNDO"}
    prompts = (
        "Click on the part near the edge that shall stand",
        "Click on the other part near the edge to stand along",
    )

    edge: IntProperty(name="Edge", options={"HIDDEN"})
    other: StringProperty(name="Other Part", options={"HIDDEN"})
    other_edge: IntProperty(name="Other Edge", options={"HIDDEN"})
    angle: FloatProperty(
        name="Angle",
        description="Between the two sheets",
        subtype="ANGLE",
        default=radians_of(90.0),
        min=radians_of(5.0),
        max=radians_of(175.0),
    )
    inset: FloatProperty(name="Inset", description="How far inside the other part's edge", **LENGTH)
    turned: BoolProperty(name="Flipped", description="Show the part's other face")
    below: BoolProperty(name="Below", description="Stand on the other part's lower face")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        return self.begin(context)

    def picked(self, context: bpy.types.Context, event: bpy.types.Event, number: int) -> None:
        if number == 0:
            hit = surface_under_mouse(context, event, parts_only=True)
            if hit.thing != context.object:
                raise AssemblyError(
                    "That is “{name}”. Click first on the active part, “{name_2}”, "
                    "which is to be moved.",
                    name=hit.thing.name,
                    name_2=context.object.name,
                )
            self.edge = edge_near(hit.thing, hit.place)
            return
        hit = surface_under_mouse(context, event, without=context.object, parts_only=True)
        self.other, self.other_edge = hit.thing.name, edge_near(hit.thing, hit.place)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        still: bpy.types.Object | None = context.scene.objects.get(self.other)
        if still is None or not still.flatwright_part.is_part:
            raise AssemblyError("The part to stand on is gone. Pick the edges again.")
        mate_parts(
            context,
            context.object,
            self.edge,
            still,
            self.other_edge,
            angle_rad=self.angle,
            inset_mm=to_mm(self.inset),
            turned=self.turned,
            below=self.below,
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_array_parts(NeedsSelectedParts, LongWork, bpy.types.Operator):
    """Repeat the selected parts around an axis, from where they stand; copies share their shape"""

    bl_idname = "flatwright.array_parts"
    bl_label = "Array Around"
    bl_options = {"REGISTER", "UNDO"}

    count: IntProperty(name="Count", default=4, min=2, max=360)
    about: EnumProperty(
        name="Axis",
        items=(
            ("fixture", "Fixture's Axis", "The axis the fixture is round or symmetric about"),
            ("cursor", "Cursor's Z", "The z axis of the 3D cursor"),
        ),
        default="cursor",
    )

    def stages(self, context: bpy.types.Context) -> Stages:
        added = yield from arraying(context, selected_parts(context), self.count, self.about)
        self.report(
            {"INFO"},
            reported_of(
                added,
                "{number} more part around the axis.",
                "{number} more parts around the axis.",
            ),
        )


class FLATWRIGHT_OT_mirror_parts(NeedsSelectedParts, LongWork, bpy.types.Operator):
    """Add mirror images of the selected parts; a flat part's image is the same shape turned over"""

    bl_idname = "flatwright.mirror_parts"
    bl_label = "Mirror Parts"
    bl_options = {"REGISTER", "UNDO"}

    side: EnumProperty(
        name="Plane",
        description="The plane through the 3D cursor, square to this axis of it",
        items=tuple((axis, f"{axis} of the Cursor", "") for axis in "XYZ"),
    )

    def stages(self, context: bpy.types.Context) -> Stages:
        added = yield from mirroring(context, selected_parts(context), self.side)
        self.report(
            {"INFO"},
            reported_of(added, "{number} mirror image added.", "{number} mirror images added."),
        )
