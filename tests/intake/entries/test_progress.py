"""How far phases are: by columns of percent, words, several days, phases across the top."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.assembly import assemble
from costlearn.firm import Firm
from costlearn.intake.answers import Answers
from costlearn.intake.reader import read_file
from costlearn.intake.values.progress import progress_reader, read_progress
from costlearn.records import Batch, PhaseEntry


def read(folder: Path, text: str, answers: dict[str, str] | None = None) -> Batch:
    path = folder / "where.csv"
    path.write_text(text, "utf-8")
    return read_file(path, Firm(), answers=Answers(answers or {}))


def shares(batch: Batch) -> dict[tuple[str, str], float | None]:
    assert all(isinstance(entry, PhaseEntry) for entry in batch.entries)
    return {
        (entry.job, entry.phase): entry.percent_complete
        for entry in batch.entries
        if isinstance(entry, PhaseEntry)
    }


@pytest.mark.parametrize(
    ("raw", "share"),
    [("50%", 0.5), (0.5, 0.5), (85, 0.85), ("done", 1.0), ("half", 0.5), ("about half", 0.5),
     ("not started", 0.0), ("70?", None), ("about 75", 0.75), ("120%", None)],
)  # fmt: skip
def test_a_share_of_the_work(raw: str | float, share: float | None) -> None:
    assert read_progress(raw).value == share


def test_beside_a_fifty_nobody_knows_what_one_is() -> None:
    assert progress_reader([50, 1], ".")(1).value is None
    assert progress_reader([0.5, 1], ".")(1).value == 1.0


def test_a_job_named_once_and_words_among_figures(tmp_path: Path) -> None:
    text = "Job,Stage,How far (1 = all done)\nElm bath,Demo,1\n,Tile,0.5\nOak bath,Demo,half\n"
    batch = read(tmp_path, text)
    assert shares(batch) == {
        ("Elm bath", "demo"): 1.0, ("Elm bath", "tile"): 0.5, ("Oak bath", "demo"): 0.5,
    }  # fmt: skip
    jobs = {job.name: job for job in assemble(batch.entries, Firm()).jobs}
    assert {job.state for job in jobs.values()} == {"running"}


def test_phases_across_the_top(tmp_path: Path) -> None:
    text = "Job,Demo,Framing,Tile\nElm bath,done,50%,not started\n"
    assert shares(read(tmp_path, text)) == {
        ("Elm bath", "demo"): 1.0, ("Elm bath", "framing"): 0.5, ("Elm bath", "tile"): 0.0,
    }  # fmt: skip


def test_figures_under_phases_that_nothing_calls_percent_are_no_shares(tmp_path: Path) -> None:
    text = "Phase,3 Mar 2026,4 Mar 2026\nDemo,8,6\nTile,4,7\n"
    path = tmp_path / "Elm bath.csv"
    path.write_text(text, "utf-8")
    assert read_file(path, Firm()).entries == ()


BLOCKS = """ELM KITCHEN,,
step,Oct 30,Nov 13
Demo,100,done
Tile,70,70?
Paint,60,

Oakwood,,
step,Oct 30,Nov 13
Demo,50,100
Paint,,20
"""


def test_the_last_day_counts_and_each_block_is_of_its_own_job(tmp_path: Path) -> None:
    batch = read(tmp_path, BLOCKS)
    assert shares(batch) == {
        ("ELM KITCHEN", "demo"): 1.0, ("ELM KITCHEN", "paint"): 0.6,
        ("Oakwood", "demo"): 1.0, ("Oakwood", "paint"): 0.2,
    }  # fmt: skip
    (question,) = batch.questions
    assert (question.topic, question.place.row, question.choices[0]) == ("how far", 4, "70%")
    told = read(tmp_path, BLOCKS, {question.key: "0.7"})
    assert shares(told)["ELM KITCHEN", "tile"] == 0.7
