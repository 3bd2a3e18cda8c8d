"""Open slots from the side from which the assembly can be put together.

Which of two crossing sheets has its slot open at which end does not matter to the pair, but it may
to the whole: a sheet can leave its neighbours only if its slots are open behind it. Sides matter
only while both sheets are there, so parts are freed one after the other: the couplings of a locked
part are turned so that one push takes it out, and the rest is looked at again. Where that finds
nothing, couplings are turned by trial.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations, islice

import numpy as np
from numpy.typing import ArrayLike

from ...arrays import FloatArray
from ...outline.curves import Profile
from ...progress import Progress, stage, tell
from ...sentences import Sentence
from ..joints import Coupling, Joint, Opens
from ..solids import Part
from .disassembly import planner_of, taken_apart
from .obstacle import Obstacle
from .order import Order, assembly_order, order_of
from .sided import GIVE_MM, Sided, State, restated

__all__ = ["Opening", "Turning", "open_for_assembly"]

TRIES = 64
"""So many ways of turning couplings are tried where no single push explains what to turn."""
ALONG = 1.0 - 1e-6
"""Cosine above which a push runs along a lap's line: within 1.4 mrad. Chosen."""


@dataclass(frozen=True, slots=True)
class Turning:
    """Joints, by their numbers, that open the other way, and the part that it frees.

    The part is pushed in along ``direction`` (world, unit). None where the turn was found by trial.
    """

    joints: tuple[int, ...]
    part: int | None
    direction: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Opening:
    """The side each joint opens at, those that were turned and why, and the order that gives.

    ``opens`` is as asked for, and "start" or "end" where an automatic side was turned. Without an
    order nothing is turned, and ``order`` names the parts that lock each other.
    """

    opens: tuple[Opens, ...]
    turnings: tuple[Turning, ...]
    order: Order
    message: str


def _apart(state: State, progress: Progress | None = None) -> State:
    steps, locked = taken_apart(state.planner, state.planner.bodies, progress)
    return replace(state, steps=steps, locked=locked)


def _turns(
    search: Sided, state: State, decided: set[int], mover: int, direction: FloatArray
) -> frozenset[int] | None:
    """The couplings to turn so that a part can leave the other locked ones along a direction."""
    turned: dict[int, bool] = {}
    for lap in search.own(mover, set(state.locked)):
        along = float(direction @ lap.line)
        if abs(along) < ALONG:
            return None
        wanted = lap.open_behind != (along > 0.0)
        if turned.setdefault(lap.coupling, wanted) != wanted:
            return None
    turns = frozenset(n for n, wanted in turned.items() if wanted != (n in state.turned))
    free = all(search.couplings[n].is_free and n not in decided for n in turns)
    return turns if turns and free else None


def _freed(
    search: Sided, state: State, decided: set[int], progress: Progress | None
) -> tuple[State, Turning] | None:
    """The state in which one more part can leave, and what was turned for it."""
    done = 1.0 - len(state.locked) / len(state.planner.bodies)
    for mover in reversed([m for m in state.locked if m < len(search.parts)]):
        tell(progress, done, "Turning joints")
        others = [o for o in state.locked if o != mover]
        joined = {lap.other for lap in search.own(mover, set(state.locked))}
        apart = [o for o in others if o not in joined]
        for direction in state.planner.own[mover]:
            turns = _turns(search, state, decided, mover, direction)
            if turns is None:
                continue
            if any(state.planner.blocks(mover, o, direction) for o in apart):
                continue
            tried = restated(search, state, state.turned ^ turns)
            if tried is None or any(tried.planner.blocks(mover, o, direction) for o in others):
                continue
            found = _apart(tried, stage(progress, done, done))
            if len(found.locked) < len(state.locked):
                return found, _turning(search.couplings, turns, mover, direction)
    return None


def _turning(
    couplings: Sequence[Coupling], turns: frozenset[int], mover: int | None, direction: FloatArray
) -> Turning:
    joints = sorted(n for t in turns for n in couplings[t].joints)
    x, y, z = (-direction + 0.0).tolist()
    return Turning(tuple(joints), mover, (x, y, z))


def _ways(search: Sided, state: State) -> Iterator[frozenset[int]]:
    """Ties to turn, few at a time, of those that hold locked parts together."""
    inside = set(state.locked)
    near = [
        number
        for number, coupling in enumerate(search.couplings)
        if coupling.is_free
        and any({search.joints[n].a, search.joints[n].b} <= inside for n in coupling.joints)
    ]
    sizes = range(1, len(near) + 1)
    every = chain.from_iterable(combinations(near, size) for size in sizes)
    return map(frozenset, islice(every, TRIES))


