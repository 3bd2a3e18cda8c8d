"""Answers kept for as long as the question stays the same: move one part, ask only about it."""

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Generic, TypeVar

import numpy as np

from ...arrays import Points
from .frames import IntArray
from .part import Part

__all__ = ["BoundedCache", "mesh_key", "part_key"]

Answer = TypeVar("Answer")


def part_key(part: Part) -> Hashable:
    """What a part's geometry depends on: thickness, pose, and its outline by its identity."""
    pose = np.asarray(part.pose, dtype=np.float64)
    return (id(part.profile), part.stock.thickness_mm, pose.tobytes())


def mesh_key(vertices_mm: Points, triangles: IntArray) -> bytes:
    """A mesh, shortened to compare: 16 bytes that equal meshes share."""
    told = hashlib.blake2b(np.ascontiguousarray(vertices_mm).data, digest_size=16)
    told.update(np.ascontiguousarray(triangles).data)
    return told.digest()


class BoundedCache(Generic[Answer]):
    """The last answers, each beside what it was asked about."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = Lock()
        self._kept: OrderedDict[Hashable, tuple[Sequence[object], Answer]] = OrderedDict()

    def get(self, key: Hashable, about: Sequence[object], compute: Callable[[], Answer]) -> Answer:
        """Return the answer kept for a key, or compute it.

        ``about`` are the objects whose ids are in the key; they are kept too, so that no other
        object can take their place in memory while the answer is.

        Parameters
        ----------
        key
            What the answer depends on.
        about
            Objects whose ids are in the key.
        compute
            Called where no answer is kept.
        """
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)
                return kept[1]
        answer = compute()
        with self._lock:
            self._kept[key] = (tuple(about), answer)
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return answer
