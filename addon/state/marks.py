"""What a result was made from: kept with the scene, and held against what is there now.

Things are known by Blender's own pointers, so renaming, saving and undo change nothing.
"""

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import bpy

from ...geometry.errors import FileError
from ...geometry.records import from_record
from ...geometry.sentences import Sentence, sentences_joined
from .things import in_scene

__all__ = [
    "Change",
    "Ingredient",
    "Ingredients",
    "changes",
    "drop",
    "in_a_sentence",
    "is_kept",
    "keep",
    "order_of",
    "snapshot",
]

SAME_FIGURE_MM = 1e-3
"""Figures nearer to each other than this are the same: no tool here cuts finer, and single
precision of Blender's metres, 7.5e-6 mm at 100 mm, stays far below it."""

Thing = bpy.types.Object | None


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One thing a result is made of: what it is called, its digest, and its figures if any.

    Without a digest figures alone tell; with one they are asked only where the digests differ.
    """

    what: str
    digest: str | None
    figures: Callable[[], Sequence[float]] | None = None

    def as_record(self) -> list[Any]:
        """As it is kept: the figures as a text, which is read only where the digests differ."""
        figures = self.figures() if self.figures is not None else ()
        return [self.digest, " ".join(map(repr, figures))]

    def is_as(self, kept: Sequence[Any]) -> bool:
        """Whether it is still what was kept."""
        before, figures = kept
        if self.digest is not None and self.digest == before:
            return True
        if self.figures is None or not figures:
            return False
        then = [float(figure) for figure in figures.split()]
        now = self.figures()
        return len(now) == len(then) and all(
            abs(a - b) <= SAME_FIGURE_MM for a, b in zip(now, then, strict=True)
        )


Ingredients = dict[Thing, list[Ingredient]]

WORDS = {
    "shape": "its shape",
    "pose": "its place",
    "stock": "its stock",
    "outline": "its outline",
    "outline size": "the size of its outline",
    "joints": "joints",
    "fixture": "the fixture",
    "required": "the required gap",
    "settings": "settings",
    "marks": "its marks",
    "job": "its job",
    "labels": "labels",
    "piece": "the piece on the sheet",
}
"""What an ingredient is called when it has changed."""
TOLD = {
    "new": "“{name}” is new",
    "gone": "“{name}” is gone",
    "of a thing": "“{name}”: {what} changed",
    "by itself": "{what} changed",
    "and": "{first} and {rest}",
    "then": "{first}; {rest}",
    "more": "{number} more",
    "whole": "{changes}.",
}
MOST_TOLD = 3


@dataclass(frozen=True, slots=True)
class Change:
    """What is not as it was: an ingredient of a thing, or the thing itself, "new" or "gone"."""

    called: str
    what: str


def in_a_sentence(found: Sequence[Change]) -> Sentence:
    """Changes in words, the first few things that changed and what of them."""
    of_things: dict[str, list[str]] = {}
    for change in found:
        kinds = of_things.setdefault(change.called, [])
        kinds += [change.what] if change.what not in kinds else []
    told = [_of_one(called, kinds) for called, kinds in of_things.items()]
    if len(told) > MOST_TOLD:
        more = Sentence(TOLD["more"], {"number": len(told) - MOST_TOLD})
        told = [*told[:MOST_TOLD], more]
    return Sentence(TOLD["whole"], {"changes": sentences_joined(told, TOLD["then"])})


def _of_one(called: str, kinds: Sequence[str]) -> Sentence:
    if kinds[0] in ("new", "gone"):
        return Sentence(TOLD[kinds[0]], {"name": called})
    what = sentences_joined([Sentence(WORDS[kind]) for kind in kinds], TOLD["and"])
    return Sentence(TOLD["of a thing" if called else "by itself"], {"name": called, "what": what})


def keep(scene: bpy.types.Scene, result: str, made_from: Ingredients) -> None:
    """Keep what a result was just made from, in place of what it was made from before.

    Parameters
    ----------
    scene, result
        Holds the marks; the name of the result.
    made_from
        What went into it, each with its state.
    """
    drop(scene, result)
    for thing, ingredients in made_from.items():
        item = scene.flatwright_state.kept.add()
        item.result, item.thing = result, thing
        item.called = thing.name if thing is not None else ""
        item.record = json.dumps({one.what: one.as_record() for one in ingredients})


def drop(scene: bpy.types.Scene, result: str) -> None:
    """Forget what a result was made from: it is not there."""
    kept = scene.flatwright_state.kept
    for number in reversed([i for i, item in enumerate(kept) if item.result == result]):
        kept.remove(number)


def is_kept(scene: bpy.types.Scene, result: str) -> bool:
    """Whether it is known what a result was made from."""
    return any(item.result == result for item in scene.flatwright_state.kept)


def order_of(scene: bpy.types.Scene, result: str) -> list[bpy.types.Object]:
    """The things a result was made from, in the order they were kept in."""
    kept = [item.thing for item in scene.flatwright_state.kept if item.result == result]
    return [thing for thing in kept if thing is not None]


def snapshot(made_from: Ingredients) -> dict[tuple[int, str], Any]:
    """What something is made from, to be held against the same in a moment; not to be kept."""
    return {
        (thing.session_uid if thing is not None else 0, one.what): one.digest
        or (tuple(one.figures()) if one.figures is not None else ())
        for thing, ingredients in made_from.items()
        for one in ingredients
    }


def changes(scene: bpy.types.Scene, result: str, now: Ingredients) -> tuple[Change, ...]:
    """Return everything that is not as it was when a result was made.

    Parameters
    ----------
    scene, result
        Holds the marks; the name of the result.
    now
        What would go into it today.
    """
    found: list[Change] = []
    left = dict(now)
    here = in_scene(scene)
    for item in scene.flatwright_state.kept:
        if item.result != result:
            continue
        thing = item.thing
        if item.called and (thing is None or thing not in here or thing not in left):
            found.append(Change(item.called, "gone"))
            continue
        found += _of_thing(thing, left.pop(thing, []), _read(item.record))
    found += [Change(thing.name if thing is not None else "", "new") for thing in left]
    return tuple(found)


@lru_cache(maxsize=1024)
def _read(record: str) -> dict[str, Sequence[Any]]:
    """What was kept of a thing; nothing where that is damaged, so that all of it has changed."""
    try:
        return from_record(record, _kept, FileError())
    except FileError:
        return {}


def _kept(data: dict[str, Sequence[Any]]) -> dict[str, Sequence[Any]]:
    for digest, figures in data.values():
        if not isinstance(digest, str | None) or not isinstance(figures, str):
            raise TypeError(digest)
        tuple(map(float, figures.split()))
    return data


def _of_thing(
    thing: Thing, now: Iterable[Ingredient], kept: dict[str, Sequence[Any]]
) -> list[Change]:
    called = thing.name if thing is not None else ""
    left = dict(kept)
    found = []
    for one in now:
        before = left.pop(one.what, None)
        if before is None or not one.is_as(before):
            found.append(Change(called, one.what))
    return [*found, *(Change(called, what) for what in left)]
