"""More ways than those that were found once to change what was checked, laid out or saved.

After each a second Blender, which knows nothing from before, must say the same; and what is still
called current must come out the same there when it is made again.
"""

import bpy
import pytest

from tests.blender.scene_anew import Anew, told
from tests.blender.verdict_scene import MM, Job, stretch

pytestmark = pytest.mark.blender


@pytest.fixture(scope="module")
def anew(package):
    second = Anew(package)
    yield second
    second.end()


@pytest.fixture
def job(package, plate):
    return Job(package, plate)


@pytest.fixture
def finished(job, tmp_path):
    """The whole job: a collar round a ball, with two lapped plates beside it, up to its files."""
    one, other = job.crossing()
    for thing in (one, other):
        thing.location.x += 300.0 * MM
    (tmp_path / "cut").mkdir()
    return (*job.finished(tmp_path / "cut"), one, other)


def held(job, anew, tmp_path):
    """States as they are told here, after holding them against a second Blender."""
    bpy.context.view_layer.update()
    job.core("addon.state.graph").read_anew(bpy.context)
    now = told(job.core)
    path = tmp_path / "anew" / "job.blend"
    path.parent.mkdir(exist_ok=True)
    with job.core("addon.state.following").paused():
        bpy.ops.wm.save_as_mainfile(filepath=str(path), copy=True)
    there, wrong = anew(path)
    assert now == there
    assert wrong == []
    return {result: state for result, (state, _) in now[0].items()}


# The fixture -----------------------------------------------------------------------------------


def smoothed(lamp, *_):
    lamp.modifiers.new("Smooth", "SUBSURF").levels = 2


def cut_by_another(lamp, *_):
    bpy.ops.mesh.primitive_cube_add(size=0.1, location=(0.09, 0.0, 0.0))
    cut = lamp.modifiers.new("Cut", "BOOLEAN")
    cut.operation, cut.object = "UNION", bpy.context.object


def arrayed(lamp, *_):
    lamp.modifiers.new("Row", "ARRAY").relative_offset_displace[0] = 0.5


def hooked(lamp, *_):
    empty = bpy.data.objects.new("Hook", None)
    bpy.context.scene.collection.objects.link(empty)
    hook = lamp.modifiers.new("Hook", "HOOK")
    hook.object = empty
    hook.vertex_indices_set(range(200))
    bpy.context.view_layer.update()
    empty.location.x += 20.0 * MM


def other_mesh(lamp, *_):
    lamp.data = lamp.data.copy()
    stretch(lamp, 1.1)


def grown_by_its_twin(lamp, *_):
    twin = lamp.copy()
    bpy.context.scene.collection.objects.link(twin)
    stretch(twin, 1.1)


def grown_in_edit_mode(lamp, *_):
    bpy.context.view_layer.objects.active = lamp
    bpy.ops.object.mode_set(mode="EDIT")
    import bmesh

    mesh = bmesh.from_edit_mesh(lamp.data)
    bmesh.ops.scale(mesh, vec=(1.1, 1.1, 1.1), verts=mesh.verts)
    bmesh.update_edit_mesh(lamp.data)
    bpy.ops.object.mode_set(mode="OBJECT")


def scaled(lamp, *_):
    lamp.scale = (1.15, 1.15, 1.15)


def scaled_by_delta(lamp, *_):
    lamp.delta_scale = (1.15, 1.15, 1.15)


def scaled_by_its_parents_parent(lamp, *_):
    far, near = (bpy.data.objects.new(name, None) for name in ("Far", "Near"))
    for empty in (far, near):
        bpy.context.scene.collection.objects.link(empty)
    lamp.parent, near.parent = near, far
    far.scale = (1.15, 1.15, 1.15)


def pulled(lamp, *_):
    pull = lamp.constraints.new("LIMIT_SCALE")
    pull.use_min_x = pull.use_min_y = pull.use_min_z = True
    pull.min_x = pull.min_y = pull.min_z = 1.15


def keyed_shape(lamp, *_):
    lamp.shape_key_add(name="Basis")
    key = lamp.shape_key_add(name="Wide")
    for point in key.data:
        point.co *= 1.1
    key.value = 1.0


