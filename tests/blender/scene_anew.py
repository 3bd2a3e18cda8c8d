"""A second Blender that opens a scene it has never seen and says how it stands with everything.

Run as a program it opens each file named to it, one a line, and answers with one line of JSON: the
verdict as it is told of the data alone; and, of every result that is called current or failed, what
comes out otherwise when it is made again.
"""

import json
import os
import subprocess
import sys
import tempfile
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RESULTS = ("photo", "bench", "outline", "parts", "check", "sheets", "files")
SAME_MM = 2e-3
"""Made again from the same data something moves by single precision, far less than this."""


class Anew:
    """A second Blender, to be asked about files."""

    def __init__(self, package):
        told = f"import sys; sys.path[:0] = [{str(ROOT)!r}]; "
        told += f"from tests.blender.scene_anew import answer; answer({package!r})"
        self.process = subprocess.Popen(
            [sys.executable, "-c", told], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def __call__(self, path):
        """Return the verdict of a file, and what of it does not hold."""
        self.process.stdin.write(f"{path}\n")
        self.process.stdin.flush()
        for line in self.process.stdout:
            if line.startswith("{"):
                found = json.loads(line)
                return found["told"], found["wrong"]
        raise AssertionError("the second Blender ended")

    def end(self):
        self.process.kill()
        self.process.wait()


def told(core):
    """How it stands with everything as a panel sees it, from what is known already."""
    import bpy

    graph, verdict = core("addon.state.graph"), core("addon.state.verdict")
    states = {r: [graph.status(bpy.context, r).state, str(graph.status(bpy.context, r).why)]
              for r in RESULTS}  # fmt: skip
    said = sorted([o.severity, o.rule, o.sentence] for o in verdict.objections(bpy.context))
    return [states, said]


def answer(package):
    """Answer for one file after the other."""
    import bpy

    def core(name):
        return import_module(f"{package}.{name}")

    sys.stdout.flush()
    out = os.fdopen(os.dup(1), "w")
    # What Blender itself says goes elsewhere.
    os.dup2(2, 1)
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    bpy.ops.preferences.addon_enable(module=package)
    for line in sys.stdin:
        with core("addon.state.following").paused():
            bpy.ops.wm.open_mainfile(filepath=line.strip())
            core("addon.state.graph").read_anew(bpy.context)
            found = told(core)
            states = {result: state for result, (state, _) in found[0].items()}
            wrong = _not_so(core, states)
        out.write(json.dumps({"told": found, "wrong": wrong}) + "\n")
        out.flush()
    os._exit(0)


def _not_so(core, states):
    """What comes out otherwise when all that is called good or bad is made again."""
    import bpy

    context = bpy.context
    wrong = []
    if states["files"] == "current":
        wrong += _files(core)
    if states["sheets"] == "current":
        rules = {one.rule for one in core("addon.files.cut_job").checking(context)(_silent)}
        wrong += sorted(rules & {"out of date", "missing", "overlap"})
    if states["check"] in ("current", "failed"):
        before = _checked(context)
        record = core("addon.assembly.check_record")
        try:
            record.show_check(context, record.checking(context)(_silent))
            wrong += _otherwise("check", before, _checked(context))
        except core("geometry.errors").FlatwrightError as error:
            wrong.append(f"check: {error}")
    if states["parts"] == "current":
        before = _shapes(core)
        core("addon.assembly.rebuilding").rebuild_parts(context)
        wrong += _otherwise("parts", before, _shapes(core))
    return wrong


def _silent(fraction, message):
    """Nobody watches."""


def _otherwise(what, before, after):
    if len(before) != len(after):
        return [f"{what}: {before} became {after}"]
    pairs = zip(before, after, strict=True)
    same = all(
        abs(a - b) <= SAME_MM if isinstance(a, float) and isinstance(b, float) else a == b
        for a, b in pairs
    )
    return [] if same else [f"{what}: {before} became {after}"]


def _checked(context):
    """What the check found, figures and findings."""
    settings = context.scene.flatwright_assembly
    found = [settings.is_clear, settings.interferences, settings.order_found]
    found += [float(settings.least_gap_mm), *(remark.label for remark in settings.remarks)]
    for thing in sorted(context.scene.objects, key=lambda o: o.name):
        # What is written to a linked part is not saved.
        if thing.flatwright_check.checked and thing.library is None:
            found += [thing.name, float(thing.flatwright_check.gap_mm)]
    return found


def _shapes(core):
    """Every part's area and edge as it is cut here, and its thickness."""
    import bpy

    curves = core("addon.blender.curves")
    found = []
    for thing in core("addon.state.things").part_objects(bpy.context):
        profile = curves.read_profile(thing.data)
        edges = [float(loop.length_mm) for loop in profile.loops]
        found += [thing.name, *edges, *map(float, profile.bounds_mm), float(thing.data.extrude)]
    return found


def _files(core):
    """What the files that were saved hold otherwise than those that would be saved now."""
    import bpy

    from tests.blender.old_files import cut_shapes

    def cut(folder):
        return sorted(cut_shapes(path) for path in Path(folder).glob("*.dxf"))

    with tempfile.TemporaryDirectory() as other:
        try:
            bpy.ops.flatwright.save_cut_files(directory=other, anyway=True)
        except RuntimeError as error:
            return [f"files: {error}"]
        saved = Path(bpy.data.filepath).parent.parent / "cut"
        before, after = ([v for f in cut(d) for row in f for v in row] for d in (saved, other))
        return _otherwise("files", before, after)
