"""Hundreds of single faults in programs of shipped and small jobs: the dry run finds each, on its
line or by its cause, or geometry shows that it does no harm.

What only changes how fast something is fed or turned, within what the machine and published figures
allow, nobody can tell from meant: such mutants are counted, and not among the found.
`GCODEKIT_MUTANTS=5000` draws that many fresh ones besides, of all shipped jobs with all posts.
"""

from __future__ import annotations

import os
import random
from pathlib import Path

import harmless
import pytest
from mutant_trial import SHIPPED, SMALL, Program, Trial, programs

LONG = int(os.environ.get("GCODEKIT_MUTANTS", "0"))
POSTS = ("rs274_full", "iso6983", "motion_only")
# Those that are made and proved quickly, and between them have all kinds of words.
QUICK = (
    ("saddle-brackets", "rs274_full"),
    ("latch-open-path", "iso6983"),
    ("worm-block-squared", "rs274_full"),
    ("clamp-arm-skin-loose", "motion_only"),
    ("pier-clip", "rs274_full"),
    ("latch-open-path", "rs274_full"),
    ("slotted-plate-open", "iso6983"),
    ("tripod-plate-two-setups", "rs274_full"),
    ("counterweight-strap-inch", "rs274_full"),
)
# One G1 taken for G0 in it makes hundreds of rapids through stock, half a minute to tell.
SLOW = {"7-bore-and-half-the-curve.nc"}
LEAST = 200


@pytest.fixture(scope="module")
def quick(tmp_path_factory: pytest.TempPathFactory) -> list[Program]:
    made = programs(QUICK, tmp_path_factory.mktemp("quick"))
    return [p for p in made if p.name.rsplit("/", 1)[1] not in SLOW]


def test_two_hundred_mutants_are_found_or_harmless(quick: list[Program]) -> None:
    trial = Trial(quick)
    trial.try_all(LEAST + 15, "two hundred")
    print(trial.table())
    assert not trial.missed, trial.table()
    total = trial.total
    undecided = sum(n for r, n in total.items() if r.startswith("undecided"))
    assert total.total() - undecided >= LEAST, trial.table()
    # a judgement that lets everything pass would prove nothing
    assert total["found"] >= LEAST / 2, trial.table()
    assert len({kind for kind, result in trial.counts if result == "found"}) >= 12, trial.table()


@pytest.mark.parametrize(
    ("was", "now"),
    [
        pytest.param("G1 X14\nX13", "G1 X14 Y11.95\nX13", id="wall"),
        pytest.param("G1 Z-2 F235.2", "G1 Z-2.05 F235.2", id="floor"),
        pytest.param("G0 X16.1 Y15\nZ1", "G0 X16.1 Y15\nZ-1", id="rapid in the stock"),
        pytest.param("G1 X10\nG2 X9 Y13", "G0 X10\nG2 X9 Y13", id="rapid along a wall"),
        pytest.param("S4000 M3\nG4 P2\nM7\n(seat", "S2000 M3\nG4 P2\nM7\n(seat", id="half speed"),
        pytest.param("G1 Z0 F112", "G1 Z-1.9 F112", id="down into stock"),
    ],
)
def test_the_judgement_by_geometry_sees_harm(quick: list[Program], was: str, now: str) -> None:
    """What is called harmless here is called so by code that can say no."""
    (program,) = (p for p in quick if p.name.startswith("pier-clip"))
    assert was in program.text
    before, _ = program.run(program.text.splitlines())
    after, _ = program.run(program.text.replace(was, now, 1).splitlines())
    assert harmless.judgement(before, before, program.bench).startswith("harmless")
    assert not harmless.judgement(before, after, program.bench).startswith("harmless")


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        pytest.param(
            "G1 Z0 F112", "G1 Z-1.9 F336", "cutter 1 plunges into stock at 336 mm/min",
            id="plunge at the feed of a cut",
        ),
        pytest.param("G55 G61", "G61", "no work offset: the program runs in", id="no work offset"),
        pytest.param("G55 G61\n", "", "no work offset: the program runs in", id="its line dropped"),
    ],
)  # fmt: skip
def test_what_one_word_does_is_warned_of(
    quick: list[Program], was: str, now: str, said: str
) -> None:
    (program,) = (p for p in quick if p.name.startswith("pier-clip"))
    assert was in program.text
    _, run = program.run(program.text.replace(was, now, 1).splitlines())
    assert any(said in p.text for p in run.findings.problems), run.findings.problems


@pytest.mark.skipif(not LONG, reason="GCODEKIT_MUTANTS = how many")
def test_many_mutants(tmp_path: Path) -> None:
    made = [(p.stem, post) for post in POSTS for p in (*SHIPPED, *SMALL)]
    seed = str(random.SystemRandom().randrange(10**6))
    print(f"seed {seed}")
    trial = Trial(programs(made, tmp_path))
    trial.try_all(LONG, seed)
    print(trial.table())
    assert not trial.missed, trial.table()
