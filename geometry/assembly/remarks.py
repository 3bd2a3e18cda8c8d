"""What a check of the assembly has to say: one sentence each, with its place."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from .check import AssemblyCheck, Fixture
from .joints import Joinery
from .solids import Part, as_pose, part_to_world

__all__ = ["AssemblyRemark", "remarks"]

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class AssemblyRemark:
    """A sentence, the parts it is about by their numbers, and where in the world in mm.

    "stop": it does not go together so. "caution": it does, but look first.
    """

    severity: Literal["stop", "caution"]
    label: str
    sentence: str
    parts: tuple[int, ...]
    where_world: Place | None


def remarks(
    check: AssemblyCheck,
    parts: Sequence[Part],
    fixtures: Sequence[Fixture],
    joinery: Joinery | None = None,
) -> tuple[AssemblyRemark, ...]:
    """Return everything a person should know before cutting, what stops them first."""
    found = [
        *_clashes(check, parts),
        *_gaps(check, parts, fixtures),
        *_order(check),
        *_joints(joinery, parts),
        *_crumbs(joinery, parts),
        *_meshes(check, fixtures),
    ]
    return tuple(sorted(found, key=lambda remark: remark.severity != "stop"))


def _name(parts: Sequence[Part], index: int) -> str:
    return parts[index].name or f"part {index + 1}"


def _clashes(check: AssemblyCheck, parts: Sequence[Part]) -> list[AssemblyRemark]:
    found = []
    for clash in check.clashes:
        a, b = _name(parts, clash.a), _name(parts, clash.b)
        shared = clash.interference
        found.append(
            AssemblyRemark(
                "stop",
                f"Overlap: {a} + {b}",
                f"{a} and {b} occupy the same space: {shared.volume_mm3:.3g} mm³ along "
                f"{shared.longest_mm:.1f} mm. Cross-lap or tab them, or move one.",
                (clash.a, clash.b),
                shared.where_world,
            )
        )
    return found


def _gaps(
    check: AssemblyCheck, parts: Sequence[Part], fixtures: Sequence[Fixture]
) -> list[AssemblyRemark]:
    found = []
    for gap in check.gaps:
        if gap.is_kept:
            continue
        name, fixture = _name(parts, gap.part), fixtures[gap.fixture].name or "the fixture"
        size = gap.gap_mm
        if size <= 0.0:
            what = (
                f"{name} runs {gap.clearance.overlap_depth_mm:.2f} mm into {fixture} "
                f"({gap.clearance.overlap_mm2:.3g} mm² of overlap). Cut it to the fixture, widen "
                "its opening, or move it."
            )
        else:
            passes = gap.above is not None and gap.above.gap_mm < gap.clearance.gap_mm
            what = (
                f"{fixture} passes over {name} at {size:.2f} mm, but {gap.required_mm:g} mm is "
                "required. Move the part."
                if passes
                else f"{name} clears {fixture} by {size:.2f} mm, but {gap.required_mm:g} mm is "
                "required. Cut it to the fixture, or move it."
            )
        severity: Literal["stop", "caution"] = "stop" if size <= 0.0 else "caution"
        label = f"{'Overlap' if size <= 0.0 else 'Too Close'}: {name} + {fixture}"
        found.append(AssemblyRemark(severity, label, what, (gap.part,), gap.where_world))
    return found


def _order(check: AssemblyCheck) -> list[AssemblyRemark]:
    order = check.order
    if order.can_be_built or order.overlapping or check.clashes:
        return []
    count = max((gap.part for gap in check.gaps), default=-1) + 1
    locked = tuple(i for i in order.blocked if i < count)
    return [AssemblyRemark("stop", "Locked: cannot be put together", order.message, locked, None)]


def _joints(joinery: Joinery | None, parts: Sequence[Part]) -> list[AssemblyRemark]:
    """What each kind of joint has to say of those that were made."""
    found = []
    for one in joinery.connections if joinery is not None else ():
        for note in one.notes(_name(parts, one.a), _name(parts, one.b)):
            found.append(
                AssemblyRemark("caution", note.label, note.sentence, (one.a, one.b), note.place)
            )
    return found


def _crumbs(joinery: Joinery | None, parts: Sequence[Part]) -> list[AssemblyRemark]:
    """Small loose pieces that were dropped, told for the first part of each shape."""
    if joinery is None:
        return []
    found = []
    for group, crumbs in zip(sorted(set(joinery.groups)), joinery.crumbs, strict=True):
        index = joinery.groups.index(group)
        name = _name(parts, index)
        for crumb in crumbs:
            x, y, z = part_to_world(as_pose(parts[index].pose), [crumb.place])[0].tolist()
            found.append(
                AssemblyRemark(
                    "caution",
                    f"Dropped: {name}",
                    f"A loose piece of {crumb.area_mm2:.3g} mm² of {name} was dropped at "
                    f"({crumb.place[0]:.1f}, {crumb.place[1]:.1f}) mm, between {crumb.cause}. "
                    "Look whether it is missed there.",
                    (index,),
                    (x, y, z),
                )
            )
    return found


def _meshes(check: AssemblyCheck, fixtures: Sequence[Fixture]) -> list[AssemblyRemark]:
    """What had to be mended to draw a fixture's shadow, once for each kind."""
    found: dict[tuple[int, str], AssemblyRemark] = {}
    for gap in check.gaps:
        name = fixtures[gap.fixture].name or "the fixture"
        for warning in gap.clearance.warnings:
            key = (gap.fixture, warning[:24])
            if key not in found:
                found[key] = AssemblyRemark(
                    "caution",
                    f"Mesh: {name}",
                    warning.replace("The fixture", f"{name}", 1),
                    (gap.part,),
                    gap.clearance.where_world,
                )
    return list(found.values())
