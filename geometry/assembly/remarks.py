"""What a check of the assembly has to say: one sentence each, with its place."""

import math
from collections.abc import Sequence

from ..findings import Finding, Severity, Subject, stops_first
from ..sentences import Sentence
from .check import AssemblyCheck, Fixture
from .joints import Joinery
from .solids import Part, as_pose, part_to_world

__all__ = ["remarks"]


_INTO = (
    "{part} runs {depth_mm:.2f} mm into {fixture} ({overlap_mm2:.3g} mm² of overlap). Cut it to "
    "the fixture, widen its opening, or move it."
)
_OVER = (
    "{fixture} passes over {part} at {size_mm:.2f} mm, but {required_mm:g} mm is required. Move "
    "the part."
)
_BESIDE = (
    "{part} clears {fixture} by {size_mm:.2f} mm, but {required_mm:g} mm is required. Cut it to "
    "the fixture, or move it."
)


def remarks(
    check: AssemblyCheck,
    parts: Sequence[Part],
    fixtures: Sequence[Fixture],
    joinery: Joinery | None = None,
) -> tuple[Finding, ...]:
    """Findings of a check and of its joints, those that stop the job first.

    Parameters
    ----------
    check
        What `check_assembly` found.
    parts, fixtures
        As they were checked, in the same order; findings name them.
    joinery
        The joints as made; None if they do not speak of these parts.
    """
    found = [
        *_clashes(check, parts),
        *_gaps(check, parts, fixtures),
        *_order(check),
        *_joints(joinery, parts),
        *_crumbs(joinery, parts),
        *_meshes(check, fixtures),
    ]
    return stops_first(found)


def _name(parts: Sequence[Part], index: int) -> str:
    return parts[index].name or f"part {index + 1}"


def _clashes(check: AssemblyCheck, parts: Sequence[Part]) -> list[Finding]:
    found = []
    for clash in check.clashes:
        a, b = _name(parts, clash.a), _name(parts, clash.b)
        shared = clash.interference
        found.append(
            Finding(
                "stop",
                "overlap",
                "{a} and {b} occupy the same space: {volume_mm3:.3g} mm³ along {longest_mm:.1f} "
                "mm. Cross-lap or tab them, or move one.",
                {"a": a, "b": b, "volume_mm3": shared.volume_mm3, "longest_mm": shared.longest_mm},
                shared.where_world,
                subject=Subject("parts", (clash.a, clash.b), (a, b)),
            )
        )
    return found


def _gaps(
    check: AssemblyCheck, parts: Sequence[Part], fixtures: Sequence[Fixture]
) -> list[Finding]:
    found = []
    for gap in check.gaps:
        if gap.is_kept:
            continue
        name, fixture = _name(parts, gap.part), fixtures[gap.fixture].name or "the fixture"
        size = gap.gap_mm
        severity: Severity = "stop" if size <= 0.0 else "caution"
        passes = gap.above is not None and gap.above.gap_mm < gap.clearance.gap_mm
        found.append(
            Finding(
                severity,
                "overlap" if size <= 0.0 else "too close",
                _INTO if size <= 0.0 else _OVER if passes else _BESIDE,
                {
                    "part": name,
                    "fixture": fixture,
                    "size_mm": size,
                    "required_mm": gap.required_mm,
                    "depth_mm": gap.clearance.overlap_depth_mm,
                    "overlap_mm2": gap.clearance.overlap_mm2,
                },
                gap.where_world,
                subject=Subject("parts", (gap.part,), (name, fixture)),
            )
        )
    return found


def _order(check: AssemblyCheck) -> list[Finding]:
    order = check.order
    if order.can_be_built or order.overlapping or check.clashes:
        return []
    count = max((gap.part for gap in check.gaps), default=-1) + 1
    locked = tuple(i for i in order.blocked if i < count)
    message, subject = order.message, Subject("parts", locked)
    return [Finding("stop", "locked", message.template, message.values, subject=subject)]


def _joints(joinery: Joinery | None, parts: Sequence[Part]) -> list[Finding]:
    """What each joint that was made has to say."""
    return [
        finding
        for one in (joinery.connections if joinery is not None else ())
        for finding in one.findings(_name(parts, one.a), _name(parts, one.b))
    ]


def _crumbs(joinery: Joinery | None, parts: Sequence[Part]) -> list[Finding]:
    """Small loose pieces that were dropped, told for the first part of each shape."""
    if joinery is None:
        return []
    found = []
    for group, crumbs in zip(sorted(set(joinery.groups)), joinery.crumbs, strict=True):
        index = joinery.groups.index(group)
        name = _name(parts, index)
        for crumb in crumbs:
            x, y = crumb.place
            world = part_to_world(as_pose(parts[index].pose), [crumb.place])[0].tolist()
            found.append(
                Finding(
                    "caution",
                    "dropped",
                    "A loose piece of {area_mm2:.3g} mm² of {part} at ({x:.1f}, {y:.1f}) mm is "
                    "left out: {cause} would sever it. Look whether it is missed there.",
                    {
                        "part": name,
                        "area_mm2": crumb.area_mm2,
                        "x": x,
                        "y": y,
                        "cause": crumb.cause,
                    },
                    tuple(world),
                    math.sqrt(crumb.area_mm2),
                    Subject("parts", (index,), (name,)),
                )
            )
    return found


def _meshes(check: AssemblyCheck, fixtures: Sequence[Fixture]) -> list[Finding]:
    """What had to be mended to draw a fixture's shadow, once for each kind."""
    found: dict[tuple[int, str], Finding] = {}
    for gap in check.gaps:
        name = fixtures[gap.fixture].name or Sentence("the fixture")
        for warning in gap.clearance.warnings:
            key = (gap.fixture, warning.template)
            if key not in found:
                found[key] = Finding(
                    "caution",
                    "mesh",
                    warning.template,
                    {**warning.values, "fixture": name},
                    place=gap.clearance.where_world,
                    subject=Subject("parts", (gap.part,), (name,)),
                )
    return list(found.values())
