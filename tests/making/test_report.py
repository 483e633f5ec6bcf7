"""Rates and loads in the report: each within what the machine stands, with its reason; and why
each cutter was taken."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.making.report import cutter_rows, machine_row, operation_rows
from gcodekit.making.summary import explained
from gcodekit.planning.plan import Plan, plan_setups
from gcodekit.trade.milling import milling
from gcodekit.trade.rates import MOTOR_SHARE, CuttingLimits, SpindleLimits

JOBS = Path(__file__).parents[2] / "jobs"
SHIPPED = sorted(f.stem for f in JOBS.glob("*.toml") if f.stem != "workshop")


@cache
def planned(name: str) -> tuple[Any, tuple[Plan, ...]]:
    job = load_job(JOBS / f"{name}.toml")
    return job, tuple(plan for _, plan in plan_setups(job))


def rows(name: str) -> list[dict[str, Any]]:
    _, plans = planned(name)
    return [
        row for p in plans for f in p.program.setup.features for row in operation_rows(p, f.name)
    ]


@pytest.mark.parametrize("name", SHIPPED)
def test_every_cut_of_a_shipped_job_is_within_its_machine(name: str) -> None:
    job, _ = planned(name)
    machine = job.workshop.machine
    spindle = machine.spindle
    said = machine_row(machine)
    assert said["power_at_cutter"] == MOTOR_SHARE * spindle.power
    assert rows(name)
    for row in rows(name):
        slack = 1 + 1e-6
        assert spindle.slowest <= row["speed"] <= spindle.fastest, row
        assert 0 < row["plunge_feed"] <= row["feed"] <= machine.feed_max, row
        assert row["power"] is None or 0 < row["power"] <= MOTOR_SHARE * spindle.power * slack, row
        if row["deflection"] is not None:
            assert 0 < row["deflection"] <= row["deflection_allowed"] * slack, row
        assert row["limited_by"]
        assert len(row["why"]) > 10, row


@pytest.mark.parametrize("name", SHIPPED)
def test_no_roughing_cut_is_more_than_the_machine_stands(name: str) -> None:
    """At the widest that it meets and as deep as it is, no quicker than the machine stands it."""
    job, _ = planned(name)
    machine, spindle = job.workshop.machine, job.workshop.machine.spindle
    by_number = {c.number: c for c in job.workshop.cutters}
    mills = [r for r in rows(name) if r["stepover"] is not None]
    assert mills
    for row in mills:
        rates = milling(
            job.material,
            by_number[row["cutter"]],
            CuttingLimits(
                spindle=SpindleLimits(
                    slowest=spindle.slowest, fastest=spindle.fastest, power=spindle.power
                ),
                feed_max=machine.feed_max,
                rigidity=machine.rigidity,
            ),
            width=row["width"],
            depth=row["depth"],
        )
        assert all(r.met for r in rates.rulings), row
        # between two widths for which feeds are worked out they change evenly
        assert row["feed"] <= rates.feed * 1.05, row


@pytest.mark.parametrize("name", SHIPPED)
def test_every_cutter_of_a_shipped_job_has_its_reason(name: str) -> None:
    _, plans = planned(name)
    for plan in plans:
        used = {o.cutter.number for o in plan.program.operations}
        picked = {
            row["cutter"] for f in plan.program.setup.features for row in cutter_rows(plan, f.name)
        }
        assert used <= picked
        for feature in plan.program.setup.features:
            assert all(row["why"] and row["part"] for row in cutter_rows(plan, feature.name))


JOB = """
name = "Trial"
units = "mm"
material = "mild steel"
[stock]
block = [80, 60, 10]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
board = 12
"""
POCKET = """
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [%s], centre = [0, 0], round = %s }
depth = %s
"""


@pytest.fixture
def cut(tmp_path: Path) -> Callable[[str], Plan]:
    def plan(features: str) -> Plan:
        path = tmp_path / "job.toml"
        path.write_text(JOB + features, encoding="utf-8")
        return plan_setups(load_job(path))[0][1]

    return plan


@pytest.mark.parametrize(
    ("features", "part", "words"),
    [
        pytest.param(
            POCKET % ("20, 14", 3.2, 1), "rough and finish", "inside radius of", id="round"
        ),
        pytest.param(
            POCKET % ("70, 50", 1.6, 6), "rough", "min over cutter", id="a roughing cutter"
        ),
        pytest.param(
            POCKET % ("40, 30", 3.2, 2) + "cutter = 2\n",
            "rough and finish",
            "named in the job",
            id="named",
        ),
        pytest.param(
            POCKET % ("40, 30", 3.2, 2) + "rough_with = 3\nfinish = false\n",
            "rough",
            "named in the job",
            id="named, left rough",
        ),
        pytest.param(
            '[[setup.feature]]\nkind = "bore"\nat = [0, 0]\ndiameter = 13\ndepth = 2\n',
            "rough and finish",
            "is too wide, at most 10.8333 mm fits",
            id="bore",
        ),
        pytest.param(
            '[[setup.feature]]\nkind = "slot"\nfrom = [0, 0]\nto = [20, 0]\nwidth = 4.5\n'
            "depth = 2\n",
            "rough and finish",
            "is too wide, at most 4.5 mm fits",
            id="slot",
        ),
        pytest.param(
            '[[setup.feature]]\nkind = "hole"\nat = [0, 0]\ndiameter = 6\nream = true\n'
            "through = true\n",
            "drill",
            "to ream (usual: 0.2 mm)",
            id="reamed",
        ),
    ],
)
def test_why_a_cutter_was_taken(
    cut: Callable[[str], Plan], features: str, part: str, words: str
) -> None:
    plan = cut(features)
    (name,) = plan.chosen
    why = {row["part"]: row["why"] for row in cutter_rows(plan, name)}
    assert words in why[part]
    assert any(words in line for line in explained(plan))


def test_a_shallow_cut_is_held_back_by_the_drawing_alone(cut: Callable[[str], Plan]) -> None:
    shallow, deep = (cut(POCKET % ("40, 30", 5, depth)) for depth in (0.5, 6))
    first = operation_rows(shallow, "pocket 1")[0]
    assert first["limited_by"] == "drawing"
    assert first["depth"] == pytest.approx(0.5)
    second = operation_rows(deep, "pocket 1")[0]
    assert second["limited_by"] in ("machine rigidity", "cutter deflection")
    # 6 mm in equal passes
    assert 6 / second["depth"] == pytest.approx(round(6 / second["depth"]))


def test_figures_of_the_job_are_said_to_be_its_own(cut: Callable[[str], Plan]) -> None:
    plan = cut(POCKET % ("40, 30", 5, 6) + "cutter = 2\nspeed = 500\nstepdown = 0.75\n")
    row = operation_rows(plan, "pocket 1")[0]
    assert row["asked"] == ("speed", "stepdown")
    assert row["limited_by"] == "job file"
    assert row["why"].startswith("speed and stepdown set in the job")
    assert (row["speed"], row["depth"]) == (500, 0.75)


def test_the_depth_of_passes_is_no_figure_of_a_finishing_pass(cut: Callable[[str], Plan]) -> None:
    plan = cut(
        '[[setup.feature]]\nkind = "bore"\nat = [0, 0]\ndiameter = 20\nthrough = true\n'
        "stepdown = 0.9\nspeed = 500\n"
    )
    asked = {row["label"]: row["asked"] for row in operation_rows(plan, "bore 1")}
    assert asked == {"rough": ("speed", "stepdown"), "finish": ("speed",)}


def test_a_hole_s_plunge_feed_is_its_feed(cut: Callable[[str], Plan]) -> None:
    hole = '[[setup.feature]]\nkind = "hole"\nat = [0, 0]\ndiameter = 5\nthrough = true\n'
    plan = cut(hole + "plunge_feed = 31\n")
    drill = next(r for r in operation_rows(plan, "hole 1") if r["label"] == "drill")
    assert drill["feed"] == 31
    assert "plunge_feed" in drill["asked"]


def test_the_report_has_all_of_it(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB + POCKET % ("40, 30", 5, 2), encoding="utf-8")
    assert make(tmp_path / "job.toml", tmp_path / "out").verdict == "pass"
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    (feature,) = report["features"]
    assert [row["label"] for row in feature["operations"]] == ["rough", "finish"]
    assert feature["cutters"][0]["why"]
    assert report["machine"]["power_at_cutter"] == pytest.approx(
        MOTOR_SHARE * report["machine"]["power"]
    )