def driven(lamp, *_):
    lamp.driver_add("scale", 0).driver.expression = "1.1"


def another_chosen(lamp, *_):
    bpy.ops.mesh.primitive_uv_sphere_add(radius=0.04)
    bpy.context.scene.flatwright_assembly.fixture = bpy.context.object


def one_more(lamp, *_):
    bpy.ops.mesh.primitive_cube_add(size=0.05, location=(0.06, 0.0, 0.0))
    bpy.ops.flatwright.add_fixture()


def moved_while_hidden(lamp, *_):
    lamp.hide_viewport = True
    lamp.location.x += 5.0 * MM


def grown_while_hidden(lamp, *_):
    lamp.hide_set(True)
    stretch(lamp, 1.1)


def more_gap_asked(lamp, *_):
    bpy.context.scene.flatwright_assembly.required_mm = 1.0


def nodes_put_on(lamp, *_):
    group = bpy.data.node_groups.new("Nodes", "GeometryNodeTree")
    for way in ("INPUT", "OUTPUT"):
        group.interface.new_socket("Geometry", in_out=way, socket_type="NodeSocketGeometry")
    into, out = (group.nodes.new(f"NodeGroup{way}") for way in ("Input", "Output"))
    move = group.nodes.new("GeometryNodeTransform")
    move.inputs["Scale"].default_value = (1.1, 1.1, 1.1)
    group.links.new(into.outputs[0], move.inputs["Geometry"])
    group.links.new(move.outputs[0], out.inputs[0])
    lamp.modifiers.new("Nodes", "NODES").node_group = group


FIXTURE = (
    smoothed,
    cut_by_another,
    arrayed,
    hooked,
    other_mesh,
    grown_by_its_twin,
    grown_in_edit_mode,
    scaled,
    scaled_by_delta,
    scaled_by_its_parents_parent,
    pulled,
    keyed_shape,
    driven,
    another_chosen,
    one_more,
    moved_while_hidden,
    grown_while_hidden,
    more_gap_asked,
    nodes_put_on,
)


@pytest.mark.parametrize("change", FIXTURE)
def test_whatever_is_done_to_the_fixture_its_check_is_stale(job, anew, finished, tmp_path, change):
    assert set(held(job, anew, tmp_path).values()) == {"current", "missing"}
    change(*finished)
    assert held(job, anew, tmp_path)["check"] == "stale"


@pytest.mark.parametrize(
    "change", [smoothed, cut_by_another, hooked, pulled, keyed_shape, driven, nodes_put_on]
)
def test_what_works_the_fixture_out_may_itself_change(job, anew, finished, tmp_path, change):
    """Checked with a modifier, a constraint, a driver on it, and then that is told otherwise."""
    lamp = finished[0]
    change(*finished)
    job.follow()
    bpy.ops.flatwright.check_assembly()
    assert held(job, anew, tmp_path)["check"] in ("current", "failed")
    if lamp.modifiers:
        modifier = lamp.modifiers[0]
        if modifier.type == "SUBSURF":
            modifier.levels = 1
        elif modifier.type == "NODES":
            move = next(n for n in modifier.node_group.nodes if n.type == "TRANSFORM_GEOMETRY")
            move.inputs["Scale"].default_value = (1.2, 1.2, 1.2)
        else:
            modifier.object.location.x += 3.0 * MM
    elif lamp.constraints:
        lamp.constraints[0].min_x = 1.2
    elif lamp.animation_data:
        lamp.animation_data.drivers[0].driver.expression = "1.2"
    else:
        lamp.data.shape_keys.key_blocks["Wide"].value = 0.5
    assert held(job, anew, tmp_path)["check"] == "stale"


# Parts -----------------------------------------------------------------------------------------


def by_the_eye(job, thing):
    thing.hide_set(True)


def by_the_monitor(job, thing):
    thing.hide_viewport = True


def _aside(thing):
    aside = bpy.data.collections.new("Aside")
    bpy.context.scene.collection.children.link(aside)
    for collection in thing.users_collection:
        collection.objects.unlink(thing)
    aside.objects.link(thing)
    return aside, bpy.context.view_layer.layer_collection.children["Aside"]


