"""Assembly: parts around the fixture, joined and checked."""

import bpy

from ..blender.drawing import Overlay
from ..blender.registering import room
from ..outline.adding import FLATWRIGHT_MT_add
from ..state.following import Building, follow, stop_following
from .adding_box import FLATWRIGHT_OT_add_box, draw_add_box
from .gizmos import (
    FLATWRIGHT_GGT_signs,
    FLATWRIGHT_GGT_split,
    FLATWRIGHT_GT_signs,
    FLATWRIGHT_OT_drag_split,
    FLATWRIGHT_OT_pick_sign,
)
from .joints import (
    FLATWRIGHT_OT_cut_to_fixture,
    FLATWRIGHT_OT_finger_parts,
    FLATWRIGHT_OT_join_as,
    FLATWRIGHT_OT_join_parts,
    FLATWRIGHT_OT_open_slots,
    FLATWRIGHT_OT_remove_joint,
    FLATWRIGHT_OT_separate_parts,
    FLATWRIGHT_OT_share_left,
    FLATWRIGHT_OT_show_joint,
    FLATWRIGHT_OT_swap_joint,
    FLATWRIGHT_OT_tab_parts,
)
from .layering import FLATWRIGHT_OT_layer_part
from .measured import draw_add_measured
from .measured import register as _register_measured
from .measured import unregister as _unregister_measured
from .operators import (
    FLATWRIGHT_OT_add_fixture,
    FLATWRIGHT_OT_check_assembly,
    FLATWRIGHT_OT_rebuild_parts,
    FLATWRIGHT_OT_remove_fixture,
    FLATWRIGHT_OT_ring_around_fixture,
    FLATWRIGHT_OT_section_view,
    FLATWRIGHT_OT_set_fixture,
    FLATWRIGHT_OT_show_remark,
    FLATWRIGHT_OT_stand_around,
)
from .order import (
    FLATWRIGHT_OT_hide_steps,
    FLATWRIGHT_OT_save_step_pictures,
    FLATWRIGHT_OT_show_steps,
)
from .panel import (
    FLATWRIGHT_PT_assembly,
    FLATWRIGHT_PT_check,
    FLATWRIGHT_PT_joints,
    FLATWRIGHT_PT_order,
    FLATWRIGHT_PT_placing,
    FLATWRIGHT_UL_joints,
    FLATWRIGHT_UL_remarks,
)
from .placing import (
    FLATWRIGHT_OT_array_parts,
    FLATWRIGHT_OT_mate_edges,
    FLATWRIGHT_OT_mirror_parts,
    FLATWRIGHT_OT_place_at_cursor,
    FLATWRIGHT_OT_place_on_face,
)
from .properties import (
    FLATWRIGHT_PG_assembly,
    FLATWRIGHT_PG_check,
    FLATWRIGHT_PG_fixture,
    FLATWRIGHT_PG_fixture_cut,
    FLATWRIGHT_PG_joint,
    FLATWRIGHT_PG_remark,
    FLATWRIGHT_PG_step,
    FLATWRIGHT_PG_thing,
)
from .rebuilding import plan_parts, show_built
from .section_view import draw_cut
from .signs import draw_signs

_register, _unregister = room(
    (
        FLATWRIGHT_PG_joint,
        FLATWRIGHT_PG_thing,
        FLATWRIGHT_PG_step,
        FLATWRIGHT_PG_fixture,
        FLATWRIGHT_PG_remark,
        FLATWRIGHT_PG_assembly,
        FLATWRIGHT_PG_check,
        FLATWRIGHT_PG_fixture_cut,
        FLATWRIGHT_OT_set_fixture,
        FLATWRIGHT_OT_add_fixture,
        FLATWRIGHT_OT_remove_fixture,
        FLATWRIGHT_OT_place_on_face,
        FLATWRIGHT_OT_place_at_cursor,
        FLATWRIGHT_OT_mate_edges,
        FLATWRIGHT_OT_array_parts,
        FLATWRIGHT_OT_mirror_parts,
        FLATWRIGHT_OT_stand_around,
        FLATWRIGHT_OT_ring_around_fixture,
        FLATWRIGHT_OT_cut_to_fixture,
        FLATWRIGHT_OT_join_as,
        FLATWRIGHT_OT_join_parts,
        FLATWRIGHT_OT_tab_parts,
        FLATWRIGHT_OT_finger_parts,
        FLATWRIGHT_OT_add_box,
        FLATWRIGHT_OT_layer_part,
        FLATWRIGHT_OT_open_slots,
        FLATWRIGHT_OT_remove_joint,
        FLATWRIGHT_OT_separate_parts,
        FLATWRIGHT_OT_share_left,
        FLATWRIGHT_OT_show_joint,
        FLATWRIGHT_OT_swap_joint,
        FLATWRIGHT_OT_rebuild_parts,
        FLATWRIGHT_OT_check_assembly,
        FLATWRIGHT_OT_show_remark,
        FLATWRIGHT_OT_section_view,
        FLATWRIGHT_OT_show_steps,
        FLATWRIGHT_OT_hide_steps,
        FLATWRIGHT_OT_save_step_pictures,
        FLATWRIGHT_OT_drag_split,
        FLATWRIGHT_GGT_split,
        FLATWRIGHT_OT_pick_sign,
        FLATWRIGHT_GT_signs,
        FLATWRIGHT_GGT_signs,
        FLATWRIGHT_UL_joints,
        FLATWRIGHT_UL_remarks,
        FLATWRIGHT_PT_assembly,
        FLATWRIGHT_PT_placing,
        FLATWRIGHT_PT_joints,
        FLATWRIGHT_PT_check,
        FLATWRIGHT_PT_order,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_assembly",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_assembly),
        ),
        (
            bpy.types.Object,
            "flatwright_check",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_check),
        ),
        (
            bpy.types.Object,
            "flatwright_fixture_cut",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_fixture_cut),
        ),
        (
            bpy.types.Object,
            "flatwright_step_of",
            lambda: bpy.props.PointerProperty(type=bpy.types.Object),
        ),
    ],
)


signs: list[Overlay] = []


def register() -> None:
    """Register the room; let parts follow what they are made of, and show what a check found."""
    _register()
    _register_measured()
    follow(Building(lambda context: plan_parts(context).rebuilt, show_built))
    signs.append(Overlay(draw_cut, lasting=True))
    signs.append(Overlay(draw_signs, lasting=True))
    FLATWRIGHT_MT_add.append(draw_add_box)
    FLATWRIGHT_MT_add.append(draw_add_measured)


def unregister() -> None:
    """Take back the room, what listens for changes, and what is drawn."""
    FLATWRIGHT_MT_add.remove(draw_add_measured)
    FLATWRIGHT_MT_add.remove(draw_add_box)
    while signs:
        signs.pop().remove()
    stop_following()
    _unregister_measured()
    _unregister()
