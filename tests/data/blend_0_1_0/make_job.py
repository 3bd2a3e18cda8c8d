"""Stocks, parts, joints, sheets and scenes of the file with every record; see make.py."""

import math
from importlib import import_module

import bpy
from mathutils import Matrix

MM = 1e-3
OPS = bpy.ops.flatwright


def make(base, path):
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    millimetres()
    bpy.context.scene.name = "Job"
    bpy.ops.wm.save_as_mainfile(filepath=str(path), compress=True)
    photo = base.mat_photo()
    _, hand = base.outlines(photo)
    base.card_photo()
    base.ruler_photo()
    base.exact_shapes()
    stocks(base)
    assembly(base, hand)
    trials(base)
    sheets(base)
    views(base)
    trouble(base)
    lost(base)
    bpy.context.window.scene = bpy.data.scenes["Job"]


def millimetres():
    settings = bpy.context.scene.unit_settings
    settings.system, settings.length_unit, settings.scale_length = "METRIC", "MILLIMETERS", 1.0


def stocks(base):
    scene = bpy.context.scene
    for kind in ("PLYWOOD", "ROUTED", "CARD", "ACRYLIC"):
        OPS.add_stock(kind=kind)
    ply, routed, card, _ = scene.flatwright_stocks
    ply.name, ply.thickness = "Birch plywood", 2.9 * MM
    ply.sheets, ply.grain, ply.press = 3, "height", -0.04 * MM
    routed.thickness, routed.sliding = 6.1 * MM, 0.12 * MM
    routed.sheet_width, routed.sheet_height = 500.0 * MM, 350.0 * MM
    card.process, card.name = "knife", "Grey card"
    card.grain = "width"
    scene.flatwright_stock_index = 0
    test = scene.flatwright_kerf_test
    test.strips, test.gap_mm, test.reading_mm = 12, 2.34, 0.06
    OPS.keep_kerf()
    scene.flatwright_shows_paths = False


def part(base, outline, stock, name, pose=None):
    scene = bpy.context.scene
    scene.flatwright_stock_index = list(scene.flatwright_stocks).index(
        scene.flatwright_stocks[stock]
    )
    base.choose(outline)
    OPS.make_part()
    thing = bpy.context.object
    thing.name = thing.data.name = name
    outline.hide_set(True)
    if pose is not None:
        thing.matrix_world = pose
    bpy.context.view_layer.update()
    return thing


def rectangle(base, name, width, height):
    base.cursor(-600.0, 250.0)
    OPS.add_rectangle(width=width * MM, height=height * MM)
    bpy.context.object.name = f"{name} outline"
    return bpy.context.object


def at(x, y, z, turn_deg=0.0, upright=False):
    turn = Matrix.Rotation(math.radians(turn_deg), 4, "Z")
    stand = Matrix.Rotation(math.pi / 2.0, 4, "X") if upright else Matrix()
    return Matrix.Translation((x * MM, y * MM, z * MM)) @ turn @ stand


