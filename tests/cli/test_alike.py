"""Questions that a person answers in one go are put as one, on the screen and at the prompt."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., Any]

BILLS = """Job,Date,Payee,What,Net,HST,Total
Elm bath,2025-03-03,Elm Electric (sub),rough,1000.00,130.00,1130.00
Elm bath,2025-03-04,Town office,permit,300.00,0,300.00
Elm bath,2025-03-05,Garrow Lumber,studs,200.00,26.00,226.00
Elm bath,2025-03-06,Cobb,wttt,120.00,15.60,135.60
"""
HOURS = """Job,Date,Person,Hours,Phase
Elm bath,2025-03-03,T,8,zzflimp
Elm bath,2025-03-04,T,6,zzgrob
Elm bath,2025-03-05,T,6,tile
"""


@pytest.fixture
def book(command: Command, tmp_path: Path) -> Path:
    """A book with bills that state no kind, and words of phases nobody knows."""
    for name, text in (("bills.csv", BILLS), ("hours.csv", HOURS)):
        (tmp_path / name).write_text(text, "utf-8")
    made = tmp_path / "b"
    done = command("import", tmp_path / "bills.csv", tmp_path / "hours.csv", "--book", made)
    assert done.code == 0
    return made


def test_payees_of_a_sheet_are_one_question_that_lists_them_with_their_amounts(
    command: Command, book: Path
) -> None:
    shown = " ".join(command("questions", "--book", book).out.split())
    assert shown.count("Which kind of cost") == 1
    assert "'Elm Electric (sub)' (perhaps sub): 1 row, $1,000" in shown
    assert "'Town office' (perhaps permit): 1 row, $300" in shown
    assert "Which phase is each of these: 'zzflimp', 'zzgrob'?" in shown
    assert "2 questions hold up" in shown


def test_the_suggestions_can_be_taken_all_at_once(
    command: Command, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replies = iter(["as suggested", "paint"])
    monkeypatch.setattr("typer.prompt", lambda *_, **__: next(replies))
    assert "5 answers kept and applied" in command("answer", "--book", book).out
    assert "Nothing waits" in command("questions", "--book", book).out
    job = command("jobs", "Elm bath", "--book", book, "--json").data
    assert job["actual"]["sub"] == 1000_00
    assert job["actual"]["permit"] == 300_00
    assert job["actual"]["material"] == 320_00
    done = {p["phase"]: p["actual"]["person_days"] for p in job["phases"]}
    assert done == {"paint": 14 / 8, "tile": 6 / 8}


def test_each_asks_one_after_the_other_and_a_wrong_answer_is_asked_again(
    command: Command, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replies = iter(["blah", "each", "sub", "material", "", "each", "tile", "none"])
    monkeypatch.setattr("typer.prompt", lambda *_, **__: next(replies))
    done = command("answer", "--book", book)
    assert "'blah' is no answer" in done.out
    assert "4 answers kept and applied" in done.out
    left = [q["id"] for q in command("questions", "--book", book, "--json").data]
    assert left == ["cost kind: paid to / town office"]