def by_an_excluded_collection(job, thing):
    _aside(thing)[1].exclude = True


def by_a_collections_eye(job, thing):
    _aside(thing)[1].hide_viewport = True


def by_a_collections_monitor(job, thing):
    _aside(thing)[0].hide_viewport = True


HIDING = (
    by_the_eye,
    by_the_monitor,
    by_an_excluded_collection,
    by_a_collections_eye,
    by_a_collections_monitor,
)


@pytest.mark.parametrize("hide", HIDING)
def test_however_a_part_is_hidden_it_is_asked_for_and_told(job, anew, finished, tmp_path, hide):
    thing = finished[2]
    hide(job, thing)
    states = held(job, anew, tmp_path)
    assert (states["parts"], states["check"]) == ("current", "current")
    assert job.objections("stop") == ["hidden"]
    thing.location.z += 1.0 * MM
    assert held(job, anew, tmp_path)["check"] == "stale"


def moved_by_its_parent(lamp, collar, one, other):
    empty = bpy.data.objects.new("Carrier", None)
    bpy.context.scene.collection.objects.link(empty)
    collar.parent = empty
    empty.location.z = 2.0 * MM


def moved_by_delta(lamp, collar, one, other):
    collar.delta_location.z = 2.0 * MM


def moved_by_a_constraint(lamp, collar, one, other):
    pull = collar.constraints.new("LIMIT_LOCATION")
    pull.use_min_z, pull.min_z = True, 2.0 * MM


def turned(lamp, collar, one, other):
    collar.rotation_euler.x = 0.05


def turned_by_quaternion(lamp, collar, one, other):
    collar.rotation_mode = "QUATERNION"
    collar.rotation_quaternion = (0.999, 0.04, 0.0, 0.0)


def of_another_stock(lamp, collar, one, other):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[-1]
    stock.thickness_mm = 6.0
    collar.flatwright_part.stock = stock.name


def stock_lost(lamp, collar, one, other):
    bpy.context.scene.flatwright_stocks.remove(0)


def joint_off(lamp, collar, one, other):
    bpy.context.scene.flatwright_assembly.joints[0].enabled = False


def joint_asked_otherwise(lamp, collar, one, other):
    bpy.context.scene.flatwright_assembly.joints[0].split = 0.3


def copied(lamp, collar, one, other):
    twin = collar.copy()
    bpy.context.scene.collection.objects.link(twin)
    twin.location.z = 20.0 * MM


def taken_out_of_the_scene(lamp, collar, one, other):
    for collection in collar.users_collection:
        collection.objects.unlink(collar)


def own_curve_edited(lamp, collar, one, other):
    collar.data.splines[0].bezier_points[0].co.x += 1.0 * MM


PARTS = (
    moved_by_its_parent,
    moved_by_delta,
    moved_by_a_constraint,
    turned,
    turned_by_quaternion,
    of_another_stock,
    stock_lost,
    joint_off,
    joint_asked_otherwise,
    copied,
    taken_out_of_the_scene,
    own_curve_edited,
)


@pytest.mark.parametrize("change", PARTS)
@pytest.mark.parametrize("followed", [False, True])
def test_whatever_is_done_to_a_part_its_check_is_stale(
    job, anew, finished, tmp_path, change, followed
):
    change(*finished)
    if followed:
        job.follow()
    if followed and change is own_curve_edited:
        # What a part is is made from its outline: it is put right again.
        assert held(job, anew, tmp_path)["check"] == "current"
    else:
        assert held(job, anew, tmp_path)["check"] == "stale"


# Outlines --------------------------------------------------------------------------------------


def scaled_outline(outline):
    outline.scale.x = 1.2


def scaled_by_outlines_delta(outline):
    outline.delta_scale.y = 1.2


def scaled_by_outlines_parent(outline):
    empty = bpy.data.objects.new("Carrier", None)
    bpy.context.scene.collection.objects.link(empty)
    outline.parent, empty.scale = empty, (1.2, 1.2, 1.2)


