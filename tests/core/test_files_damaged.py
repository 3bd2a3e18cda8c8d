"""A damaged or hostile file is refused in words, never with a bare Python error."""

import random

import ezdxf
import pytest

from geometry.errors import FileError
from geometry.files import drawing, read_back, write_dxf, write_svg
from geometry.outline import Loop, Profile

PLATE = drawing(
    [
        Profile(Loop.circle((0.0, 0.0), 30.0), (Loop.circle((0.0, 0.0), 5.0),)),
        Profile(Loop.through([(50, 0), (90, 0), (90, 40)])),
    ]
)


def whole(folder, kind):
    if kind == "svg":
        write_svg(folder / "whole.svg", PLATE)
    else:
        older = {"version": "R12", "entities": "polylines"} if kind == "r12" else {}
        write_dxf(folder / "whole.dxf", PLATE, **older)
    return next(folder.glob("whole.*"))


@pytest.mark.parametrize("kind", ["r2010", "r12", "svg"])
@pytest.mark.parametrize("how", ["cut", "scratch"])
def test_damage_is_refused_or_harmless(tmp_path, kind, how):
    path = whole(tmp_path, kind)
    data = path.read_bytes()
    damaged = path.with_stem("damaged")
    chance = random.Random(7)
    said = []
    for _ in range(40):
        changed = bytearray(data)
        if how == "cut":
            del changed[chance.randrange(len(data)) :]
        else:
            for _ in range(3):
                changed[chance.randrange(len(data))] = chance.randrange(256)
        damaged.write_bytes(changed)
        try:
            read_back(damaged)
        except FileError as error:
            said.append(str(error))
    assert said
    assert all(damaged.name in text or "damaged" in text for text in said)


def test_a_dxf_that_stops_after_its_first_line(tmp_path):
    (tmp_path / "a.dxf").write_text("  0\nSECTION\n")
    with pytest.raises(FileError, match=r"“a\.dxf” is cut short or damaged"):
        read_back(tmp_path / "a.dxf")


def test_a_circle_without_a_radius(tmp_path):
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_circle((0, 0), 0.0)
    document.saveas(tmp_path / "a.dxf")
    with pytest.raises(FileError, match="damaged"):
        read_back(tmp_path / "a.dxf")


BODY = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" viewBox="0 0 9 9"><title>{}</title>'
BODY += '<path d="M 0 0 L 5 0 L 5 5 Z"/></svg>'


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize(
    "declared",
    [
        '<!ENTITY long "abc">',
        '<!ENTITY long SYSTEM "file:///etc/hostname">',
        '<!ENTITY a "aaaaaaaaaa"><!ENTITY long "&a;&a;&a;&a;&a;&a;&a;&a;">',
        '<!ENTITY % p "x"><!ENTITY long "abc">',
    ],
)
def test_entities_are_refused_before_they_grow(tmp_path, declared, encoding):
    text = f'<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE svg [{declared}]>'
    (tmp_path / "a.svg").write_bytes((text + BODY.format("&long;")).encode(encoding))
    with pytest.raises(FileError, match="defines an abbreviation"):
        read_back(tmp_path / "a.svg")


def test_a_plain_document_type_is_fine(tmp_path):
    text = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/svg11.dtd">'
    (tmp_path / "a.svg").write_text(text + BODY.format("wing"))
    assert read_back(tmp_path / "a.svg").area_mm2 == pytest.approx(12.5)
