"""The edges of other people's SVG files: what a browser would show, in mm, y up."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from xml.parsers.expat import ExpatError

import numpy as np

from ...arrays import Matrix
from ...errors import FileError
from ...outline import Segment
from .budget import DAMAGE, Budget, LimitError
from .ellipses import transformed
from .foreign import Foreign
from .svg_lengths import ENGLISH_PX_MM, FONT_PX, Frame, fitting, length, numbers_in
from .svg_reader import svg_root
from .svg_shapes import SHAPES, shape_edges
from .svg_style import Ancestry, StyleSheet, tag_of
from .svg_transform import transform_matrix

__all__ = ["read_foreign_svg"]

NEVER_SHOWN = {
    "title", "desc", "defs", "metadata", "style", "clipPath", "mask", "symbol", "marker",
    "linearGradient", "radialGradient", "pattern", "script", "filter", "view", "animate",
    "animateMotion", "animateTransform", "set", "color-profile", "solidcolor", "hatch", "mesh",
}  # fmt: skip
"""Elements that draw nothing where they stand."""
GROUPS = {"g", "a", "switch", "svg", "symbol"}
DEEPEST_USE = 32
"""Uses within uses; chosen, deeper is a loop or an attack."""
HREF = "{http://www.w3.org/1999/xlink}href"
SVG = "{http://www.w3.org/2000/svg}"
LOADED = 0.3
"""So much of the time is gone when the file's text is parsed."""


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the walk is: matrix to mm, viewport, layer, and what is inherited."""

    matrix: Matrix
    frame: Frame
    layer: str = ""
    hidden: bool = False
    clipped: bool = False
    uses: int = 0
    sized: tuple[tuple[str, str], ...] = ()
    """Width and height that a <use> gives to the viewport it shows."""


def read_foreign_svg(path: Path, mm_per_unit: float | None, budget: Budget) -> Foreign:
    """Return what an SVG file shows, transforms applied, y up.

    Parameters
    ----------
    path, mm_per_unit
        The file, and millimetres a unit where the person knows better than it.
    budget
        Counts what is read.
    """
    try:
        root = svg_root(path)
    except (ElementTree.ParseError, ExpatError) as error:
        raise FileError(
            "“{name}” is no SVG file or is damaged ({error}). Save it again.",
            name=path.name,
            error=error,
        ) from error
    budget.stage(LOADED, "Reading the shapes")
    found = Foreign(budget)
    # Transforms that multiply to more than there is leave shapes of no size: told where they are.
    with np.errstate(over="ignore", invalid="ignore"):
        _Walk(root, found).run(mm_per_unit)
    return found


class _Walk:
    """Goes through a document without recursion, so that no depth is too much."""

    def __init__(self, root: ElementTree.Element, found: Foreign) -> None:
        self.root, self.found = root, found
        self.sheet = StyleSheet.of(root)
        self.by_id: dict[str, ElementTree.Element] = {}
        for element in root.iter():
            self.by_id.setdefault(element.get("id", ""), element)
        self.clipped = 0
        self.waiting: list[tuple[Ancestry, _Place]] = []

    def run(self, mm_per_unit: float | None) -> None:
        """Add every edge that shows to what was found."""
        self.waiting.append((Ancestry(self.root), self._page(mm_per_unit)))
        while self.waiting:
            here, place = self.waiting.pop()
            tag = tag_of(here.element)
            if tag not in SHAPES:
                self.found.budget.spend()
            try:
                self._take(here, tag, place)
            except LimitError:
                raise
            except DAMAGE:
                self.found.left_out[f"damaged {tag}"] += 1
        if self.clipped:
            some = "shape is" if self.clipped == 1 else "shapes are"
            self.found.notes.append(
                f"{self.clipped} {some} clipped or masked in the file, and read whole here; "
                "cut off what should not be there."
            )
        if self.sheet.unread:
            self.found.notes.append(
                f"{self.sheet.unread} rules of its style sheet are not read here; look whether "
                "what they hide or move came in as meant."
            )

    def _page(self, mm_per_unit: float | None) -> _Place:
        """Where the walk begins: the page in mm, y up."""
        nothing = Frame(0.0, 0.0)
        box = _box(self.root)
        sizes = []
        real = False
        for key, side in (("width", 2), ("height", 3)):
            text = self.root.get(key, "").strip()
            absolute = text and not text.endswith("%") and text != "auto"
            real = real or bool(
                absolute and text.lower().lstrip("+-.0123456789e") not in ("", "px")
            )
            # Without a size of its own a page is as large as its viewBox.
            px = length(text, nothing) if absolute else 0.0
            sizes.append(px if px > 0.0 else box[side] if box else 0.0)
        if not real and mm_per_unit is None:
            self.found.notes.append(
                "The file names no unit; its numbers are taken as 96 to the inch."
            )
        width, height = sizes
        frame = Frame(box[2] if box else width, box[3] if box else height)
        up = np.diag([1.0, -1.0, 1.0])
        if mm_per_unit is not None:
            return _Place(up * [mm_per_unit, mm_per_unit, 1.0], frame)
        page = up @ np.diag([ENGLISH_PX_MM, ENGLISH_PX_MM, 1.0])
        if box:
            aspect = self.root.get("preserveAspectRatio", "")
            page = page @ fitting(box, width or height, height or width, aspect)
        return _Place(page, frame)

    def _take(self, here: Ancestry, tag: str, place: _Place) -> None:
        element = here.element
        if not tag or (tag in NEVER_SHOWN and not (tag == "symbol" and _is_used(here))):
            return
        if _is_foreign(element, self.root):
            return  # notes of the program that wrote the file
        style = self.sheet.style_of(here)
        if style.get("display") == "none":
            self.found.left_out["hidden " + tag] += 1
            return
        place = _styled(style, place)
        if here.parent is None:
            self._into(here, place)
        elif tag in ("svg", "symbol"):
            self._into(here, _viewport(element, {**style, **dict(place.sized)}, place))
        elif tag in GROUPS:
            self._into(here, place)
        elif tag == "use":
            self._use(here, style, place)
        elif tag in SHAPES:
            if place.hidden:
                self.found.left_out["hidden " + tag] += 1
                return
            if place.clipped:
                self.clipped += 1
            self.found.add(place.layer, tag, _moved(element, tag, style, place))
        else:
            self.found.left_out[tag] += 1

    def _into(self, here: Ancestry, place: _Place) -> None:
        children = list(here.element)
        if tag_of(here.element) == "switch":
            fitting_ones = [child for child in children if _is_shown_here(child)]
            left = [
                c for c in children if c not in fitting_ones[:1] and tag_of(c) not in NEVER_SHOWN
            ]
            for child in left:
                self.found.left_out[f"unmatched {tag_of(child) or 'element'}"] += 1
            children = fitting_ones[:1]
        place = replace(place, layer=here.element.get("id", place.layer), sized=())
        # The last is taken first from the pile.
        self.waiting.extend((Ancestry(child, here), place) for child in reversed(children))

    def _use(self, here: Ancestry, style: dict[str, str], place: _Place) -> None:
        element = here.element
        link = element.get("href", element.get(HREF, ""))
        meant = self.by_id.get(link[1:]) if link.startswith("#") else None
        if meant is None or place.uses >= DEEPEST_USE:
            self.found.left_out["use of nothing" if meant is None else "use within itself"] += 1
            return
        x = length(style.get("x", "0"), place.frame, "x")
        y = length(style.get("y", "0"), place.frame, "y")
        moved = place.matrix @ np.array([[1.0, 0.0, x], [0.0, 1.0, y], [0.0, 0.0, 1.0]])
        layer = element.get("id", place.layer)
        sized = tuple((k, style[k]) for k in ("width", "height") if k in style)
        inner = replace(place, matrix=moved, uses=place.uses + 1, layer=layer, sized=sized)
        self.waiting.append((Ancestry(meant, here), inner))


def _styled(style: dict[str, str], place: _Place) -> _Place:
    """Return the place with what an element's style changes for it and all within."""
    frame = place.frame
    if "font-size" in style:
        try:
            frame = replace(frame, font=length(style["font-size"], replace(frame, font=frame.font)))
        except FileError:
            frame = replace(frame, font=FONT_PX)
    matrix = place.matrix
    if style.get("transform", "").strip() not in ("", "none"):
        own = transform_matrix(style["transform"], frame)
        if "transform-origin" in style:
            own = _about(style["transform-origin"], own, frame)
        matrix = matrix @ own
    visible = style.get("visibility", "")
    hidden = (
        place.hidden if visible not in ("visible", "hidden", "collapse") else (visible != "visible")
    )
    clipped = place.clipped or any(
        style.get(key, "none") != "none" for key in ("clip-path", "mask")
    )
    return replace(place, matrix=matrix, frame=frame, hidden=hidden, clipped=clipped)


