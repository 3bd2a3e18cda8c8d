"""Hostile files, numbers and records: a few hundred of each kind, always the same ones.

``scripts/fuzz.py`` runs any number of others.
"""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))
import fuzz

CASES = dict.fromkeys(fuzz.KINDS, 300)
# A storm is eight steps.
CASES["storms"] = 40
LONG = 10
"""So many times more with --long."""


@pytest.mark.long
@pytest.mark.parametrize("kind", fuzz.KINDS)
def test_many_more_come_in(kind, tmp_path):
    case = fuzz.case_of(kind)
    for seed in range(CASES[kind], LONG * CASES[kind]):
        assert fuzz.outcome(case, seed, tmp_path) in ("read", "told"), f"seed {seed}"


@pytest.mark.parametrize("kind", fuzz.KINDS)
def test_whatever_comes_in_is_read_or_refused_in_words(kind, tmp_path):
    case = fuzz.case_of(kind)
    how = {seed: fuzz.outcome(case, seed, tmp_path) for seed in range(CASES[kind])}
    failed = {seed: words for seed, words in how.items() if words not in ("read", "told")}
    assert not failed, "\n".join(f"seed {seed}: {words}" for seed, words in failed.items())
    # Some of both, or the cases would prove nothing.
    assert list(how.values()).count("read") >= CASES[kind] // 20