def assembly(base, hand):
    scene = bpy.context.scene
    settings = scene.flatwright_assembly
    # A post to fit, and a block that parts keep away from.
    bpy.ops.mesh.primitive_cylinder_add(
        vertices=96, radius=30 * MM, depth=90 * MM, location=(-0.6, 0.0, 0.06)
    )
    post = base.named(bpy.context.object, "Post")
    OPS.set_fixture()
    bpy.ops.mesh.primitive_cube_add(size=20 * MM, location=(-0.6, 0.16, 0.05))
    base.named(bpy.context.object, "Block")
    OPS.add_fixture()
    settings.more_fixtures[0].required = 2.0 * MM
    settings.required = 0.25 * MM
    axis = bpy.data.objects.new("Post axis", None)
    bpy.context.collection.objects.link(axis)
    axis.location = post.location
    settings.axis_from, settings.axis_object = "object", axis
    rib = part(base, rectangle(base, "Rib", 60.0, 80.0), "Birch plywood", "Rib")
    base.choose(rib)
    OPS.stand_around(count=4, distance=40.0 * MM, floor=0.0)
    scene.flatwright_stock_index = 0
    OPS.ring_around_fixture(height=50.0 * MM, outer_diameter=150.0 * MM, clearance=0.3 * MM)
    ring = bpy.context.object
    ring.name = "Bored ring"
    collar = part(
        base, rectangle(base, "Collar", 110.0, 90.0), "Grey card", "Collar", at(-600, 0, 95)
    )
    base.choose(collar)
    OPS.cut_to_fixture(clearance=0.8 * MM)
    base.choose(ring, *[o for o in scene.objects if o.name.startswith("Rib") and
                        o.flatwright_part.is_part])  # fmt: skip
    print("ring laps", OPS.join_parts(), len(settings.joints))
    # Two copies of a stepped sheet and two rails: their slots are locked until some are turned.
    near = part(base, hand["stepped"], "Birch plywood", "Near", at(-600, -330, 100, 0, True))
    far = near.copy()
    far.name = "Far"
    bpy.context.collection.objects.link(far)
    far.matrix_world = at(-600, -270, 100, 180, True)
    left = part(base, hand["rail"], "Birch plywood", "Left", at(-630, -300, 100, 90, True))
    right = part(base, hand["rail"], "Birch plywood", "Right", at(-570, -300, 100, 90, True))
    base.choose(near, far, left, right)
    print("trellis", OPS.join_parts(), len(settings.joints))
    floor = part(base, rectangle(base, "Base", 120.0, 80.0), "Plywood 6 mm, Routed", "Base",
                 at(-900, 0, 0))  # fmt: skip
    wall = part(base, rectangle(base, "Wall", 100.0, 40.0), "Plywood 6 mm, Routed", "Wall",
                at(-900, 0, 23.05, 0, True))  # fmt: skip
    base.choose(floor, wall)
    print("tabs", OPS.tab_parts(), len(settings.joints))
    joint = settings.joints[len(settings.joints) - 1]
    joint.tab_count, joint.tab_width, joint.tab_margin = 3, 14.0 * MM, 9.0 * MM
    joint.fit = "sliding"
    # Crossing plates with a fit, a split and a side of their own; and a joint that is not cut.
    one = part(base, rectangle(base, "One", 90.0, 50.0), "Birch plywood", "One",
               at(-900, -200, 25, 0, True))  # fmt: skip
    other = part(base, rectangle(base, "Other", 70.0, 50.0), "Birch plywood", "Other",
                 at(-910, -200, 25, 80, True))  # fmt: skip
    base.choose(one, other)
    OPS.join_parts()
    joint = settings.joints[len(settings.joints) - 1]
    joint.fit, joint.clearance, joint.split, joint.opens = "typed", 0.15 * MM, 0.4, "end"
    sheet = part(base, rectangle(base, "Loose", 70.0, 40.0), "Grey card", "Loose", at(-1100, 0, 40))
    third = part(base, rectangle(base, "Loose foot", 40.0, 30.0), "Grey card", "Loose foot",
                 at(-1100, 0, 24.5, 0, True))  # fmt: skip
    base.choose(sheet, third)
    print("not cut", OPS.tab_parts(), len(settings.joints))
    settings.joints[len(settings.joints) - 1].enabled = False
    third.matrix_world = at(-1100, 0, 20, 0, True)
    shelf = part(base, rectangle(base, "Shelf", 70.0, 40.0), "Grey card", "Shelf", at(-1300, 0, 40))
    foot = part(base, rectangle(base, "Shelf foot", 40.0, 30.0), "Grey card", "Shelf foot",
                at(-1300, 0, 24, 0, True))  # fmt: skip
    base.choose(shelf, foot)
    print("asleep", OPS.tab_parts(), len(settings.joints))
    foot.matrix_world = at(-1300, 0, 15, 0, True)
    bpy.context.view_layer.update()
    # Mirrored and repeated.
    flag = part(base, hand["lobe"], "Birch plywood", "Flag", at(-1100, -200, 0, 20))
    base.cursor(-1100.0, -250.0)
    base.choose(flag)
    OPS.mirror_parts(side="Y")
    peg = part(
        base, rectangle(base, "Peg", 12.0, 45.0), "Grey card", "Peg", at(-1060, -400, 22.5, 0, True)
    )
    base.cursor(-1100.0, -400.0)
    base.choose(peg)
    OPS.array_parts(count=3)
    settings.fit, settings.slot_clearance_mm = "typed", 0.05
    import_module(f"{base.PACKAGE}.addon.bridge.following").rebuild_quietly(bpy.context)
    print("opened", OPS.open_slots(), settings.opening)
    print([(j.a.name, j.b.name, j.kind, j.opens, j.needed, j.is_asleep, j.figures)
           for j in settings.joints])  # fmt: skip


