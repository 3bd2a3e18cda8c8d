"""What the records in a file say, read by the add-on's own readers: lengths in mm, areas in mm².

Every name of a module of the add-on is here alone: where its rooms are arranged anew, this file
follows, and what it reads stays what it was.
"""

import dataclasses
import hashlib
import json
import math
from importlib import import_module

import bpy
import numpy as np

__all__ = ["Readers"]


class Readers:
    """What reads a file; ``package`` is the extension's name inside Blender."""

    def __init__(self, package):
        self._package = package

    def of(self, name):
        """The add-on's code that deals with ``name``, such as ``"part.marks"``."""
        return import_module(f"{self._package}.addon.{name}")

    def everything(self):
        """All that records say, ``{"what": {"of which": values}}``."""
        return {
            "profiles": self.profiles(),
            "benches": self.benches(),
            "references": self.references(),
            "photos": self.photos(),
            "traces": self.traces(),
            "axes": self.axes(),
            "lettering": self.lettering(),
            "cut corners": self.cut_corners(),
            "stocks": self.by_scene(self.stocks),
            "parts": self.by_scene(self.parts),
            "joints": self.by_scene(self.joints),
            "sheets": self.by_scene(self.sheets),
            "holds": self.by_scene(self.holds),
            "shown": self.shown(),
        }

    def by_scene(self, read):
        """``read()`` in every scene."""
        before, found = bpy.context.window.scene, {}
        for scene in bpy.data.scenes:
            bpy.context.window.scene = scene
            # Without a window, what stands in a scene that was not the active one when the file was
            # opened is at the origin until it is touched.
            for thing in scene.objects:
                thing.update_tag()
            bpy.context.view_layer.update()
            found[scene.name] = read()
        bpy.context.window.scene = before
        return found

    def profile(self, curve):
        """A curve's shape in figures; of what cannot be read, why not."""
        try:
            profile = self.of("blender.curves").read_profile(curve)
        except Exception as error:
            return {"refused": str(error)}
        kinds = [type(segment).__name__ for loop in profile.loops for segment in loop.segments]
        rings = [profile.polygon().exterior, *profile.polygon().interiors]
        return {
            "area_mm2": profile.area_mm2,
            "length_mm": sum(ring.length for ring in rings),
            "bounds_mm": list(profile.bounds_mm),
            "holes": len(profile.holes),
            "segments": {kind: kinds.count(kind) for kind in sorted(set(kinds))},
        }

    def profiles(self):
        """Every Bézier curve's shape."""
        return {c.name: self.profile(c) for c in bpy.data.curves if c.users and _is_bezier(c)}

    def benches(self):
        """Where five places of each photo lie on its bench, and on that of its grid if kept."""
        found = {}
        for thing in _photos():
            if not thing.flatwright_bench.record:
                continue
            size, settings = thing.flatwright_photo, thing.flatwright_bench
            w, h = size.width_px, size.height_px
            px = np.array([(0, 0), (w, 0), (w, h), (0, h), (w / 2, h / 2)], dtype=float)
            bench = self.of("bench.bench_record").read_bench(thing)
            found[thing.name] = {
                "places_mm": bench.to_plane(px, settings.face_height_mm).tolist(),
                "grid_places_mm": [],
            }
            if settings.grid_record:
                grid = self.of("bench.bench_record").bench_from_record(settings.grid_record)
                found[thing.name]["grid_places_mm"] = grid.to_plane(px).tolist()
        return found

    def references(self):
        """What was marked on each photo."""
        read = self.of("bench.reference_record").kept_references
        return {o.name: [_marked(m) for m in read(o)] for o in _photos()}

    def photos(self):
        """Size and sum of the bytes kept of each photo's file, and of the picture shown."""
        found = {}
        for thing in _photos():
            original = thing.flatwright_photo.original
            pictures = {"original": original, "shown": thing.data}
            found[thing.name] = {
                what: [len(i.packed_file.data), hashlib.sha256(i.packed_file.data).hexdigest()]
                for what, i in pictures.items()
            }
            found[thing.name]["file name"] = original["flatwright_file_name"]
            pixels = self.of("photo.packed_photo").packed_photo(thing.flatwright_photo)().pixels
            found[thing.name]["pixels"] = list(pixels.shape)
        return found

    def traces(self):
        """Clicks and settings of every traced outline."""
        tracing = self.of("outline.tracing.record")
        traced = [o for o in bpy.data.objects if tracing.is_traced(o)]
        return {o.name: _told(dataclasses.asdict(tracing.clicks_of(o))) for o in traced}

    def axes(self):
        """What every symmetric outline was made about, and whether it was edited since."""
        axes, found = self.of("outline.axis_record"), {}
        for thing in bpy.data.objects:
            kept = axes.kept_axis(thing)
            if kept is not None:
                about = kept.about if isinstance(kept.about, tuple) else kept.about.point
                angle = getattr(kept.about, "angle_rad", None)
                found[thing.name] = [kept.kind, kept.order, kept.keep, list(about), angle]
                found[thing.name].append(axes.is_edited(thing, kept))
        return found

    def lettering(self):
        """Label and length in mm of the strokes kept with curves."""
        marks, found = self.of("part.marks"), {}
        for curve in bpy.data.curves:
            strokes = [line for mark in marks.marks_of(curve) for line in mark.segments]
            if strokes:
                length = sum(math.dist(line.start, line.end) for line in strokes)
                labels = [one.text for one in marks.lettering_of(curve, 0)]
                found[curve.name] = [labels, len(strokes), length]
        return found

    def cut_corners(self):
        """Inside corners that joints have cut, and the tightest bend, of every part's curve."""
        parts, found = self.of("part.part_objects"), {}
        for curve in bpy.data.curves:
            corners, bend = parts.joint_corners(curve), parts.inside_radius(curve)
            if curve.users and (corners or bend is not None):
                found[curve.name] = [[list(c) for c in corners], bend]
        return found

    def stocks(self):
        """The core's stocks of the scene."""
        scene = bpy.context.scene
        named = self.of("part.part_objects").stock_named
        found = {}
        for kept in scene.flatwright_stocks:
            stock = dataclasses.asdict(named(scene, kept.name))
            # Version 0.1.0 knew of no better face: both were alike.
            assert stock.pop("good_face") == "both"
            found[kept.name] = _told(stock)
        return found

    def parts(self):
        """Outline, stock, place and curve of every part, and whether it is cut to the fixture."""
        pose_mm = self.of("blender.meshes").pose_mm
        return {
            thing.name: {
                "outline": getattr(thing.flatwright_part.outline, "name", None),
                "stock": thing.flatwright_part.stock,
                "curve": thing.data.name,
                "pose_mm": pose_mm(thing).tolist(),
                "thickness_mm": thing.data.extrude * 2000.0,
            }
            for thing in self.of("state.things").part_objects(bpy.context)
        }

    def joints(self):
        """Joints as the core gets them; of a scene that cannot be built, why not."""
        try:
            plan = self.of("assembly.rebuilding").plan_parts(bpy.context)
        except Exception as error:
            return {"refused": str(error)}
        names = [part.name for part in plan.parts]
        found = [_told(_by_first_rules(dataclasses.asdict(joint))) for joint in plan.joints]
        return {"joints": [{**j, "a": names[j["a"]], "b": names[j["b"]]} for j in found]}

    def sheets(self):
        """Every piece on every sheet: its label, place, pin and area."""
        laid, found = self.of("sheet.laid"), {}
        for sheets in laid.sheets_of_stock(bpy.context).values():
            for sheet in sheets:
                found[sheet.name] = [
                    {
                        "label": placed.piece.name,
                        "pinned": placed.pinned,
                        "matrix_mm": np.asarray(placed.matrix).tolist(),
                        "area_mm2": placed.piece.profile.area_mm2,
                        "strokes": len(placed.piece.marks),
                    }
                    for placed in laid.placements_on(sheet)
                ]
        return found

    def holds(self):
        """Whether the last checks and suggestions still speak of what is there."""
        suggesting = self.of("outline.suggestion_record")
        asked = [o for o in bpy.context.scene.objects if o.flatwright_suggestions.items]
        return {
            "assembly": self.of("state.graph").check_holds(bpy.context),
            "cutting": self.of("files.finding_list").findings_hold(bpy.context),
            "suggestions": {o.name: suggesting.suggestions_hold(o) for o in asked},
        }

    def shown(self):
        """Moving copies with their places on the timeline, hidden objects, views cut open."""
        steps = self.of("assembly.steps_shown").steps_shown()
        copies = list(steps.objects) if steps is not None else []
        spaces = [a.spaces.active for s in bpy.data.screens for a in s.areas if a.type == "VIEW_3D"]
        cut_open = [s.region_3d for s in spaces if s.region_3d.use_clip_planes]
        at_last = max((scene.frame_end for scene in bpy.data.scenes), default=1)
        found = {}
        for frame in (1, at_last):
            bpy.context.scene.frame_set(frame)
            found[f"frame {frame}"] = {
                o.name: [round(1e3 * c, 3) for c in o.matrix_world.translation] for o in copies
            }
        bpy.context.scene.frame_set(1)
        return {
            "steps": found,
            "hidden": sorted(o.name for o in bpy.context.view_layer.objects if o.hide_get()),
            "cut open": [[round(c, 4) for c in v.clip_planes[0]] for v in cut_open],
        }


def _photos():
    return [o for o in bpy.data.objects if o.flatwright_photo.is_photo]


def _is_bezier(curve):
    return bool(curve.splines) and all(spline.type == "BEZIER" for spline in curve.splines)


def _by_first_rules(joint):
    """A joint without what 0.1.0 did not know of joints, which must be as it was then."""
    assert joint.pop("shares") == "whole"
    joint.pop("fingers")
    assert joint.pop("own") is None
    assert joint["tabs"].pop("ends") == "wide"
    return joint


def _marked(marked):
    """A reference by the names of 0.1.0, which called the sigma of its size its doubt."""
    told = _told(dataclasses.asdict(marked))
    told["doubt"] = told.pop("size_sigma")
    return told


def _told(value):
    """Plain JSON of nested values: tuples as lists, numpy's numbers as Python's."""
    return json.loads(json.dumps(value, default=float))