def _about(origin: str, own: Matrix, frame: Frame) -> Matrix:
    """A transform about a point that is given as two lengths."""
    named = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
    words = [named.get(word, word) for word in origin.split()[:2]]
    x = length(words[0], frame, "x")
    y = length(words[1], frame, "y") if len(words) > 1 else 0.5 * frame.height
    there, back = np.eye(3), np.eye(3)
    there[:2, 2], back[:2, 2] = (x, y), (-x, -y)
    return there @ own @ back


def _box(element: ElementTree.Element) -> list[float]:
    """The four numbers of a viewBox, or none."""
    box = numbers_in(element.get("viewBox", ""))
    return box if len(box) == 4 and box[2] > 0.0 and box[3] > 0.0 else []


def _viewport(element: ElementTree.Element, style: dict[str, str], place: _Place) -> _Place:
    """Return the place inside a viewport of its own (SVG 2, section 8)."""
    frame = place.frame

    def side(key: str, direction: str, other: str) -> float:
        text = style.get(key, element.get(key, other))
        return length(other if text == "auto" else text, frame, direction)

    x, y = side("x", "x", "0"), side("y", "y", "0")
    width, height = side("width", "x", "100%"), side("height", "y", "100%")
    matrix = place.matrix @ np.array([[1.0, 0.0, x], [0.0, 1.0, y], [0.0, 0.0, 1.0]])
    box = _box(element)
    inner = Frame(width, height, frame.font)
    if box:
        matrix = matrix @ fitting(box, width, height, element.get("preserveAspectRatio", ""))
        inner = Frame(box[2], box[3], frame.font)
    return replace(place, matrix=matrix, frame=inner)


def _moved(
    element: ElementTree.Element, tag: str, style: dict[str, str], place: _Place
) -> Iterator[Segment]:
    """A shape's edges in mm."""
    for edge in shape_edges(element, tag, style, place.frame):
        yield from transformed(edge, place.matrix)


def _is_used(here: Ancestry) -> bool:
    return here.parent is not None and tag_of(here.parent.element) == "use"


def _is_foreign(element: ElementTree.Element, root: ElementTree.Element) -> bool:
    """Whether an element belongs to another language than the document's."""
    return str(root.tag).startswith(SVG) and not str(element.tag).startswith(SVG)


def _is_shown_here(child: ElementTree.Element) -> bool:
    """Whether a switch may choose a child: nothing special is asked for, and English is read."""
    tongue = child.get("systemLanguage")
    speaks = tongue is None or any(t.strip().lower().startswith("en") for t in tongue.split(","))
    return (
        tag_of(child) not in NEVER_SHOWN
        and bool(tag_of(child))
        and speaks
        and not (
            child.get("requiredExtensions") or child.get("requiredFeatures", "").strip() == "none"
        )
    )