def trials(base):
    scene = bpy.context.scene
    scene.flatwright_stock_index = 0
    ply = scene.flatwright_stocks[0]
    settings = scene.flatwright_fit_series
    settings.feature, settings.nominal_mm = "slot", 2.9
    settings.first_mm, settings.last_mm, settings.step_mm = 2.85, 3.05, 0.1
    OPS.make_fit_series()
    piece = next(o for o in scene.objects if abs(o.flatwright_part.trial_mm - 3.05) < 1e-4)
    base.choose(piece)
    settings.fit = "sliding"
    OPS.this_one_fitted()
    settings.feature, settings.second, settings.unit = "ring bore", "ring outside", "thou"
    settings.nominal_mm, settings.outside_mm, settings.caliper_mm = 40.0, 55.0, 0.03
    settings.first_mm, settings.last_mm, settings.step_mm = 39.8, 40.2, 0.2
    OPS.make_fit_series()
    piece = next(o for o in scene.objects if abs(o.flatwright_part.trial_mm - 40.2) < 1e-4)
    base.choose(piece)
    settings.mating_mm, settings.fit = 39.85, "loose"
    OPS.this_one_fitted()
    settings.at_cursor, settings.pieces = True, "gauge"
    settings.iso_hole, settings.iso_shaft = "H8", "g6"
    print("learned", ply.measured, ply.press_mm, ply.sliding_mm, ply.loose_mm, ply.kerf_mm,
          ply.kerf_doubt_mm)  # fmt: skip


def sheets(base):
    scene = bpy.context.scene
    layout = scene.flatwright_layout
    layout.margin, layout.gap = 6.0 * MM, 4.0 * MM
    layout.seconds, layout.seed = 3, 5
    layout.relieved, layout.relief = "joints", "wall"
    base.choose(bpy.data.objects["Wall"])
    OPS.check_assembly()
    settings = scene.flatwright_assembly
    print("check", settings.order_found, settings.is_clear, settings.interferences)
    print([r.sentence for r in settings.remarks], [s.sentence for s in settings.steps])
    OPS.lay_out()
    pieces = sorted(
        (o for o in scene.objects if o.flatwright_sheet.role == "PIECE"), key=lambda o: o.name
    )
    base.choose(pieces[2], pieces[3])
    OPS.pin_pieces()
    OPS.improve_layout()
    OPS.lay_out()
    pieces = sorted(
        (o for o in scene.objects if o.flatwright_sheet.role == "PIECE"), key=lambda o: o.name
    )
    # One nudged and turned askew to a free place.
    nudged = next(o for o in pieces if o.name.startswith("Base"))
    nudged.location.x += 150.0 * MM
    nudged.rotation_euler.z += math.radians(7.0)
    bpy.context.view_layer.update()
    for sheet in (o for o in scene.objects if o.flatwright_sheet.role == "SHEET"):
        told = sheet.flatwright_sheet
        print(sheet.name, told.pieces, told.used, tuple(told.offcut_mm))
    OPS.check_readiness()
    folder = base.FOLDER / "cut"
    folder.mkdir()
    try:
        OPS.save_cut_files(directory=str(folder), anyway=True)
    except RuntimeError as error:
        print("not saved:", error)
    print(sorted(p.name for p in folder.iterdir()))
    found = scene.flatwright_readiness
    print([(f.severity, f.label, f.sentence) for f in found.findings])
    if len(found.findings) > 1:
        found.index = 1


