"""Readers under changed files: a sample by fixed seeds in the ordinary suite, more and other seeds with `-m soak`.

`FUZZ_MINUTES` sets how long the soak takes (20); what it finds is told with target and seed.
"""

from __future__ import annotations

import os
import random
import re
import time
from pathlib import Path

import pytest

from .mutator import mutated
from .targets import TARGETS, Target, outcome

pytestmark = pytest.mark.filterwarnings("ignore")  # the command shows none of the libraries' warnings

SHARE = 3  # of each target's cases, one in so many in the ordinary suite
STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
SECONDS, LONGEST = (
    5.0,
    4_000,
)  # of the processor for one text of at most 200,000 characters; characters of one problem


def faults_in(target: Target, first: int, count: int, work: Path) -> list[str]:
    """What went wrong in so many cases; each is made of its number alone."""
    seeds = target.seeds()
    assert seeds, target.name
    wrong = []
    for number in range(first, first + count):
        draw = random.Random(f"{target.name} {number}")
        text = mutated(draw.choice(seeds), seeds, draw)
        began = time.process_time()
        try:
            said = outcome(target, text, work)
        except Exception as error:
            wrong.append(f"{target.name} {number}: {type(error).__name__}: {str(error)[:200]}")
            continue
        spent = time.process_time() - began
        wrong += [f"{target.name} {number}: {spent:.1f} s"] if spent > SECONDS else []
        wrong += [
            f"{target.name} {number}: shows {one[:200]!r}" for one in said if STEERS.search(one) or len(one) > LONGEST
        ]
    return wrong


def test_a_sample_is_large_enough() -> None:
    assert sum(target.cases // SHARE for target in TARGETS) >= 20_000


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_no_reader_falls_over(target: Target, tmp_path: Path) -> None:
    faults = faults_in(target, 0, target.cases // SHARE, tmp_path)
    assert not faults, "\n".join(faults[:10])


@pytest.mark.soak
def test_no_reader_falls_over_for_long(tmp_path: Path) -> None:
    end = time.monotonic() + 60 * float(os.environ.get("FUZZ_MINUTES", "20"))
    first, done, faults = int(os.environ.get("FUZZ_FIRST", "1000000")), 0, []
    while time.monotonic() < end:
        for target in TARGETS:
            share = max(20, target.cases // 20)
            faults += faults_in(target, first + done, share, tmp_path)
        done += 1_000
        print(f"round {done // 1_000}: {len(faults)} faults", flush=True)
    assert not faults, "\n".join(faults[:50])
