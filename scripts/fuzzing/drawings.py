"""Drawings of others: SVG and DXF made of everything the languages know, then damaged."""

from __future__ import annotations

import contextlib
import io
import logging
import math
import random
from pathlib import Path

import ezdxf

from geometry.files import outlines_from, read_back

from .mutating import damaged_text, odd_number

__all__ = ["run_dxf", "run_svg"]

logging.getLogger("ezdxf").setLevel(logging.CRITICAL)

UNITS = ("", "px", "mm", "cm", "in", "%", "em", "Q", "MM", "zz")
TRANSFORMS = ("translate", "rotate", "scale", "skewX", "matrix", "turn", "translateY", "rotate3d")
COMMANDS = "MmLlHhVvCcSsQqTtAaZz"
TAKES = dict(zip("MLHVCSQTAZ", (2, 2, 1, 1, 6, 4, 4, 2, 7, 0), strict=True))


class _Svg:
    """Writes elements at random, within a chosen number of them."""

    def __init__(self, chance: random.Random) -> None:
        self.chance, self.left = chance, chance.randint(1, 40)

    def number(self) -> str:
        if self.chance.random() < 0.03:
            return odd_number(self.chance)
        return f"{self.chance.uniform(-50, 150):.4g}"

    def attribute(self, name: str) -> str:
        return f'{name}="{self.number()}{self.chance.choice(UNITS)}"'

    def path(self) -> str:
        words = ["M 0 0"]
        for _ in range(self.chance.randint(0, 12)):
            letter = self.chance.choice(COMMANDS)
            count = TAKES[letter.upper()] * self.chance.randint(1, 2)
            numbers = [self.number() for _ in range(count)]
            if letter in "Aa":
                for k in range(0, count, 7):
                    numbers[k + 3 : k + 5] = [self.chance.choice("01") for _ in range(2)]
            words.append(letter + self.chance.choice((" ", ",", "")).join(numbers))
        return " ".join(words) + self.chance.choice(("", " Z"))

    def common(self) -> str:
        said = [f'id="i{self.chance.randrange(9)}" class="c{self.chance.randrange(4)}"']
        if self.chance.random() < 0.3:
            name = self.chance.choice(TRANSFORMS)
            numbers = " ".join(self.number() for _ in range(self.chance.choice((1, 2, 3, 6))))
            said.append(f'transform="{name}({numbers})"')
        if self.chance.random() < 0.1:
            style = (
                "display:none",
                "visibility:hidden",
                "transform:scale(2)",
                "font-size:9pt",
                ";",
            )
            said.append(f'style="{self.chance.choice(style)}"')
        return " ".join(said)

    def element(self, depth: int = 0) -> str:
        self.left -= 1
        common, kind = self.common(), self.chance.randrange(11)
        if kind < 3 and depth < 30 and self.left > 0:
            tag = self.chance.choice(("g", "svg", "a", "switch", "symbol", "defs", "clipPath"))
            box = " ".join(self.number() for _ in range(4))
            extra = f'viewBox="{box}" width="50%"' if tag in ("svg", "symbol") else ""
            count = self.chance.randint(0, 5)
            inside = "".join(self.element(depth + 1) for _ in range(count) if self.left > 0)
            return f"<{tag} {common} {extra}>{inside}</{tag}>"
        shapes = {
            3: ("rect", "x y width height rx ry"), 4: ("circle", "cx cy r"),
            5: ("ellipse", "cx cy rx ry"), 6: ("line", "x1 y1 x2 y2"), 7: ("text", "x y"),
        }  # fmt: skip
        if kind in shapes:
            tag, names = shapes[kind]
            return f"<{tag} {common} {' '.join(self.attribute(n) for n in names.split())}/>"
        if kind == 8:
            points = " ".join(self.number() for _ in range(self.chance.randint(0, 12)))
            return f'<{self.chance.choice(("polygon", "polyline"))} {common} points="{points}"/>'
        if kind == 9:
            return f'<use {common} href="#i{self.chance.randrange(9)}" {self.attribute("x")}/>'
        return f'<path {common} d="{self.path()}"/>'

    def document(self) -> bytes:
        style = (
            "<style>.c1{display:none} g > .c2, #i3{transform:rotate(9deg)} .c0:hover{x:1}</style>"
        )
        head = f'{self.attribute("width")} viewBox="0 0 {self.number()} {self.number()}"'
        inside = "".join(self.element() for _ in range(self.chance.randint(1, 8)))
        if self.chance.random() < 0.5:
            inside += '<rect x="200" width="9" height="9"/>'
        text = f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{style}{inside}</svg>'
        return text.encode()