def views(base):
    scene = bpy.context.scene
    scene.flatwright_guide.is_dismissed = True
    window = bpy.context.window_manager.windows[0]
    area = next(a for a in window.screen.areas if a.type == "VIEW_3D")
    region = next(r for r in area.regions if r.type == "WINDOW")
    base.choose(bpy.data.objects["Bored ring"])
    with bpy.context.temp_override(window=window, area=area, region=region):
        OPS.section_view()
        OPS.look_at(what="SHEET")
    print(
        "section",
        area.spaces.active.region_3d.use_clip_planes,
        scene.flatwright_guide.hides_relations,
    )
    settings = scene.flatwright_assembly
    print("steps", OPS.show_steps())
    OPS.open_slots()
    settings.joint_index = 2
    scene.flatwright_stock_index = 1
    settings.remark_index = max(0, len(settings.remarks) - 1)


def new_scene(name):
    scene = bpy.data.scenes.new(name)
    bpy.context.window.scene = scene
    millimetres()
    return scene


def trouble(base):
    """A second scene: plates that overlap, a post through one, settings the other way."""
    scene = new_scene("Trouble")
    OPS.add_stock(kind="PLYWOOD")
    bpy.ops.mesh.primitive_cylinder_add(vertices=64, radius=15 * MM, depth=80 * MM)
    base.named(bpy.context.object, "Pipe")
    OPS.set_fixture()
    settings = scene.flatwright_assembly
    settings.axis_from = "cursor"
    settings.fixture_moves = False
    settings.required_mm = 1.5
    part(base, rectangle(base, "Through", 100.0, 60.0), "Plywood 3 mm", "Through", at(0, 0, 0))
    part(
        base,
        rectangle(base, "Across", 100.0, 60.0),
        "Plywood 3 mm",
        "Across",
        at(0, 50, 0, 0, True),
    )
    part(base, rectangle(base, "Over", 80.0, 60.0), "Plywood 3 mm", "Over", at(60, 20, 1))
    part(base, rectangle(base, "Aside", 30.0, 20.0), "Plywood 3 mm", "Aside", at(-31, 0, 20))
    base.cursor(-600.0, 250.0)
    OPS.add_ring(outer=30.0 * MM, inner=0.15 * MM)
    bpy.context.object.name = "Washer outline"
    part(base, bpy.context.object, "Plywood 3 mm", "Washer", at(200, 0, 0))
    OPS.check_readiness()
    OPS.check_assembly()
    print("trouble", settings.interferences, [r.sentence for r in settings.remarks])
    settings.shows_check = False
    settings.remark_index = len(settings.remarks) - 1
    scene.flatwright_layout.correct_kerf = False
    scene.flatwright_layout.relief = "short wall"
    settings.follows = False
    scene.flatwright_stocks[0].thickness = 3.2 * MM
    import_module(f"{base.PACKAGE}.addon.bridge.following").catch_up()
    print("stale", settings.is_stale)


def lost(base):
    """A third: a joint whose part was deleted, and a part whose outline was."""
    scene = new_scene("Lost")
    OPS.add_stock(kind="CARD")
    one = part(
        base, rectangle(base, "Kept", 90.0, 50.0), "Card 2 mm", "Kept", at(0, 0, 25, 0, True)
    )
    other = part(
        base, rectangle(base, "Gone", 70.0, 50.0), "Card 2 mm", "Gone", at(0, 0, 25, 90, True)
    )
    base.choose(one, other)
    OPS.join_parts()
    bpy.data.objects.remove(other)
    following = import_module(f"{base.PACKAGE}.addon.bridge.following")
    following.catch_up()
    orphan = part(base, rectangle(base, "Orphan", 40.0, 30.0), "Card 2 mm", "Orphan", at(150, 0, 0))
    bpy.data.objects.remove(orphan.flatwright_part.outline)
    following.catch_up()
    settings = scene.flatwright_assembly
    settings.fit = "loose"
    print("lost", settings.joints[0].figures, "|", settings.trouble)
