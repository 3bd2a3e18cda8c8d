"""The whole job once, each act watched for how long it holds the window at a stretch."""

import gc
import time
from collections.abc import Generator
from importlib import import_module

import bpy
import steps
from stretches import Stretches

TRIANGLES_AROUND, TRIANGLES_UP = 512, 200
"""Some two hundred thousand triangles."""
IDLE_S = 0.6


class Watch:
    """Runs acts under watch and keeps what was seen of each."""

    def __init__(self, driver):
        self.driver, self.table = driver, {}

    def act(self, name, do, done=lambda: True, seconds=120.0):
        """Do one thing as a person does, wait until it is done, and note what was seen."""
        with Stretches() as seen:
            with self.driver.viewport():
                more = do()
            yield 0.1
            if isinstance(more, Generator):
                yield from more
            yield from self.driver.wait_until(done, seconds, name)
            end = time.monotonic() + IDLE_S
            while time.monotonic() < end:
                self.driver.redraw()
                yield 0.05
        self.table[name] = seen.told()
        self.driver.check("stretches", self.table)


class Told:
    """Counts what operators have reported, since long work ends with a report."""

    def __init__(self):
        self.work = import_module(f"{steps.MODULE}.addon.state.work")
        self.ended = 0
        before = self.work.LongWork._end

        def end(operator, context, job):
            result = before(operator, context, job)
            # Work may go on with a second stretch.
            if result != {"RUNNING_MODAL"}:
                self.ended += 1
            return result

        self.work.LongWork._end = end

    def next_one(self):
        """Return a test for one more end than there are by now."""
        seen = self.ended
        return lambda: self.ended > seen


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    watch, told = Watch(driver), Told()
    yield from watch.act("nothing", lambda: None)
    yield from from_photo_to_part(driver, watch, told)
    yield from assembly(driver, watch, told)
    yield from sheets_and_files(driver, watch, told)
    yield from draw_costs(driver)
    yield from save_and_reopen(driver, watch)


def press(name, **settings):
    room, operator = name.split(".")
    return lambda: getattr(getattr(bpy.ops, room), operator)("INVOKE_DEFAULT", **settings)


def from_photo_to_part(driver, watch, told):
    yield from steps.empty_scene(driver)
    photo = str(steps.DEMO / steps.TRUTH["photo"])
    yield from watch.act(
        "add photo", press("flatwright.add_photo", filepath=photo), told.next_one()
    )
    steps.photo().flatwright_bench.face_height_mm = steps.TRUTH["mock_up_thickness_mm"]
    yield from watch.act("find grid", press("flatwright.find_grid"), told.next_one())
    yield from trace_by_click(driver, watch, told)
    yield from watch.act("suggest", press("flatwright.suggest"), told.next_one())
    driver.check("suggestions", len(bpy.context.object.flatwright_suggestions.items))
    accept = press("flatwright.accept_suggestion", index=-1)
    left = len(bpy.context.object.flatwright_suggestions.items)
    changed = lambda: len(bpy.context.object.flatwright_suggestions.items) != left  # noqa: E731
    if left:
        yield from watch.act("accept all", accept, changed)
    yield from watch.act("symmetrise", press("flatwright.make_symmetric"), told.next_one())
    yield from watch.act("add stock", press("flatwright.add_stock", kind="PLYWOOD"))
    yield from watch.act("make part", press("flatwright.make_part"))
    bpy.context.scene.flatwright_shows_paths = True
    yield from watch.act("show paths", lambda: None)


def trace_by_click(driver, watch, told):
    """Trace with the mouse; note how long after the click its rough edge is drawn."""
    clicking = import_module(f"{steps.MODULE}.addon.outline.tracing.clicking").PhotoClick
    times = {}

    def noted(name, method, counts=lambda result: True):
        def call(*arguments):
            began = time.perf_counter()
            result = method(*arguments)
            if counts(result):
                times.setdefault(name, began)
            return result

        return call

    clicking._click = noted("clicked", clicking._click)
    clicking._rough = noted("drawn", clicking._rough, lambda drawing: drawing.strokes)
    with driver.viewport():
        bpy.ops.flatwright.look_at(what="BENCH")
        bpy.ops.flatwright.trace_outline("INVOKE_DEFAULT")
    yield 1.5
    place = steps.place_of_px(driver, steps.TRUTH["inside_px"])
    yield from watch.act("trace", lambda: driver.click(*place), told.next_one())
    driver.check("first_ring_ms", round(1e3 * (times["drawn"] - times["clicked"])))


def press_ok(driver):
    """Accept the dialog under the mouse."""
    yield 0.5
    yield from driver.key("RET")


