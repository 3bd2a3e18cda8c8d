"""The linear fit with the least largest rest, by exchanging places one by one (Stiefel 1959)."""

import numpy as np

from ..arrays import FloatArray

__all__ = ["least_largest"]

EXCHANGES = 15


def least_largest(off: FloatArray, rows: FloatArray) -> FloatArray:
    """(K,) x for which the largest of (N,) ``|off + rows x|`` is all but least.

    As few places as just decide x are made to rest equally far; the one that then rests farthest
    takes the place of one of them. Rows that depend on each other leave x as short as can be.
    """
    base, size, turn = np.linalg.svd(rows, full_matrices=False)
    free = size > 1e-9 * max(float(size[0]), 1e-300)
    base, count = base[:, free], int(free.sum())
    x = np.zeros(count)
    if 0 < count < len(off):
        few = np.linspace(0, len(off) - 1, count + 1).astype(np.int64)
        for _ in range(EXCHANGES):
            weight, level = _levelled(off[few][None], base[few][None])
            if not level[0] > 0.0:
                break
            sign = np.sign(weight[0] * (weight[0] @ off[few]))
            system = np.column_stack((base[few], -sign))
            x = np.linalg.lstsq(system, -off[few], rcond=None)[0][:-1]
            rest = np.abs(off + base @ x)
            worst = int(rest.argmax())
            if rest[worst] <= (1.0 + 1e-6) * level[0] or worst in few:
                break
            others = np.where(np.eye(count + 1, dtype=bool), worst, few)
            few = others[_levelled(off[others], base[others])[1].argmax()]
    solved: FloatArray = (x / size[free]) @ turn[free]
    return solved


def _levelled(off: FloatArray, base: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How M groups of K + 1 rows depend on each other, and the least largest rest of each group."""
    count = base.shape[2]
    left_out = np.array([[j for j in range(count + 1) if j != k] for k in range(count + 1)])
    weight = np.linalg.det(base[:, left_out]) * (-1.0) ** np.arange(count + 1)
    total = np.abs(weight).sum(axis=1)
    return weight, np.abs((weight * off).sum(axis=1)) / np.maximum(total, 1e-300)
