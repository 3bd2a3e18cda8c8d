"""Parts and fixtures linked from another file, scaled or half deleted: every button says so."""

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


def settings():
    return bpy.context.scene.flatwright_assembly


@pytest.fixture
def linked(plate, tmp_path):
    """A plate of this file, and a wall across it that lives in another."""
    wall = plate("Wall", 100.0, 40.0, upright=True)
    outline = wall.flatwright_part.outline
    library = tmp_path / "wall.blend"
    bpy.data.libraries.write(str(library), {wall, outline})
    for thing in (wall, outline):
        bpy.data.objects.remove(thing)
    bpy.ops.outliner.orphans_purge(do_recursive=True)
    with bpy.data.libraries.load(str(library), link=True) as (there, here):
        here.objects = there.objects
    for thing in here.objects:
        bpy.context.scene.collection.objects.link(thing)
    plate("Plate", 120.0, 80.0)
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.2, 0.0, 0.0))
    bpy.ops.flatwright.set_fixture()
    bpy.context.view_layer.update()
    return next(thing for thing in here.objects if thing.flatwright_part.is_part)


BUTTONS = {
    "join_parts": {},
    "tab_parts": {},
    "open_slots": {},
    "swap_joint": {},
    "remove_joint": {},
    "separate_parts": {},
    "check_assembly": {},
    "rebuild_parts": {},
    "cut_to_fixture": {"clearance": 0.5 * MM},
    "stand_around": {"count": 3, "distance": 20.0 * MM},
    "array_parts": {"count": 3},
    "mirror_parts": {},
    "place_at_cursor": {},
    "show_steps": {},
}


class AnyWith(str):
    """Equal to every sentence that holds these words."""

    def __eq__(self, other):
        return str(self) in other

    __hash__ = str.__hash__


def pressed(name, **given):
    """What a button says: nothing if it is grey or did its work, else its sentence."""
    button = getattr(bpy.ops.flatwright, name)
    if not button.poll():
        return ""
    try:
        button(**given)
    except RuntimeError as error:
        return str(error)
    return ""


def test_every_button_says_plainly_that_a_part_is_linked(linked):
    bpy.ops.object.select_all(action="SELECT")
    bpy.context.view_layer.objects.active = linked
    place = linked.matrix_world.copy()
    said = {name: pressed(name, **given) for name, given in BUTTONS.items()}
    cut, moved = (
        "linked from another file and cannot be cut",
        "from another file and cannot be moved",
    )
    assert {name: sentence for name, sentence in said.items() if sentence} == {
        "join_parts": AnyWith(cut),
        "tab_parts": AnyWith("None of these parts ends at another one's face"),
        "cut_to_fixture": AnyWith(cut),
        "stand_around": AnyWith(moved),
        "place_at_cursor": AnyWith(moved),
    }
    assert not linked.flatwright_fixture_cut.enabled
    assert len(settings().joints) == 0
    assert linked.matrix_world == place
    assert bpy.data.objects["Plate"].dimensions[0] / MM == pytest.approx(120.0, abs=1e-3)
