"""Strips of a part that are to bend, kept with its curve so that they are looked at again."""

import json
from collections.abc import Sequence
from typing import Any

import bpy

from ...geometry.errors import PartError
from ...geometry.outline import Line
from ...geometry.part import BendRule, Strip
from ...geometry.records import from_record

__all__ = ["keep_strips", "kept_strips"]

STRIPS = "flatwright_bends"


def keep_strips(curve: bpy.types.Curve, strips: Sequence[Strip]) -> None:
    """Keep strips on a part's curve in place of those that were there."""
    curve[STRIPS] = json.dumps(
        [
            {
                "first": [strip.first.start, strip.first.end],
                "last": [strip.last.start, strip.last.end],
                "rule": [
                    strip.rule.angle_rad,
                    strip.rule.bridge_mm,
                    strip.rule.spacing_mm,
                    strip.rule.strain,
                ],
                "slits": strip.slits,
            }
            for strip in strips
        ]
    )


def kept_strips(curve: bpy.types.Curve) -> tuple[Strip, ...]:
    """Return the strips kept with a curve, in mm in its own axes."""
    text = curve.get(STRIPS)
    if not isinstance(text, str):
        return ()
    try:
        return from_record(text, _strips, PartError())
    except PartError:
        # The slits are there all the same; what they were made for is not known any more.
        return ()


def _strips(data: list[dict[str, Any]]) -> tuple[Strip, ...]:
    return tuple(
        Strip(_line(one["first"]), _line(one["last"]), _rule(one["rule"]), int(one["slits"]))
        for one in data
    )


def _rule(numbers: list[Any]) -> BendRule:
    return BendRule(*(float(number) for number in numbers))


def _line(ends: Any) -> Line:
    (ax, ay), (bx, by) = ends
    return Line((float(ax), float(ay)), (float(bx), float(by)))
