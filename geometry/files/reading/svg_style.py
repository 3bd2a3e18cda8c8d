"""Styles of SVG: which declarations of its style sheets, attributes and elements hold."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

__all__ = ["SHAPING", "Ancestry", "StyleSheet", "declarations", "tag_of"]

SHAPING = {
    "display", "visibility", "transform", "transform-origin", "x", "y", "width", "height", "cx",
    "cy", "r", "rx", "ry", "d", "clip-path", "mask", "font-size",
}  # fmt: skip
"""All that style can say about where an edge runs and whether it shows."""
SIMPLE = re.compile(r"([A-Za-z][\w-]*|\*)?((?:[.#][\w-]+)*)")
MOST_RULES = 1_000
"""Chosen: drawing programs write tens."""
LONGEST_VALUE = 1_000_000
"""Chosen: an embedded font is a megabyte at most."""


@dataclass(frozen=True, slots=True)
class Ancestry:
    """An element with those around it."""

    element: ElementTree.Element
    parent: Ancestry | None = None


@dataclass(frozen=True, slots=True)
class _Compound:
    """One element of a selector: tag and id (or “”), classes, and “ ” or “>” before it."""

    tag: str
    name: str
    classes: frozenset[str]
    joined: str

    def fits(self, element: ElementTree.Element) -> bool:
        if self.tag and self.tag != tag_of(element):
            return False
        if self.name and self.name != element.get("id"):
            return False
        return self.classes <= set(element.get("class", "").split())


@dataclass(slots=True)
class StyleSheet:
    """The rules of a file's style sheets, and how many could not be read."""

    rules: list[tuple[int, tuple[_Compound, ...], dict[str, str]]] = field(default_factory=list)
    unread: int = 0

    @classmethod
    def of(cls, root: ElementTree.Element) -> StyleSheet:
        """Return all rules of a document that say something about edges."""
        sheet = cls()
        for element in root.iter():
            if isinstance(element.tag, str) and tag_of(element) == "style":
                sheet._read("".join(element.itertext()))
        # The more particular selector wins, and the later one of two alike.
        sheet.rules.sort(key=lambda rule: rule[0])
        return sheet

    def _read(self, text: str) -> None:
        for heads, body in _blocks(_uncommented(text)):
            said = {k: v for k, v in declarations(body).items() if k.partition("!")[0] in SHAPING}
            if heads.startswith("@"):
                self.unread += any(word in body for word in ("display", "visib", "transform"))
                continue
            for head in heads.split(",") if said else ():
                parts = _selector(head)
                if parts is None or len(self.rules) >= MOST_RULES:
                    self.unread += 1
                else:
                    self.rules.append((_weight(parts), parts, said))

    def style_of(self, here: Ancestry) -> dict[str, str]:
        """Return what holds for an element: attributes, then rules, then its own style."""
        element = here.element
        style = {key: value for key, value in element.attrib.items() if key in SHAPING}
        urgent: dict[str, str] = {}
        own = declarations(element.get("style", ""))
        for _, parts, said in self.rules:
            if _matches(parts, here):
                _put(said, style, urgent)
        _put(own, style, urgent)
        return {**style, **urgent}


def _put(said: Mapping[str, str], style: dict[str, str], urgent: dict[str, str]) -> None:
    for key, value in said.items():
        name, mark, _ = key.partition("!")
        (urgent if mark else style)[name] = value


def declarations(text: str) -> dict[str, str]:
    """Return “key: value” pairs; the key of an important one ends in “!”."""
    said = {}
    for one in _split(_uncommented(text)):
        key, colon, value = one.partition(":")
        if not colon:
            continue
        value, important, _ = value.partition("!")
        said[key.strip().lower() + ("!" if important else "")] = value.strip()
    return said


def _uncommented(text: str) -> str:
    first, *rest = text.split("/*")
    # What is not closed goes on to the end.
    return first + " ".join(part.partition("*/")[2] for part in rest)


def _split(text: str) -> Iterator[str]:
    """What stands between semicolons; those within brackets belong to a value."""
    whole = ""
    for part in text.split(";"):
        whole = f"{whole};{part}" if whole else part
        if whole.count("(") <= whole.count(")") or len(whole) > LONGEST_VALUE:
            yield whole
            whole = ""
    yield whole


def _blocks(text: str) -> Iterator[tuple[str, str]]:
    """Each rule's selectors and body; the body of an @-rule with all rules in it."""
    at = 0
    while (opened := text.find("{", at)) >= 0:
        head, depth, end = text[at:opened], 1, opened + 1
        while depth and end < len(text):
            depth += {"{": 1, "}": -1}.get(text[end], 0)
            end += 1
        # What stands alone before it, such as @import, ends with a semicolon.
        yield head.rpartition(";")[2].strip(), text[opened + 1 : end - 1]
        at = end


def _selector(text: str) -> tuple[_Compound, ...] | None:
    """Return the parts of a selector; None if it holds what is not read here."""
    parts = []
    joined = " "
    for word in text.replace(">", " > ").split():
        if word == ">":
            joined = ">"
            continue
        found = SIMPLE.fullmatch(word)
        if found is None:
            return None
        marks = re.findall(r"[.#][\w-]+", found[2])
        ids = [m[1:] for m in marks if m[0] == "#"]
        classes = frozenset(m[1:] for m in marks if m[0] == ".")
        tag = "" if found[1] in (None, "*") else found[1]
        parts.append(_Compound(tag, ids[0] if ids else "", classes, joined))
        joined = " "
    return tuple(parts) or None


def _weight(parts: tuple[_Compound, ...]) -> int:
    """Specificity: ids before classes before tags (CSS Selectors 4, section 17)."""
    return sum(10_000 * bool(p.name) + 100 * len(p.classes) + bool(p.tag) for p in parts)


def _matches(parts: tuple[_Compound, ...], here: Ancestry) -> bool:
    *before, last = parts
    if not last.fits(here.element):
        return False
    joined, around = last.joined, here.parent
    for part in reversed(before):
        while around is not None and not part.fits(around.element):
            if joined == ">":
                return False
            around = around.parent
        if around is None:
            return False
        joined, around = part.joined, around.parent
    return True


def tag_of(element: ElementTree.Element) -> str:
    """Return an element's name without its namespace; “” for comments."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
