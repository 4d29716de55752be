"""The load benchmark in its short form: every step runs; quick ways say what slow ones do."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import scale

from costlearn.features import measures as ms
from costlearn.records import History

JOBS = 1000


@pytest.fixture(scope="module")
def history(tmp_path_factory: pytest.TempPathFactory) -> History:
    folder = tmp_path_factory.mktemp("scale")
    scale.write_files(folder, JOBS)
    scale.import_files(folder)
    found = scale.read_history(folder)
    assert isinstance(found, History)
    return found


def test_every_row_arrives(history: History) -> None:
    assert len(history.jobs) == JOBS
    assert len(history.running) == scale.RUNNING
    assert sum(len(j.phases) for j in history.jobs) == JOBS * len(scale.PHASES)
    first, phases = next(scale.invented(JOBS))
    job = history.job(phases[0][0])
    assert job is not None
    assert job.actual.cost == round(float(first[9]) * 100)
    tile = job.phase("tile")
    assert tile is not None
    assert tile.actual.person_days == next(row[4] for row in phases if row[1] == "Tile")


def test_the_generator_repeats_itself() -> None:
    assert list(scale.invented(20)) == list(scale.invented(20))


@pytest.mark.parametrize("target", ms.TARGETS)
def test_jobs_measured_at_once_are_measured_one_by_one(history: History, target: str) -> None:
    new = scale.quote()
    found = ms.measure(history.usable, new, target=target)
    slow = {c.name: measured for c, measured in ms.every_column(history.usable, target=target)}
    for column in found.columns:
        each = [slow[column.name](j) for j in [*history.usable, new]]
        assert found.row is not None
        np.testing.assert_array_equal([*found.frame[column.name], found.row[column.name]], each)


def test_short_form_prints_every_step(capsys: pytest.CaptureFixture[str]) -> None:
    scale.main(["--jobs", "60", "120"])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split()[:2] == ["step", "jobs"]
    steps = ("import", "history", "list of jobs", "overruns", "backtest", "estimate", "check")
    for step in (*steps, "forecast", "look for slips", "pandas alone"):
        of_step = [line.removeprefix(step).split() for line in lines if line.startswith(step)]
        assert [words[0] for words in of_step] == ["60", "120"]
        assert all(float(words[3]) > 0 for words in of_step)
