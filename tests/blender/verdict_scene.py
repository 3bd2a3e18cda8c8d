"""A small job to try the verdict on: a ball, a plate with a hole round it, what is asked of it."""

from importlib import import_module

import bpy

MM = 1e-3


class Job:
    """The add-on's own modules, and scenes made with its operators."""

    def __init__(self, package, plate):
        self.package, self.plate = package, plate

    def core(self, name):
        return import_module(f"{self.package}.{name}")

    def state(self, result):
        """How it stands with a result, read anew."""
        graph = self.core("addon.state.graph")
        graph.read_anew(bpy.context)
        return graph.status(bpy.context, result).state

    def why(self, result):
        return self.core("addon.state.graph").status(bpy.context, result).why

    def follow(self):
        """What Blender's timers do in a window, a moment after a change."""
        bpy.context.view_layer.update()
        self.core("addon.state.following").catch_up()

    def objections(self, severity=None):
        self.core("addon.state.graph").read_anew(bpy.context)
        found = self.core("addon.state.verdict").objections(bpy.context)
        return [one.rule for one in found if severity in (None, one.severity)]

    def profile(self, thing):
        return self.core("addon.blender.curves").read_profile(thing.data)

    def ball(self, radius_mm=50.0, name="Lamp"):
        """Add a ball about the origin and make it the fixture."""
        bpy.ops.mesh.primitive_uv_sphere_add(radius=radius_mm * MM, segments=64, ring_count=32)
        thing = bpy.context.object
        thing.name = name
        bpy.ops.flatwright.set_fixture()
        return thing

    def collar(self, bore_mm=100.6, name="Collar"):
        """Add a flat plate with a hole about the origin, in the middle of the ball."""
        shape = self.core("geometry.outline").ring(140.0, bore_mm)
        return self.plate(name, shape=shape)

    def measured(self):
        for stock in bpy.context.scene.flatwright_stocks:
            stock.measured = {"thickness", "kerf"}

    def crossing(self):
        """Add two plates that cross each other and lap them."""
        one = self.plate("One", 80.0, 60.0, upright=True)
        other = self.plate("Other", 80.0, 60.0, lift=0.0)
        bpy.ops.object.select_all(action="DESELECT")
        bpy.ops.flatwright.join_parts()
        return one, other

    def finished(self, tmp_path):
        """Take a collar round a ball through the whole job; return ball and collar."""
        lamp, collar = self.ball(), self.collar()
        self.measured()
        self.follow()
        bpy.ops.flatwright.check_assembly()
        bpy.ops.flatwright.lay_out()
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), overwrite=True)
        return lamp, collar

    def reopened(self, tmp_path):
        path = tmp_path / "job.blend"
        bpy.ops.wm.save_as_mainfile(filepath=str(path))
        bpy.ops.wm.open_mainfile(filepath=str(path))
        return path


def stretch(thing, factor):
    """Make a mesh larger by its corners, as in Edit Mode."""
    for vertex in thing.data.vertices:
        vertex.co *= factor
    thing.data.update()