def assembly(driver, watch, told):
    rib = bpy.context.object
    with driver.viewport():
        bpy.ops.mesh.primitive_uv_sphere_add(
            segments=TRIANGLES_AROUND, ring_count=TRIANGLES_UP, radius=0.1, location=(0, 0, 0.14)
        )
    globe = bpy.context.object
    yield 0.5
    yield from watch.act("use as fixture", press("flatwright.set_fixture"))
    globe.select_set(False)
    rib.select_set(True)
    bpy.context.view_layer.objects.active = rib

    def stand():
        bpy.ops.flatwright.stand_around("INVOKE_DEFAULT")
        return press_ok(driver)

    yield from watch.act("stand around", stand, lambda: len(steps.parts()) == 6)
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="FRONT")
        view = driver.area.spaces.active.region_3d
        view.view_location, view.view_distance = (0.0, 0.0, 0.1), 0.7

    def ring():
        bpy.context.scene.cursor.location.z = 0.09
        bpy.ops.flatwright.ring_around_fixture("INVOKE_DEFAULT")
        return press_ok(driver)

    yield from watch.act("ring", ring, lambda: len(steps.parts()) == 7)
    for thing in list(bpy.context.selected_objects):
        thing.select_set(False)
    yield from watch.act("join", press("flatwright.join_parts"), told.next_one())
    yield from watch.act("check", press("flatwright.check_assembly"), told.next_one())
    yield from watch.act("undo", lambda: bpy.ops.ed.undo())
    yield from watch.act("redo", lambda: bpy.ops.ed.redo())
    ribs = [o for o in steps.parts() if o.name != "Ring"]
    for thing in ribs:
        thing.select_set(True)
    bpy.context.view_layer.objects.active = ribs[0]
    yield from watch.act("select all ribs", lambda: None)
    move = dict(value=(0.0, 0.0, 0.001))
    yield from watch.act("move", lambda: bpy.ops.transform.translate(**move))
    stock = bpy.context.scene.flatwright_stocks[0]

    def thicker():
        stock.thickness_mm = 3.2

    yield from watch.act("thickness", thicker)
    for thing in ribs:
        thing.flatwright_fixture_cut.enabled = True
    yield from watch.act("cut to fixture", press("flatwright.rebuild_parts"))
    yield from watch.act("move, cut to fixture", lambda: bpy.ops.transform.translate(**move))
    yield 1.0
    yield from watch.act(
        "check, cut to fixture", press("flatwright.check_assembly"), told.next_one()
    )
    bpy.context.view_layer.objects.active = ribs[0]
    series = bpy.context.scene.flatwright_fit_series
    series.feature = "slot"
    yield from watch.act("propose series", press("flatwright.propose_series"))
    yield from watch.act("fit series", press("flatwright.make_fit_series"))


def sheets_and_files(driver, watch, told):
    folder = driver.out / "cut"
    folder.mkdir(exist_ok=True)
    bpy.context.scene.flatwright_layout.seconds = 3
    yield from watch.act("lay out", press("flatwright.lay_out"), told.next_one())
    yield from watch.act("improve", press("flatwright.improve_layout"), told.next_one())
    yield from watch.act("readiness", press("flatwright.check_readiness"), told.next_one())
    save = press(
        "flatwright.save_cut_files",
        directory=str(folder),
        use_template=True,
        overwrite=True,
        anyway=True,
    )
    yield from watch.act("save cut files", save, told.next_one())


def save_and_reopen(driver, watch):
    path = str(driver.out / "job.blend")
    yield from watch.act("save file", lambda: bpy.ops.wm.save_as_mainfile(filepath=path))
    with Stretches() as seen:
        bpy.ops.wm.open_mainfile(filepath=path)
        yield 1.5
        driver.redraw()
        yield 1.0
    driver.check("stretches", {**driver.checks["stretches"], "reopen": seen.told()})


def draw_costs(driver):
    """What drawing panels and strokes over the viewport costs: ms at most, and usually."""
    costs = {}

    def timed(name, function):
        def call(*arguments, **more):
            began = time.perf_counter()
            try:
                return function(*arguments, **more)
            finally:
                costs.setdefault(name, []).append(1e3 * (time.perf_counter() - began))

        return call

    for kind in bpy.types.Panel.__subclasses__():
        if kind.__name__.startswith("FLATWRIGHT_PT"):
            for method in ("draw", "draw_header"):
                setattr(kind, method, timed(f"{kind.__name__}.{method}", getattr(kind, method)))
    overlays = [o for o in gc.get_objects() if type(o).__name__ == "Overlay"]
    for overlay in overlays:
        made = overlay._make
        overlay._make = timed(f"{made.__module__.rsplit('addon.', 1)[-1]}.{made.__name__}", made)
    for thing in steps.parts():
        thing.select_set(True)
    yield 1.0
    for _ in range(12):
        driver.redraw()
        yield 0.1
    told = {
        name: [round(max(times), 1), round(sorted(times)[len(times) // 2], 1)]
        for name, times in costs.items()
        if max(times) > 0.5
    }
    driver.check("draw_costs_ms", dict(sorted(told.items(), key=lambda kv: -kv[1][0])))
