"""The parts of another file brought into this scene as a job, their shapes linked from there."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import bpy
from mathutils import Matrix

from ....geometry.errors import SheetError
from ....geometry.tolerance import SAME_SIZE_MM
from ...blender.curves import curve_of, read_profile
from ...blender.names import free_name
from ...blender.units import blender_per_mm, to_blender
from ...part.stock_library import fill_stock
from ...state.records import refuse_newer
from ...state.things import is_part_to_bring
from ..ground import BESIDE_MM, free_ground
from .membership import add_job

__all__ = ["bring_job"]


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of the other file: its name there, its curve's, its stock, and its good face."""

    name: str
    curve: str
    stock: str
    good_side: str


def bring_job(context: bpy.types.Context, path: Path) -> tuple[bpy.types.PropertyGroup, int]:
    """Bring the parts of another file in as a job of its name; return the job and how many.

    They lie beside everything else and are cut as that file has them; stocks that this scene has
    not are taken along.

    Raises
    ------
    FlatwrightError
        If that file cannot be read, holds no part, or its sheets are of another thickness.
    """
    scene = context.scene
    parts, stocks = _read(scene, path)
    for told in stocks:
        if told["name"] not in scene.flatwright_stocks:
            _add_stock(scene, told)
    job = add_job(scene, path.stem)
    curves = _linked(path, parts)
    left_mm, below_mm = free_ground(context)
    for part in parts:
        thing = bpy.data.objects.new(free_name(part.name), curves[part.curve])
        scene.collection.objects.link(thing)
        told = thing.flatwright_part
        told.is_part, told.is_guest, told.job = True, True, job.name
        told.stock, told.good_side = part.stock, part.good_side
        x0, _, x1, y1 = read_profile(curve_of(thing)).bounds_mm
        place = (to_blender(left_mm - x0), to_blender(-below_mm - y1), 0.0)
        thing.matrix_world = Matrix.Translation(place)
        left_mm += x1 - x0 + BESIDE_MM
    return job, len(parts)


def _read(scene: bpy.types.Scene, path: Path) -> tuple[list[_Part], list[dict[str, Any]]]:
    """Parts and stocks of the first scene of a file that has parts."""
    if bpy.data.filepath and path.resolve() == Path(bpy.data.filepath).resolve():
        raise SheetError("This is the file that is open. Choose another one.")
    per_mm = blender_per_mm()
    try:
        with bpy.data.temp_data(filepath=bpy.data.filepath) as there:
            with there.libraries.load(str(path), link=True) as (found, wanted):
                wanted.scenes = list(found.scenes)
            for other in there.scenes:
                parts = _parts_of(other)
                if parts:
                    refuse_newer(other)
                    _refuse_other_units(other, per_mm)
                    stocks = _stocks_of(other, {part.stock for part in parts})
                    _refuse_other_stocks(scene, stocks)
                    return parts, stocks
    except OSError as error:
        raise SheetError(
            "“{name}” cannot be read as a file of Blender. Choose another one.", name=path.name
        ) from error
    raise SheetError(
        "“{name}” holds no part to cut. Make parts in it, save it, and choose it again.",
        name=path.name,
    )


def _parts_of(scene: bpy.types.Scene) -> list[_Part]:
    stocks = scene.flatwright_stocks
    things = sorted((o for o in scene.objects if is_part_to_bring(o)), key=lambda o: o.name)
    return [
        _Part(o.name, o.data.name, o.flatwright_part.stock, o.flatwright_part.good_side)
        for o in things
        if o.flatwright_part.stock in stocks and o.data is not None
    ]


def _stocks_of(scene: bpy.types.Scene, names: set[str]) -> list[dict[str, Any]]:
    """What stocks say of themselves, by the names of their fields."""
    return [_fields(stock) for stock in scene.flatwright_stocks if stock.name in names]


def _fields(stock: bpy.types.PropertyGroup) -> dict[str, Any]:
    fields = set(stock.bl_rna.properties.keys()) - {"rna_type", "known_name"}
    # A length in the scene's units is one in mm beside it.
    return {f: getattr(stock, f) for f in fields if f"{f}_mm" not in fields}


def _add_stock(scene: bpy.types.Scene, told: dict[str, Any]) -> None:
    fill_stock(scene.flatwright_stocks.add(), told, told["measured"])


def _refuse_other_units(scene: bpy.types.Scene, per_mm: float) -> None:
    if abs(scene.unit_settings.scale_length * 1000.0 * per_mm - 1.0) > 1e-6:
        raise SheetError(
            "That file has another unit scale than this scene. Give both the same under Scene ▸ "
            "Units.",
        )


def _refuse_other_stocks(scene: bpy.types.Scene, stocks: Sequence[dict[str, Any]]) -> None:
    """A stock of one name and two thicknesses: the slots would fit one of them only."""
    for told in stocks:
        own = scene.flatwright_stocks.get(told["name"])
        if own is not None and abs(own.thickness_mm - told["thickness_mm"]) > SAME_SIZE_MM:
            raise SheetError(
                "“{stock}” is {there_mm:.2f} mm thick in that file and {here_mm:.2f} mm here. Give "
                "one of the two another name, or both the same thickness.",
                stock=told["name"],
                there_mm=told["thickness_mm"],
                here_mm=own.thickness_mm,
            )


def _libraries() -> Any:
    """Blender's libraries; their description does not know that loading has a context."""
    return bpy.data.libraries


def _linked(path: Path, parts: Sequence[_Part]) -> dict[str, bpy.types.Curve]:
    """The curves of the parts, linked from the other file, by their names there."""
    names = sorted({part.curve for part in parts})
    is_saved = bool(bpy.data.filepath)
    with _libraries().load(str(path), link=True, relative=is_saved) as (_, wanted):
        wanted.curves = list(names)
    return dict(zip(names, wanted.curves, strict=True))
