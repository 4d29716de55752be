"""The commands forecast and options: answers, the list of running jobs, and refusals."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.cli.running import work_left
from costlearn.errors import InputProblem
from costlearn.firm import Firm
from tests.cli.conftest import DEMO, Command


@pytest.mark.parametrize("name", ["B26-08", "b26 08", "B26-08 main bath, tub to shower"])
def test_a_running_job_by_code_or_name(command: Command, demo_book: Path, name: str) -> None:
    data = command("forecast", name, "--book", demo_book, "--json").data
    assert data["question"] == "forecast"
    assert data["job"]["name"] == "B26-08 main bath, tub to shower"
    assert data["landings"][0]["target"] == "cost"
    done = [s["phase"] for s in data["standings"] if s["done"] == 1]
    assert len(done) == 8


def test_what_is_typed_reaches_the_answer(command: Command, demo_book: Path) -> None:
    words = ("--promised", "2026-11-20", "--margin", "20 %", "--on", "2026-10-30")
    more = ("--left", "tile 3 d; waterproof 0 h", "--book", demo_book, "--json")
    data = command("forecast", "B26-08", *words, *more).data
    assert data["finish"]["promised"] == "2026-11-20"
    assert data["finish"]["stated"] is True
    assert data["finish"]["since"] == "2026-10-30"
    assert data["margin"] == pytest.approx(0.2)
    how = {s["phase"]: (s["done"], s["how"]) for s in data["standings"]}
    assert how["waterproof"] == (1.0, "finished")
    assert how["tile"][1] == "part done"


def test_the_screen_and_the_page_say_the_same(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    page = tmp_path / "job.html"
    done = command("forecast", "L26-09", "--book", demo_book, "--html", page)
    text = " ".join(done.out.split())
    assert text.startswith("This job ends at")
    assert "Beside it: the standard index arithmetic" in text
    assert "Where will this running job end?" in page.read_text("utf-8")


def test_without_a_job_the_backtest_and_the_list(command: Command, demo_book: Path) -> None:
    data = command("forecast", "--book", demo_book, "--json").data
    assert data["question"] == "midjobtrust"
    assert [j["job"].split()[0] for j in data["running"]] == ["B26-08", "L26-09"]
    assert data["stages"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("B99",), "there is no job 'B99'; expected one of the running jobs: B26-08 main bath"),
        (("B25-02",), "is finished, not running; expected one of the running jobs"),
        (("B26-08", "--promised", "soon"), "--promised: "),
        (("B26-08", "--margin", "2"), "--margin: found '2'"),
        (("B26-08", "--left", "tile"), "--left: found 'tile'; expected phases with what is left"),
        (("B26-08", "--left", "tile 3 weeks"), "--left: found 'tile 3 weeks'"),
        (("B26-08", "--left", "magic 3 d"), "'magic' is no phase costlearn knows"),
        (("B26-08", "--left", " ; "), "--left: nothing is said"),
        (("--promised", "2026-11-20"), "--promised is given, but no job"),
    ],
)
def test_refusals(command: Command, demo_book: Path, words: tuple[str, ...], told: str) -> None:
    assert told in command("forecast", *words, "--book", demo_book).told


def test_a_book_without_running_jobs(command: Command, small_book: Path) -> None:
    told = command("forecast", "X", "--book", small_book).told
    assert "expected a running job on file" in told
    data = command("forecast", "--book", small_book, "--json").data
    assert data["known"] is False
    assert data["running"] == []


def test_work_left_in_hours_and_days() -> None:
    """12 hours of an 8-hour day are 1.5; the same phase twice adds up."""
    assert work_left("tile 12 h; paint 1.5 d", Firm()) == {"tile": 1.5, "paint": 1.5}
    assert work_left("tile 4 hours; grout 1 day", Firm(hours_per_day=8)) == {"tile": 1.5}
    assert work_left("paint 0 h", Firm()) == {"paint": 0.0}
    with pytest.raises(InputProblem, match="may mean several things"):
        work_left("rough 2 d", Firm())


def test_options_on_the_middle_job_of_a_kind(command: Command, demo_book: Path) -> None:
    data = command("options", "--book", demo_book, "--json").data
    assert data["question"] == "options"
    assert data["base"]["kind"] == "bathroom"
    assert len(data["options"]) > 10
    laundry = command("options", "--kind", "laundry", "--book", demo_book, "--json").data
    assert laundry["base"]["kind"] == "laundry"
    assert laundry["base"]["name"] == "a middle laundry of yours"


def test_options_on_a_scope(command: Command, demo_book: Path, tmp_path: Path) -> None:
    page = tmp_path / "options.html"
    words = ("--margin", "0.3", "--book", demo_book, "--html", page)
    done = command("options", DEMO / "scope_new.toml", *words)
    assert "What it adds" in done.out
    assert "at a margin of 30 %" in " ".join(done.out.split())
    assert "What does each option add?" in page.read_text("utf-8")
    typed = ("--area", "46 sq ft", "--items", "niche; wall tile 96")
    data = command("options", *typed, "--book", demo_book, "--json").data
    assert data["base"]["scope"] == {"niche": 1.0, "wall_tile": 96.0}


def test_options_for_a_kind_nobody_knows_or_never_done(command: Command, demo_book: Path) -> None:
    told = command("options", "--kind", "spaceship", "--book", demo_book).told
    assert "spaceship" in told
    assert "expected" in told
    data = command("options", "--kind", "other", "--book", demo_book, "--json").data
    assert data["known"] is False
    assert "no finished job of this kind" in data["sentence"]


def test_a_book_of_one_job_prices_nothing(command: Command, small_book: Path) -> None:
    data = command("options", "--book", small_book, "--json").data
    assert data["known"] is False
