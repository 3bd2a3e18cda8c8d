"""Install a built zip into Blender (as a Python module) the way a person does from its menu."""

import os
import sys
from pathlib import Path

__all__ = ["install"]

REPOSITORY = "user_default"


def install(zip_path: Path, resources: Path) -> str:
    """Install and enable; return the extension's package name.

    Parameters
    ----------
    resources
        A folder of Blender's own for this run, so that nothing of the person's is touched. It
        must be set before Blender is first imported.

    Raises
    ------
    SystemExit
        If Blender does not enable it.
    """
    resources.mkdir(parents=True, exist_ok=True)
    os.environ["BLENDER_USER_RESOURCES"] = str(resources)
    import bpy

    bpy.ops.wm.read_factory_settings(use_empty=True)
    if not hasattr(bpy.types, bpy.ops.extensions.package_install_files.idname()):
        bpy.ops.preferences.addon_enable(module="bl_pkg")
    bpy.ops.extensions.package_install_files(
        filepath=str(zip_path), repo=REPOSITORY, enable_on_install=True
    )
    package = f"bl_ext.{REPOSITORY}.flatwright"
    if package not in bpy.context.preferences.addons or package not in sys.modules:
        raise SystemExit("Blender installed the extension but did not enable it; see above.")
    return package
