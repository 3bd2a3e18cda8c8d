"""What panels draw: few controls at once, and words that fit in English and in German."""

from importlib import import_module

import bpy
import pytest

from tests.blender.drawn_panels import drawn, is_cut_off

pytestmark = pytest.mark.blender

MOST_CONTROLS = 25


@pytest.fixture
def panels(package):
    """The panel of every stage by its name, and those below them."""
    guide = import_module(f"{package}.addon.guide.panel")
    return {panel.stage: panel for panel in guide.PANELS}, guide.FLATWRIGHT_PT_guide


@pytest.fixture
def job(traced):
    """A job that has come as far as a check: photo, outline, part and fixture."""
    bpy.ops.flatwright.make_symmetric()
    bpy.ops.flatwright.add_stock(kind="ROUTED")
    bpy.ops.flatwright.make_part()
    part = bpy.context.object
    bpy.ops.mesh.primitive_uv_sphere_add(radius=0.1, location=(0.0, 0.0, 0.2))
    bpy.ops.flatwright.set_fixture()
    bpy.context.view_layer.objects.active = part
    bpy.ops.flatwright.check_assembly()
    bpy.ops.flatwright.lay_out()


def controls(layout):
    return [part for part, _ in layout.leaves() if part.kind not in ("label", "figure")]


def test_at_most_so_many_controls_are_in_sight_at_every_stage(panels, job):
    stages, lines = panels
    above = len(controls(drawn(lines)))
    assert above == len(stages)
    counts = {name: above + len(controls(drawn(panel))) for name, panel in stages.items()}
    assert max(counts.values()) <= MOST_CONTROLS, counts
    assert min(counts.values()) > above


def test_rows_are_the_same_whatever_is_selected(panels, job):
    stages, _ = panels

    def rows():
        return {
            name: len([part for part, _ in drawn(panel).leaves() if part.kind != "label"])
            for name, panel in stages.items()
        }

    with_part = rows()
    bpy.context.view_layer.objects.active = None
    assert {k: v for k, v in rows().items() if k != "assembly"} == {
        k: v for k, v in with_part.items() if k != "assembly"
    }


@pytest.mark.parametrize("folder", [None, "de"])
def test_no_words_are_cut_off_at_the_sidebar_s_default_width(package, panels, job, folder):
    stages, lines = panels
    dictionary = import_module(f"{package}.addon.locale.words").dictionary
    said = dictionary(folder) if folder else {}
    below = [
        kind
        for kind in bpy.types.Panel.__subclasses__()
        if getattr(kind, "bl_parent_id", "").startswith("FLATWRIGHT_PT")
    ]
    assert len(below) > 6
    cut = []

    def look(panel):
        for part, room in drawn(panel).leaves():
            words = said.get(part.text, part.text)
            cut.extend([(panel.__name__, words)] if is_cut_off(part, room, words) else [])

    for panel in (lines, *stages.values(), *below):
        look(panel)
    photo = next(o for o in bpy.data.objects if o.flatwright_photo.is_photo)
    bpy.context.view_layer.objects.active = photo
    bench = photo.flatwright_bench
    for kind in bench.bl_rna.properties["reference"].enum_items:
        bench.reference = kind.identifier
        look(stages["bench"])
    for size in ("TYPED", "CELLS"):
        bench.reference, bench.sheet = "RECTANGLE", size
        look(stages["bench"])
    assert not cut, "\n".join(" ".join(one) for one in cut)
