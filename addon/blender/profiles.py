"""The profile an object shows in the scene, refused where what is seen is not what would be cut."""

import bpy

from ...geometry.errors import OutlineError
from ...geometry.outline import Profile
from .curves import curve_of, read_profile
from .poses import is_scaled

__all__ = ["profile_of"]

REFUSED = {
    "scaled": "“{name}” is scaled in the scene, and what is cut is the curve before that. Press "
    "Apply Scale in the Outline panel, or clear it with Object ▸ Clear ▸ Scale.",
    "mirrored": "“{name}” is mirrored by a negative scale, and what is cut is the curve before "
    "that. Press Apply Scale in the Outline panel, or clear it with Object ▸ Clear ▸ Scale.",
}


def profile_of(thing: bpy.types.Object) -> Profile:
    """Return the profile of an object's curve, in mm in its own axes.

    Raises
    ------
    OutlineError
        If the curve cannot be cut, see `read_profile`, or the object is scaled, so that another
        size is seen than would be cut.
    """
    curve = curve_of(thing)
    state = is_scaled(thing)
    if state:
        raise OutlineError(REFUSED[state].format(name=thing.name))
    return read_profile(curve)
