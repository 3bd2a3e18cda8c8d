"""Bytes and texts damaged as disks, transfers and editors damage them."""

from __future__ import annotations

import random
import re

__all__ = ["ODD_NUMBERS", "damaged", "damaged_text", "odd_number"]

ODD_NUMBERS = (
    "0", "-0", "-1", "1e999", "-1e999", "nan", "inf", "1e308", "1e-320", "1e20", "-1e20",
    "4294967296", "9" * 400, "0x10", "", " ", "1,5", "١٢", "True", "None", "1e", ".", "--1",
)  # fmt: skip
NUMBER = re.compile(rb"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")


def odd_number(chance: random.Random) -> str:
    """Return a number that nobody means, or an ordinary one."""
    if chance.random() < 0.5:
        return chance.choice(ODD_NUMBERS)
    return f"{chance.uniform(-1, 1) * 10 ** chance.uniform(-6, 9):.6g}"


def damaged(data: bytes, chance: random.Random) -> bytes:
    """Return bytes with one to four kinds of damage."""
    for _ in range(chance.randint(1, 4)):
        if not data:
            return data
        at, to = sorted(chance.randrange(len(data) + 1) for _ in range(2))
        to = min(to, at + chance.choice((1, 2, 8, 64, 4096)))
        how = chance.randrange(7)
        if how == 0:
            data = data[:at]
        elif how == 1:
            data = data[:at] + data[to:]
        elif how == 2:
            data = data[:at] + data[at:to] * chance.choice((2, 3, 50)) + data[to:]
        elif how == 3:
            data = data[:at] + chance.randbytes(to - at) + data[to:]
        elif how == 4:
            changed = bytearray(data)
            for _ in range(chance.randint(1, 16)):
                changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
            data = bytes(changed)
        elif how == 5:
            data = (
                data[:at]
                + chance.choice((b"\0", b"\xff" * 4, b"\xff\xff\xff\x7f", b"\n"))
                + (data[to:])
            )
        else:
            other, end = sorted(chance.randrange(len(data) + 1) for _ in range(2))
            data = data[:at] + data[other : min(end, other + 4096)] + data[to:]
    return data


def damaged_text(data: bytes, chance: random.Random) -> bytes:
    """Return text with numbers changed, words swapped or lines lost; sometimes any damage."""
    if chance.random() < 0.25:
        return damaged(data, chance)
    for _ in range(chance.randint(1, 5)):
        how = chance.randrange(4)
        if how < 2:
            found = list(NUMBER.finditer(data))
            if found:
                one = chance.choice(found)
                data = data[: one.start()] + odd_number(chance).encode() + data[one.end() :]
        elif how == 2:
            lines = data.split(b"\n")
            del lines[chance.randrange(len(lines))]
            data = b"\n".join(lines)
        else:
            words = re.split(rb"(\W+)", data)
            a, b = chance.randrange(len(words)), chance.randrange(len(words))
            words[a], words[b] = words[b], words[a]
            data = b"".join(words)
    return data