def run_svg(chance: random.Random, folder: Path) -> None:
    """Read one SVG drawing; whatever it raises is the caller's to judge."""
    data = _Svg(chance).document()
    path = folder / "drawn.svg"
    path.write_bytes(damaged_text(data, chance) if chance.random() < 0.5 else data)
    _read(path, chance)


def _entity(space: object, chance: random.Random) -> None:
    """Add an entity of any kind that ezdxf writes."""

    def n() -> float:
        return (
            chance.choice((0.0, 1e20, -1e300)) if chance.random() < 0.02 else chance.uniform(-9, 99)
        )

    def p() -> tuple[float, float, float]:
        return (n(), n(), n() if chance.random() < 0.1 else 0.0)

    attributes = {"layer": chance.choice(("0", "off", "cut", "Ünï")), "invisible": n() > 95}
    add: dict[str, object] = {"dxfattribs": attributes}
    s: object = space
    makers = (
        lambda: s.add_line(p(), p(), **add),
        lambda: s.add_circle(p(), abs(n()), **add),
        lambda: s.add_arc(p(), abs(n()), n() * 4, n() * 4, **add),
        lambda: s.add_ellipse(p(), (n(), n(), 0), chance.uniform(1e-6, 1), n(), n(), **add),
        lambda: s.add_lwpolyline([(n(), n(), 0, 0, chance.uniform(-2, 2)) for _ in range(5)],
                                 close=n() > 9, **add),
        lambda: s.add_polyline2d([p() for _ in range(4)], close=True, **add),
        lambda: s.add_polyline3d([p() for _ in range(4)], close=True, **add),
        lambda: s.add_open_spline([p() for _ in range(chance.randint(4, 9))], **add),
        lambda: s.add_rational_spline([p() for _ in range(4)], [1, 2, 3, 1], **add),
        lambda: s.add_text("cut", **add),
        lambda: s.add_mtext("cut", **add),
        lambda: s.add_point(p(), **add),
        lambda: s.add_ray(p(), (1, 0, 0), **add),
        lambda: s.add_3dface([p(), p(), p()], **add),
        lambda: s.add_hatch(**add),
        lambda: s.add_blockref(chance.choice(("one", "two", "none")), p(), dxfattribs={
            **attributes, "row_count": chance.choice((1, 1, 3, 40)), "row_spacing": n(),
            "xscale": chance.choice((1, -1, 2, 0.5, 1e6)), "rotation": n()}),
    )  # fmt: skip
    # Older versions lack some of them.
    with contextlib.suppress(ezdxf.DXFVersionError):
        chance.choice(makers)()


def run_dxf(chance: random.Random, folder: Path) -> None:
    """Read one DXF drawing; whatever it raises is the caller's to judge."""
    document = ezdxf.new(chance.choice(("R12", "R2000", "R2007", "R2010")))
    document.header["$INSUNITS"] = chance.choice((0, 1, 4, 6, 21, 99))
    document.layers.add("off").off()
    for name in ("one", "two"):
        block = document.blocks.new(name)
        for _ in range(chance.randint(0, 4)):
            _entity(block, chance)
    for _ in range(chance.randint(1, 20)):
        _entity(document.modelspace(), chance)
    stream = io.StringIO()
    document.write(stream)
    data = stream.getvalue().encode()
    path = folder / "drawn.dxf"
    path.write_bytes(damaged_text(data, chance) if chance.random() < 0.6 else data)
    _read(path, chance)


def _read(path: Path, chance: random.Random) -> None:
    if chance.random() < 0.2:
        assert read_back(path).shapes
        return
    made = outlines_from(path, join_mm=chance.choice((0.05, 1.0)))
    assert made.outlines
    for _, profile in made.outlines:
        assert math.isfinite(profile.area_mm2)
        assert profile.outer.signed_area_mm2 > 0.0
        assert all(math.isfinite(c) for c in profile.bounds_mm)
    assert all(sentence.isprintable() for sentence in made.sentences())