def _by_trial(
    search: Sided, state: State, progress: Progress | None
) -> tuple[State, Turning] | None:
    for number, turns in enumerate(_ways(search, state)):
        done = number / TRIES
        tell(progress, done, "Turning joints")
        tried = restated(search, state, state.turned ^ turns)
        if tried is None:
            continue
        found = _apart(tried, stage(progress, done, done))
        if len(found.locked) < len(state.locked):
            return found, _turning(search.couplings, turns, None, np.zeros(3))
    return None


def _unlocked(
    search: Sided, state: State, progress: Progress | None
) -> tuple[State, list[Turning]]:
    """Turn couplings until nothing is locked, or nothing more helps."""
    turnings: list[Turning] = []
    decided: set[int] = set()
    while state.locked:
        found = _freed(search, state, decided, progress) or _by_trial(search, state, progress)
        if found is None:
            break
        after, turning = found
        decided |= after.turned ^ state.turned
        state = after
        turnings.append(turning)
    return state, turnings


def open_for_assembly(
    parts: Sequence[Part],
    joints: Sequence[Joint],
    *,
    groups: Sequence[int] | None = None,
    other_cuts: Mapping[int, Sequence[Profile]] | None = None,
    fixture: tuple[ArrayLike, ArrayLike] | None = None,
    fixture_moves: bool = False,
    progress: Progress | None = None,
) -> Opening:
    """Turn joints whose side is automatic until straight pushes put everything together.

    Parameters
    ----------
    parts
        Whole parts, with no slots cut yet; ``groups`` and ``other_cuts`` as for `join_parts`.
    fixture : (N, 3) vertices in world mm and (M, 3) triangles
        What the parts go around where it stands; with ``fixture_moves`` it may be set in after
        parts that stand already, if turning alone does not help.

    Raises
    ------
    AssemblyError
        If the joints as they are cannot be cut.
    """
    if not parts:
        empty = assembly_order(parts)
        return Opening((), (), empty, empty.message)
    groups = range(len(parts)) if groups is None else groups
    search = Sided(parts, joints, groups, other_cuts)
    start = frozenset[int]()
    built = search.built(start)
    obstacle = None if fixture is None else Obstacle(*fixture)
    planner, overlapping = planner_of(built, GIVE_MM, obstacle, False, progress)
    if overlapping:
        order = order_of(built, [], sorted({i for pair in overlapping for i in pair}), overlapping)
        return _told(search, start, [], order)
    first = _apart(State(start, built, planner, [], []), progress)
    state, turnings = _unlocked(search, first, progress)
    if state.locked and fixture_moves and obstacle is not None:
        moving = replace(first, planner=replace(planner, fixture_moves=True))
        state, turnings = _unlocked(search, _apart(moving), progress)
    tell(progress, 1.0, "Sides chosen")
    if state.locked:
        return _told(search, start, [], order_of(built, first.steps, first.locked, []))
    order = order_of(state.parts, state.steps, [], [])
    return _told(search, state.turned, turnings, order)


_TURNED = {
    (False, False): "1 joint opens the other way: {order}",
    (False, True): "1 joint opens the other way, so that {names} can be pushed in: {order}",
    (True, False): "{count} joints open the other way: {order}",
    (True, True): "{count} joints open the other way, so that {names} can be pushed in: {order}",
}
"""By whether they are several, and whether it frees parts."""


def _told(
    search: Sided, turned: frozenset[int], turnings: Sequence[Turning], order: Order
) -> Opening:
    opens = search.chosen(turned)
    count = sum(a != joint.a_opens for a, joint in zip(opens, search.joints, strict=True))
    if not order.can_be_built:
        told = order.message
    elif not count:
        told = Sentence(
            "Every slot opens the shortest way already: {order}", {"order": order.message}
        )
    else:
        freed = [t.part for t in turnings if t.part is not None]
        names = ", ".join(f"“{search.parts[i].name or i + 1}”" for i in dict.fromkeys(freed))
        values = {"count": count, "names": names, "order": order.message}
        told = Sentence(_TURNED[count > 1, bool(names)], values)
    return Opening(tuple(opens), tuple(turnings), order, told)
