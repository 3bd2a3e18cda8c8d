"""Storms: whatever is done, the verdict is that of a scene built anew from the same data.

Seeded steps with undo, redo, saving, opening, hiding, excluding, renaming, linking, duplicating.
What is known by then from caches and handlers is held against the same file opened afresh.
"""

import random

import bpy
import pytest

from tests.blender.verdict_scene import MM, Job

pytestmark = pytest.mark.blender

STEPS, LONG = 25, 300
ANEW = 5
"""A file is opened afresh after so many steps: opening ends what can be undone."""
RESULTS = ("photo", "bench", "outline", "parts", "check", "sheets", "files")


class Storm:
    """A scene and everything that may be done to it, each step drawn by a seeded random."""

    def __init__(self, job, folder, seed):
        self.job, self.folder, self.random = job, folder, random.Random(seed)
        self.done = []

    def parts(self):
        return self.job.core("addon.state.things").part_objects(bpy.context)

    def any_part(self):
        """A part of this file: what is changed here on a linked one is not saved."""
        return self.random.choice([o for o in self.parts() if o.library is None])

    def fixture(self):
        return bpy.context.scene.flatwright_assembly.fixture

    def move_part(self):
        self.any_part().location.x += self.random.choice((-2.0, 0.5, 3.0)) * MM

    def move_fixture(self):
        self.fixture().location.z += self.random.choice((-1.0, 0.4)) * MM

    def grow_fixture(self):
        for vertex in self.fixture().data.vertices:
            vertex.co *= 1.01
        self.fixture().data.update()

    def dent_outline(self):
        outline = self.any_part().flatwright_part.outline
        outline.data.splines[0].bezier_points[0].co.x += 0.3 * MM

    def scale_outline(self):
        outline = self.any_part().flatwright_part.outline
        outline.scale.x = self.random.choice((1.0, 1.2, -1.0))

    def change_stock(self):
        stock = bpy.context.scene.flatwright_stocks[0]
        stock.thickness_mm = self.random.choice((2.8, 3.0, 3.1))

    def change_kerf(self):
        bpy.context.scene.flatwright_stocks[0].kerf_mm = self.random.choice((0.1, 0.2))

    def rename(self):
        thing = self.random.choice([self.any_part(), self.fixture()])
        thing.name = f"Name {self.random.randrange(100)}"
        thing.data.name = "One name for all"

    def hide(self):
        thing = self.any_part()
        thing.hide_viewport = not thing.hide_viewport

    def put_out_of_sight(self):
        thing = self.any_part()
        if thing.name in bpy.context.view_layer.objects:
            thing.hide_set(not thing.hide_get())

    def exclude(self):
        layer = bpy.context.view_layer.layer_collection.children["Aside"]
        layer.exclude = not layer.exclude

    def put_aside(self):
        thing, aside = self.any_part(), bpy.data.collections["Aside"]
        if thing.name not in aside.objects:
            aside.objects.link(thing)
            for other in [c for c in thing.users_collection if c != aside]:
                other.objects.unlink(thing)

    def duplicate(self):
        if len(self.parts()) < 6:
            twin = self.any_part().copy()
            twin.location.y += 90.0 * MM
            bpy.context.scene.collection.objects.link(twin)

    def remove(self):
        if len([o for o in self.parts() if o.library is None]) > 2:
            bpy.data.objects.remove(self.any_part())

    def link(self):
        with bpy.data.libraries.load(str(self.folder / "library.blend"), link=True) as (_, into):
            into.objects = ["Twin"]
        twin = into.objects[0]
        if twin is not None and twin.name not in bpy.context.scene.collection.objects:
            bpy.context.scene.collection.objects.link(twin)

    def follow(self):
        self.job.follow()

    def check(self):
        self.press(bpy.ops.flatwright.check_assembly)

    def lay_out(self):
        self.press(bpy.ops.flatwright.lay_out)

    def save_files(self):
        if bpy.ops.flatwright.save_cut_files.poll():
            self.press(
                bpy.ops.flatwright.save_cut_files,
                directory=str(self.folder),
                overwrite=True,
                anyway=True,
            )

    def nudge(self):
        pieces = [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
        if pieces:
            self.random.choice(pieces).location.x += 1.0 * MM

    def undo(self):
        if bpy.ops.ed.undo.poll():
            bpy.ops.ed.undo()

    def redo(self):
        if bpy.ops.ed.redo.poll():
            bpy.ops.ed.redo()

    def reopen(self):
        path = str(self.folder / "storm.blend")
        bpy.ops.wm.save_as_mainfile(filepath=path)
        bpy.ops.wm.open_mainfile(filepath=path)

    def press(self, operator, **settings):
        """Press a button; what it refuses in a sentence is an answer too."""
        try:
            operator(**settings)
        except RuntimeError as error:
            if "Traceback" in str(error):
                raise

    STEPS = (
        move_part,
        move_fixture,
        grow_fixture,
        dent_outline,
        scale_outline,
        change_stock,
        change_kerf,
        rename,
        hide,
        put_out_of_sight,
        exclude,
        put_aside,
        duplicate,
        remove,
        link,
        follow,
        follow,
        check,
        check,
        lay_out,
        save_files,
        nudge,
        undo,
        undo,
        redo,
        reopen,
    )

    def step(self):
        what = self.random.choice(self.STEPS)
        self.done.append(what.__name__)
        what(self)
        if what.__name__ not in ("undo", "redo", "reopen"):
            bpy.ops.ed.undo_push(message=what.__name__)

    def told(self):
        """How it stands with everything as a panel sees it, from what is known already."""
        graph = self.job.core("addon.state.graph")
        verdict = self.job.core("addon.state.verdict")
        states = {r: graph.status(bpy.context, r).state for r in RESULTS}
        said = sorted((o.severity, o.rule, o.sentence) for o in verdict.objections(bpy.context))
        return states, said

    def told_anew(self):
        """The same with nothing known from before."""
        self.job.core("addon.state.graph").read_anew(bpy.context)
        return self.told()

    def told_afresh(self):
        """The same from the file opened afresh, nothing rebuilt on the way."""
        path = str(self.folder / "afresh.blend")
        with self.job.core("addon.state.following").paused():
            bpy.ops.wm.save_as_mainfile(filepath=path)
            bpy.ops.wm.open_mainfile(filepath=path)
        return self.told_anew()


@pytest.mark.parametrize("seed", [1, 2])
def test_the_verdict_is_that_of_a_scene_built_anew(package, plate, tmp_path, seed, request):
    job = Job(package, plate)
    twin = job.plate("Twin", 40.0, 30.0)
    twin.data.name = "One name for all"
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "library.blend"))
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    aside = bpy.data.collections.new("Aside")
    bpy.context.scene.collection.children.link(aside)
    job.crossing()
    job.ball(radius_mm=20.0).location.z = 60.0 * MM
    job.measured()
    job.follow()
    storm = Storm(job, tmp_path, seed)
    bpy.ops.ed.undo_push(message="begin")
    steps = LONG if request.config.getoption("--long") else STEPS
    for number in range(steps):
        storm.step()
        now = storm.told()
        assert now == storm.told_anew(), storm.done
        if number % ANEW == ANEW - 1:
            assert now == storm.told_afresh(), storm.done
            bpy.ops.ed.undo_push(message="opened")
