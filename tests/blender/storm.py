"""A scene and everything that may be done to it, each step drawn by a seeded random."""

import random
import shutil

import bpy

from tests.blender.verdict_scene import MM


class Storm:
    """Steps of a person who does whatever Blender lets do."""

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
            out = self.folder / "next"
            out.mkdir()
            self.press(bpy.ops.flatwright.save_cut_files, directory=str(out), anyway=True)
            if list(out.iterdir()):
                shutil.rmtree(self.folder / "cut", ignore_errors=True)
                out.rename(self.folder / "cut")
            else:
                out.rmdir()

    def share_job(self):
        """A part in a job of its own number of sets, or back with the rest."""
        jobs, thing = bpy.context.scene.flatwright_jobs, self.any_part()
        job = jobs[0] if jobs else jobs.add()
        job.name, job.sets = job.name or "Lamp", self.random.choice((1, 2))
        if thing.library is None:
            thing.flatwright_part.job = "" if thing.flatwright_part.job else job.name

    def nudge(self):
        pieces = [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
        if pieces:
            self.random.choice(pieces).location.x += 1.0 * MM

    def puff_fixture(self):
        """A modifier more, another strength, or none again."""
        found = self.fixture().modifiers.get("Puff")
        if found is None:
            found = self.fixture().modifiers.new("Puff", "DISPLACE")
            found.mid_level = 0.0
        elif self.random.random() < 0.3:
            self.fixture().modifiers.remove(found)
            return
        found.strength = self.random.choice((0.5, 1.0, 12.0)) * MM
        found.show_viewport = self.random.random() < 0.8

    def shape_fixture(self):
        """Shape keys, and how much of one is in use."""
        keys = self.fixture().data.shape_keys
        if keys is None:
            self.fixture().shape_key_add(name="Basis")
            key = self.fixture().shape_key_add(name="Other")
            key.data[0].co *= 1.05
        else:
            keys.key_blocks[-1].value = self.random.choice((0.0, 0.5, 1.0))

    def hide_fixture(self):
        self.fixture().hide_viewport = not self.fixture().hide_viewport

    def parent(self):
        """Something hangs on an empty that is moved, turned or scaled."""
        empty = bpy.data.objects.get("Empty")
        if empty is None:
            empty = bpy.data.objects.new("Empty", None)
            bpy.context.scene.collection.objects.link(empty)
        thing = self.random.choice([self.any_part(), self.fixture()])
        if thing.parent is None:
            thing.parent = empty
        empty.location.y += self.random.choice((-0.5, 0.5)) * MM
        empty.rotation_euler.z = self.random.choice((0.0, 0.1))
        empty.scale.x = self.random.choice((1.0, 1.0, 1.0, 1.1))

    def pull(self):
        """A constraint, more or less of it, or none again."""
        thing = self.random.choice([self.any_part(), self.fixture()])
        if not thing.constraints:
            found = thing.constraints.new("LIMIT_LOCATION")
            found.use_max_x, found.max_x = True, 1.0 * MM
        elif self.random.random() < 0.5:
            thing.constraints.remove(thing.constraints[0])
        else:
            thing.constraints[0].influence = self.random.choice((0.0, 0.5, 1.0))

    def drive(self):
        """A part is driven by the frame, another frame is shown, or it is driven no more."""
        thing = self.any_part()
        if thing.animation_data is None:
            thing.driver_add("location", 1).driver.expression = "frame * 0.0001"
        elif self.random.random() < 0.5:
            thing.driver_remove("location", 1)
            thing.animation_data_clear()
        bpy.context.scene.frame_set(self.random.choice((1, 4)))

    def toggle_joint(self):
        joints = bpy.context.scene.flatwright_assembly.joints
        if len(joints):
            self.random.choice(joints).enabled ^= True

    def change_fit(self):
        settings = bpy.context.scene.flatwright_assembly
        settings.fit = self.random.choice(("press", "sliding", "loose"))
        settings.required_mm = self.random.choice((0.0, 0.5))

    def cut_part_to_fixture(self):
        cut = self.any_part().flatwright_fixture_cut
        cut.enabled = not cut.enabled

    def rename_stock(self):
        stock = bpy.context.scene.flatwright_stocks[0]
        stock.name = f"Stock {self.random.randrange(9)}"

    def scale_part(self):
        self.any_part().scale.y = self.random.choice((1.0, 1.0, 1.3, -1.0))

    def key_outline(self):
        outline = self.any_part().flatwright_part.outline
        if outline.data.shape_keys is None:
            outline.shape_key_add(name="Basis")
        else:
            outline.shape_key_clear()

    def symmetric(self):
        outline = self.any_part().flatwright_part.outline
        bpy.context.view_layer.objects.active = outline
        self.press(bpy.ops.flatwright.make_symmetric)

    def decide(self):
        if bpy.ops.flatwright.decide_hidden.poll():
            bpy.ops.flatwright.decide_hidden(choice=self.random.choice(("CUT", "LEAVE")))

    def edit_piece(self):
        pieces = [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
        if pieces:
            piece = self.random.choice(pieces)
            piece.data.splines[0].bezier_points[0].co.x += 0.2 * MM
            piece.scale.x = self.random.choice((1.0, 1.02))

    def change_units(self):
        settings = bpy.context.scene.unit_settings
        settings.scale_length = self.random.choice((1.0, 1.0, 1.001))

    def bring_up_to_date(self):
        if bpy.ops.flatwright.bring_up_to_date.poll():
            self.press(bpy.ops.flatwright.bring_up_to_date)

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
        share_job,
        nudge,
        puff_fixture,
        shape_fixture,
        hide_fixture,
        parent,
        pull,
        drive,
        toggle_joint,
        change_fit,
        cut_part_to_fixture,
        rename_stock,
        scale_part,
        key_outline,
        symmetric,
        decide,
        edit_piece,
        change_units,
        bring_up_to_date,
        bring_up_to_date,
        bring_up_to_date,
        undo,
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
            bpy.context.view_layer.update()
            bpy.ops.ed.undo_push(message=what.__name__)

    def as_saved(self):
        """The same data in a file of their own, nothing rebuilt on the way."""
        path = self.folder / "anew" / "storm.blend"
        path.parent.mkdir(exist_ok=True)
        with self.job.core("addon.state.following").paused():
            bpy.ops.wm.save_as_mainfile(filepath=str(path), copy=True)
        return path
