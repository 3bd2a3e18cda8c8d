"""The folder a dialog opens in: where files were last read or saved, kept with the preferences."""

from pathlib import Path
from typing import Any

import bpy

__all__ = ["keep_folder", "preferences", "start_where_last"]


def preferences() -> Any:
    """The extension's preferences; None while it is not enabled as an extension."""
    package = __package__.rpartition(".addon")[0]
    addon: Any = bpy.context.preferences.addons.get(package)
    return addon.preferences if addon is not None else None


def start_where_last(operator: Any) -> None:
    """Have a file dialog open where the last one of its kind ended, else in the chosen folder."""
    kept = preferences()
    if kept is None:
        return
    if hasattr(operator, "directory"):
        folder = kept.last_saved or bpy.path.abspath(kept.folder)
        if folder and Path(folder).is_dir():
            operator.directory = folder
    elif kept.last_read and Path(kept.last_read).is_dir():
        # A path that ends in a separator names the folder alone.
        operator.filepath = str(Path(kept.last_read)) + "/"


def keep_folder(operator: Any) -> None:
    """Remember where a dialog ended."""
    kept = preferences()
    if kept is None:
        return
    if hasattr(operator, "directory"):
        kept.last_saved = bpy.path.abspath(operator.directory)
    elif operator.filepath:
        kept.last_read = str(Path(bpy.path.abspath(operator.filepath)).parent)
    bpy.context.preferences.is_dirty = True
