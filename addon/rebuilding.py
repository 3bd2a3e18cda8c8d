"""Operators that look at all parts first bring them up to date, beside the window."""

import bpy

from .bridge.parts import rebuilding, show_parts
from .work import LongWork, Stages

__all__ = ["RebuildsFirst"]


class RebuildsFirst(LongWork):
    """Mixin: every part is rebuilt before ``gather`` reads the scene."""

    def stages(self, context: bpy.types.Context) -> Stages:
        """Rebuild, then do the work itself."""
        show_parts(context, (yield rebuilding(context)))
        yield from super().stages(context)