def scaled_by_a_constraint(outline):
    pull = outline.constraints.new("LIMIT_SCALE")
    pull.use_min_x, pull.min_x = True, 1.2


def bent_by_a_modifier(outline):
    bend = outline.modifiers.new("Bend", "SIMPLE_DEFORM")
    bend.deform_method, bend.factor = "TAPER", 0.5


def offset(outline):
    outline.data.offset = 2.0 * MM


def tapered(outline):
    outline.data.bevel_depth = 2.0 * MM


@pytest.mark.parametrize(
    "change",
    [
        scaled_outline,
        scaled_by_outlines_delta,
        scaled_by_outlines_parent,
        scaled_by_a_constraint,
        bent_by_a_modifier,
        offset,
        tapered,
    ],
)
def test_an_outline_seen_otherwise_than_it_is_cut_is_refused(job, anew, finished, tmp_path, change):
    change(finished[1].flatwright_part.outline)
    assert held(job, anew, tmp_path)["parts"] == "stale"
    job.follow()
    assert held(job, anew, tmp_path)["parts"] == "failed"
    assert "Collar" in job.why("parts")
    assert "cannot be built" in job.objections("stop")


def other_curve(outline):
    outline.data = outline.data.copy()
    outline.data.splines[0].bezier_points[0].co.x += 1.0 * MM


def spline_removed(outline):
    outline.data.splines.remove(outline.data.splines[-1])


def deleted(outline):
    bpy.data.objects.remove(outline)


def made_a_mesh(outline):
    bpy.ops.object.select_all(action="DESELECT")
    outline.select_set(True)
    bpy.context.view_layer.objects.active = outline
    bpy.ops.object.convert(target="MESH")


@pytest.mark.parametrize("change", [other_curve, spline_removed, deleted, made_a_mesh])
def test_an_outline_that_became_another_makes_its_part_stale(job, anew, finished, tmp_path, change):
    change(finished[1].flatwright_part.outline)
    assert held(job, anew, tmp_path)["parts"] == "stale"
    job.follow()
    states = held(job, anew, tmp_path)
    assert states["parts"] in ("current", "failed")
    assert states["sheets"] == "stale"


# Sheets ----------------------------------------------------------------------------------------


def _piece():
    return next(o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE")


def piece_deleted():
    bpy.data.objects.remove(_piece())


def piece_twice():
    twin = _piece().copy()
    bpy.context.scene.collection.objects.link(twin)


def piece_mirrored():
    _piece().scale.x = -1.0


def piece_tilted():
    _piece().rotation_euler.x = 0.4


def piece_with_a_modifier():
    bend = _piece().modifiers.new("Bend", "SIMPLE_DEFORM")
    bend.deform_method, bend.factor = "TAPER", 0.5


def piece_offset():
    _piece().data.offset = 1.0 * MM


def sheet_scaled():
    _piece().parent.scale.x = 1.1


def piece_on_another():
    one, other = bpy.data.objects["One to cut"], bpy.data.objects["Other to cut"]
    other.location = one.location


def off_the_sheet():
    _piece().location.x += 5.0


@pytest.mark.parametrize(
    "change",
    [
        piece_deleted,
        piece_twice,
        piece_mirrored,
        piece_tilted,
        piece_with_a_modifier,
        piece_offset,
        piece_on_another,
        sheet_scaled,
        off_the_sheet,
    ],
)
def test_whatever_is_done_to_a_piece_sheets_and_files_are_not_current(
    job, anew, finished, tmp_path, change
):
    change()
    states = held(job, anew, tmp_path)
    assert states["sheets"] in ("stale", "failed")
    assert states["files"] == "stale"
    with pytest.raises(RuntimeError) as refused:
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert "Traceback" not in str(refused.value)
    assert [path.suffix for path in tmp_path.iterdir() if path.is_file()] == []


def test_a_nudge_makes_files_stale_and_not_the_sheets(job, anew, finished, tmp_path):
    _piece().location.x += 0.5 * MM
    states = held(job, anew, tmp_path)
    assert (states["sheets"], states["files"]) == ("current", "stale")
