"""The profile an object shows in the scene, refused where what is seen is not what would be cut."""

import bpy

from ...geometry.errors import OutlineError
from ...geometry.outline import Profile
from .curves import curve_of, read_profile
from .poses import is_scaled

__all__ = ["is_modified", "profile_of", "refuse_modified"]

REFUSED = {
    "scaled": "“{name}” is scaled in the scene, and what is cut is the curve before that. Press "
    "Apply Scale in the Outline panel, or clear it with Object ▸ Clear ▸ Scale.",
    "mirrored": "“{name}” is mirrored by a negative scale, and what is cut is the curve before "
    "that. Press Apply Scale in the Outline panel, or clear it with Object ▸ Clear ▸ Scale.",
}


def is_modified(thing: bpy.types.Object) -> bool:
    """Whether an object's curve is seen in another shape than it is stored in."""
    return any(modifier.show_viewport for modifier in thing.modifiers)


def refuse_modified(thing: bpy.types.Object) -> None:
    """Say so if modifiers make an object's curve look otherwise than it would be cut.

    Raises
    ------
    OutlineError
        If they do.
    """
    if is_modified(thing):
        raise OutlineError(
            "“{name}” is shown with modifiers, and what is cut is the curve before them. Remove "
            "them, or switch them off in the viewport.",
            name=thing.name,
        )


def profile_of(thing: bpy.types.Object) -> Profile:
    """Return the profile of an object's curve, in mm in its own axes.

    Raises
    ------
    OutlineError
        If the curve cannot be cut, see `read_profile`, or the object is scaled or has modifiers,
        so that something else is seen than would be cut.
    """
    curve = curve_of(thing)
    refuse_modified(thing)
    state = is_scaled(thing)
    if state:
        raise OutlineError(REFUSED[state], name=thing.name)
    return read_profile(curve)
