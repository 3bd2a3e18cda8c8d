"""Name the fixture, place parts around it and check the whole."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, IntProperty

from ...geometry.errors import AssemblyError
from ..blender.units import LENGTH, show_length, to_blender, to_mm
from ..locale.words import reported, reported_of, translated
from ..part.needs import NeedsFixture, NeedsParts, NeedsStock
from ..part.properties import active_stock
from ..state.work import LongWork, Stages, Work, plainly
from .around_fixture import FEET, around, clearance_of, ringing, standing
from .check_record import checking, show_check, show_remark
from .cutaway import toggle_section
from .fixtures import fixture_mesh, fixtures
from .properties import is_mesh
from .rebuilding import RebuildsFirst, rebuilding, show_parts

__all__ = [
    "FLATWRIGHT_OT_add_fixture",
    "FLATWRIGHT_OT_check_assembly",
    "FLATWRIGHT_OT_rebuild_parts",
    "FLATWRIGHT_OT_remove_fixture",
    "FLATWRIGHT_OT_ring_around_fixture",
    "FLATWRIGHT_OT_section_view",
    "FLATWRIGHT_OT_set_fixture",
    "FLATWRIGHT_OT_show_remark",
    "FLATWRIGHT_OT_stand_around",
]


class FLATWRIGHT_OT_set_fixture(bpy.types.Operator):
    """Take the active mesh as the existing object that the parts must fit"""

    bl_idname = "flatwright.set_fixture"
    bl_label = "Use as Fixture"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not is_mesh(context.object):
            cls.poll_message_set(translated("Select the model of your object, a mesh"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        settings = context.scene.flatwright_assembly
        before, settings.fixture = settings.fixture, context.object
        try:
            fixture_mesh(context)
        except AssemblyError:
            settings.fixture = before
            raise
        return {"FINISHED"}


class FLATWRIGHT_OT_add_fixture(NeedsFixture, bpy.types.Operator):
    """Take the active mesh as one more object that the parts must fit"""

    bl_idname = "flatwright.add_fixture"
    bl_label = "Add to Fixtures"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not is_mesh(context.object):
            cls.poll_message_set(translated("Select the model of your object, a mesh"))
            return False
        return super().poll(context)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        settings = context.scene.flatwright_assembly
        known = [settings.fixture, *(more.thing for more in settings.more_fixtures)]
        if context.object in known:
            self.report(
                {"INFO"}, reported("“{name}” is a fixture already.", name=context.object.name)
            )
            return {"CANCELLED"}
        settings.more_fixtures.add().thing = context.object
        try:
            fixtures(context)
        except AssemblyError:
            settings.more_fixtures.remove(len(settings.more_fixtures) - 1)
            raise
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_fixture(bpy.types.Operator):
    """Take this object off the fixtures; the object itself stays"""

    bl_idname = "flatwright.remove_fixture"
    bl_label = "Remove from Fixtures"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Fixture", min=0, options={"SKIP_SAVE"})

    def execute(self, context: bpy.types.Context) -> set[str]:
        more = context.scene.flatwright_assembly.more_fixtures
        if self.index >= len(more):
            return {"CANCELLED"}
        more.remove(self.index)
        return {"FINISHED"}


class FLATWRIGHT_OT_stand_around(NeedsFixture, LongWork, bpy.types.Operator):
    """Stand the part upright on its foot and repeat it around the fixture's axis"""

    bl_idname = "flatwright.stand_around"
    bl_label = "Stand Around Fixture"
    bl_options = {"REGISTER", "UNDO"}

    count: IntProperty(
        name="Count",
        description="How many; 0: one for each corner of the fixture, six if it is round",
        default=6,
        min=0,
        max=360,
    )
    fits: BoolProperty(
        name="Keep the Required Gap",
        description="As near to the axis as the gap required of the fixture lets the part stand",
    )
    distance: FloatProperty(
        name="From Axis", description="From the axis to the part's nearest point", **LENGTH
    )
    floor: FloatProperty(name="Floor", description="Height the foot stands on", **LENGTH)
    facing: EnumProperty(
        name="Side to Axis",
        items=(
            ("auto", "Automatic", "The way that overlaps the fixture least"),
            ("drawn", "Left", "The outline's own left side faces the axis"),
            ("turned", "Right", "The outline's own right side faces the axis"),
        ),
    )
    foot: IntProperty(default=-1, min=-1, options={"HIDDEN"})
    """Which straight edge stands on the floor, counted from the longest; -1 as chosen below."""
    foot_edge: EnumProperty(
        name="Foot Edge", description="Which straight edge stands on the floor", items=FEET
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.object is None or not context.object.flatwright_part.is_part:
            cls.poll_message_set(translated("Select a part"))
            return False
        return super().poll(context)

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.distance = to_blender(20.0, context.scene)
        self.count, self.fits = 0, True
        return self.ask_for_settings(context)

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.use_property_split = True
        self.layout.prop(self, "count")
        self.layout.prop(self, "fits")
        row = self.layout.row()
        row.enabled = not self.fits
        row.prop(self, "distance")
        for name in ("floor", "facing", "foot_edge"):
            self.layout.prop(self, name)

    def stages(self, context: bpy.types.Context) -> Stages:
        stood = yield from standing(
            context,
            context.object,
            count=self.count,
            distance_mm=None if self.fits else to_mm(self.distance),
            floor_mm=to_mm(self.floor),
            facing=self.facing,
            foot=self.foot,
            foot_edge=self.foot_edge,
        )
        told = reported(
            "{count} parts {distance} from the axis, each on foot edge {foot}, {length} long.",
            count=stood.count,
            distance=show_length(stood.distance_mm),
            foot=stood.foot,
            length=show_length(stood.foot_mm),
        )
        self.report({"INFO"}, told)


class FLATWRIGHT_OT_ring_around_fixture(NeedsStock, NeedsFixture, LongWork, bpy.types.Operator):
    """Add a flat ring whose bore fits the fixture, at the 3D cursor's height or another"""

    bl_idname = "flatwright.ring_around_fixture"
    bl_label = "Ring Around Fixture"
    bl_options = {"REGISTER", "UNDO"}

    at_cursor: BoolProperty(
        name="At the Cursor's Height",
        description="The middle of the sheet lies as high as the 3D cursor, along the axis",
    )
    height: FloatProperty(name="Height", description="Height of the middle of the sheet", **LENGTH)
    outer_diameter: FloatProperty(name="Outside Diameter", **LENGTH)
    clearance: FloatProperty(
        name="Clearance", description="Gap left all round between fixture and bore", **LENGTH
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        scene = context.scene
        self.at_cursor, self.height = True, scene.cursor.location.z
        self.clearance = clearance_of(context)
        fixture = scene.flatwright_assembly.fixture
        self.outer_diameter = around(fixture)
        return self.ask_for_settings(context)

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.use_property_split = True
        self.layout.prop(self, "at_cursor")
        row = self.layout.row()
        row.enabled = not self.at_cursor
        row.prop(self, "height")
        self.layout.prop(self, "outer_diameter")
        self.layout.prop(self, "clearance")

    def stages(self, context: bpy.types.Context) -> Stages:
        bore_mm = yield from ringing(
            context,
            active_stock(context.scene),
            height_mm=None if self.at_cursor else to_mm(self.height),
            outer_diameter_mm=to_mm(self.outer_diameter),
            clearance_mm=to_mm(self.clearance),
        )
        self.report({"INFO"}, reported("Ring with a bore of {size}.", size=show_length(bore_mm)))


class FLATWRIGHT_OT_rebuild_parts(LongWork, bpy.types.Operator):
    """Rebuild every part from its outline, its stock and its joints"""

    bl_idname = "flatwright.rebuild_parts"
    bl_label = "Rebuild Parts"
    bl_options = {"REGISTER", "UNDO"}

    def gather(self, context: bpy.types.Context) -> Work:
        return rebuilding(context)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        told = reported_of(
            show_parts(context, result), "{number} part rebuilt.", "{number} parts rebuilt."
        )
        refused = str(context.scene.flatwright_assembly.trouble)
        self.report({"WARNING" if refused else "INFO"}, f"{told} {refused}".strip())


class FLATWRIGHT_OT_check_assembly(NeedsParts, RebuildsFirst, bpy.types.Operator):
    """Measure clearance to the fixture, find parts that overlap and an order of assembly"""

    bl_idname = "flatwright.check_assembly"
    bl_label = "Check Assembly"
    bl_options = {"REGISTER", "UNDO"}

    def gather(self, context: bpy.types.Context) -> Work:
        return checking(context)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        level, sentence = show_check(context, result)
        self.report({level}, sentence)


class FLATWRIGHT_OT_show_remark(bpy.types.Operator):
    """Select what this problem is about and look at its place"""

    bl_idname = "flatwright.show_remark"
    bl_label = "Show Assembly Problem"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Problem", min=0, options={"SKIP_SAVE"})

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        show_remark(context, self.index)
        return {"FINISHED"}


class FLATWRIGHT_OT_section_view(bpy.types.Operator):
    """Cut the view open at the selected part's plane; again to close it"""

    bl_idname = "flatwright.section_view"
    bl_label = "Section"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        view = getattr(context, "region_data", None)
        if view is None:
            cls.poll_message_set(translated("Use it in a 3D viewport"))
            return False
        is_part = context.object is not None and context.object.flatwright_part.is_part
        if not (is_part or view.use_clip_planes):
            cls.poll_message_set(translated("Select the part at whose plane to cut"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        toggle_section(context.region_data, context.object)
        return {"FINISHED"}
