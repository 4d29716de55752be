"""The short form of the import benchmark runs and prints every step with its ratio."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import intake as bench


def test_short_form_prints_every_step(capsys: pytest.CaptureFixture[str]) -> None:
    bench.main(["--short"])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split()[-2:] == ["bare", "reads"]
    steps = ("read hours.csv", "keep hours.csv", "read bills.csv", "keep bills.csv")
    for step in (*steps, "put the jobs together", "look for slips", "the whole import"):
        of_step = [line for line in lines if line.startswith(step)]
        assert len(of_step) == 1
        assert float(of_step[0].split()[-1].replace(",", "")) > 0
    assert lines[-1].split()[3] == "12,500"


def test_two_checkouts_are_read_in_turns(capsys: pytest.CaptureFixture[str]) -> None:
    bench.main(["--short", "--against", str(bench.HERE)])
    head, *lines = capsys.readouterr().out.splitlines()
    assert head.split() == ["file", "before", "now", "ratio"]
    assert len(lines) == len(bench.BESIDE) + 2
    for line in lines:
        before, now, ratio = map(float, line.split()[-3:])
        assert before > 0
        assert now > 0
        assert ratio > 0
