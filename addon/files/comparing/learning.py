"""What comparing a cut part taught: said beside its figures, and kept with stock and machine."""

import bpy

from ....geometry.errors import PartError
from ....geometry.files import MachineScale
from ...blender.units import show_length
from ...locale.words import reported, translated
from ...state.following import paused
from ..kept_kerf import keep_kerf
from ..machines import keep_scale

__all__ = ["TOLD", "keep_learned", "remarks_on"]

TOLD = {
    "doubtful": "The kerf's ± is more than a quarter of it: nothing is kept. Compare a larger part "
    "with holes, or a sharper photo.",
    "DOWN": "It lies face down in the photo.",
    "EITHER": "It fits its drawing either way up, so lay it as it was cut: else x, y and "
    "squareness may be another's.",
    "no machine": "No machine is chosen in the Files panel, so its scale is not kept.",
}


def remarks_on(kept: bpy.types.PropertyGroup) -> list[str]:
    """What is to be said of a comparison beside its figures, as keys of `TOLD`."""
    found = [kept.lies] if kept.lies in TOLD else []
    return found if kept.tells_kerf else [*found, "doubtful"]


def keep_learned(context: bpy.types.Context, thing: bpy.types.Object) -> str:
    """Keep the kerf with stock and machine, the scale with the machine; return a sentence.

    Raises
    ------
    FlatwrightError
        If the kerf is too doubtful, or its stock is gone.
    """
    kept = thing.flatwright_compared
    if not kept.tells_kerf:
        raise PartError(TOLD["doubtful"])
    stock = context.scene.flatwright_stocks.get(kept.stock)
    if stock is None:
        raise PartError(
            "There is no stock named “{stock}” any more. Press + to add one of that name, and "
            "press Compare with Drawing again.",
            stock=kept.stock,
        )
    kerf_mm, doubt_mm = round(kept.kerf_mm, 4), round(kept.kerf_doubt_mm, 4)
    with paused():
        stock.kerf_mm, stock.kerf_doubt_mm = kerf_mm, doubt_mm
        stock.measured = stock.measured | {"kerf"}
    words = [
        reported(
            "{stock}: kerf {kerf} ± {doubt}.",
            stock=stock.name,
            kerf=show_length(kerf_mm, digits=6),
            doubt=show_length(doubt_mm, digits=6),
        )
    ]
    name = context.scene.flatwright_readiness.machine
    if not name:
        words.append(translated(TOLD["no machine"]))
        return " ".join(words)
    keep_kerf(context, name, stock.name, kerf_mm, doubt_mm)
    found = MachineScale(kept.stretch_x, kept.stretch_y, kept.shear, name)
    doubt = max(kept.stretch_x_doubt, kept.stretch_y_doubt, kept.shear_doubt)
    scale = keep_scale(context, name, found, kept.machine_before, doubt)
    words.append(
        reported(
            "{machine}: x {x} ‰, y {y} ‰, squareness {shear} ‰.",
            machine=name,
            x=f"{1000.0 * scale.stretch_x:+.2f}",
            y=f"{1000.0 * scale.stretch_y:+.2f}",
            shear=f"{1000.0 * scale.shear:+.2f}",
        )
    )
    return " ".join(words)
