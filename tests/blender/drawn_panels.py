"""A layout that notes what panels draw into it, to count and measure it without a window."""

from types import MethodType, SimpleNamespace

import blf
import bpy

__all__ = ["WIDTH_PX", "Drawn", "drawn"]

WIDTH_PX = 235.0
"""Room in a sidebar of default width, between the margins of its panels; measured in a window."""
ICON_PX, PAD_PX, LABEL_SHARE = 20.0, 6.0, 0.4
"""An icon with its gap, the margins of words, and what a setting's name gets of its row."""


class Drawn:
    """A stand-in for `bpy.types.UILayout`."""

    def __init__(self, kind="column", is_split=False, factor=0.5):
        self.kind, self.factor, self.parts = kind, factor, []
        self.use_property_split = is_split

    def __setattr__(self, name, value):
        # Whatever else panels set, such as `enabled`, says nothing about room.
        object.__setattr__(self, name, value)

    def _add(self, kind, factor=0.5):
        child = Drawn(kind, self.use_property_split, factor)
        self.parts.append(child)
        return child

    def row(self, **_):
        return self._add("row")

    def column(self, **_):
        return self._add("column")

    def box(self):
        return self._add("column")

    def split(self, *, factor=0.5, **_):
        return self._add("split", factor)

    def _leaf(self, kind, text, icon):
        self.parts.append(SimpleNamespace(kind=kind, text=text, icon=icon not in ("", "NONE")))
        return SimpleNamespace()

    def label(self, *, text="", icon="NONE", translate=True, **_):
        # What is not translated is a figure or a name, as long as it is.
        return self._leaf("label" if translate else "figure", text, icon)

    def operator(self, name, *, text=None, icon="NONE", **_):
        room, short = name.split(".")
        rna = getattr(getattr(bpy.ops, room), short).get_rna_type()
        return self._leaf("button", rna.name if text is None else text, icon)

    def operator_menu_enum(self, name, prop, **more):
        return self.operator(name, **more)

    def prop(self, holder, name, *, text=None, expand=False, icon="NONE", **_):
        prop = holder.bl_rna.properties[name]
        if expand:
            row = self._add("row")
            for item in prop.enum_items:
                row._leaf("button", item.name, "NONE")
            return
        said = prop.name if text is None else text
        kind = "setting" if self.use_property_split and prop.type != "BOOLEAN" else "field"
        self._leaf(kind, said, "CHECK" if prop.type == "BOOLEAN" else icon)

    def prop_enum(self, holder, name, value, *, text="", icon="NONE"):
        return self._leaf("button", text, icon)

    def prop_search(self, holder, name, *_, **more):
        self.prop(holder, name, **more)

    def template_list(self, *_, **__):
        self._leaf("list", "", "NONE")

    def separator(self, **_):
        """Nothing to count or measure."""

    def leaves(self, width=WIDTH_PX):
        """Yield everything drawn with the width it has in pixels."""
        narrow = [p for p in self.parts if not isinstance(p, Drawn) and not p.text and p.icon]
        wide = len(self.parts) - len(narrow)
        for number, part in enumerate(self.parts):
            room = width
            if self.kind == "row":
                room = (width - ICON_PX * len(narrow)) / max(wide, 1)
            elif self.kind == "split":
                share = self.factor if number == 0 else 1.0 - self.factor
                room = width * share / (1 if number == 0 else max(len(self.parts) - 1, 1))
            if isinstance(part, Drawn):
                yield from part.leaves(room)
            else:
                yield part, room


def drawn(panel, context=bpy.context):
    """Return what a panel draws now."""
    layout = Drawn()
    fake = SimpleNamespace(layout=layout)

    class Fake:
        def __getattr__(self, name):
            found = getattr(panel, name)
            is_own = callable(found) and not hasattr(found, "__self__")
            return MethodType(found, self) if is_own else found

    fake = Fake()
    fake.layout = layout
    panel.draw(fake, context)
    return layout


def is_cut_off(part, room, words):
    """Whether the words of something drawn do not fit into its room."""
    if not part.text or part.kind in ("figure", "list"):
        return False
    blf.size(0, bpy.context.preferences.ui_styles[0].widget.points)
    room = room * LABEL_SHARE if part.kind == "setting" else room
    taken = PAD_PX + (ICON_PX if part.icon else 0.0)
    return blf.dimensions(0, words)[0] + taken > room
