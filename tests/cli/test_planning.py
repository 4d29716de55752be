"""The command calendar: a scope, a quote or a job on file laid on days, and refusals."""

from __future__ import annotations

from pathlib import Path

import pytest
from icalendar import Calendar

from costlearn.cli.planning import helped
from costlearn.errors import InputProblem
from costlearn.firm import Firm
from tests.cli.conftest import DEMO, Command

QUOTE = DEMO / "quote_sane.toml"
START = ("--start", "2027-01-11")


def test_a_scope_on_the_calendar(command: Command, demo_book: Path, tmp_path: Path) -> None:
    page, file = tmp_path / "plan.html", tmp_path / "plan.ics"
    words = (*START, "--book", demo_book, "--html", page, "--ics", file)
    done = command("calendar", DEMO / "scope_new.toml", *words)
    assert done.code == 0
    text = " ".join(done.out.split())
    assert text.startswith("Begun on Mon 11 Jan 2027, 8 jobs in 10 like this are done between")
    assert "Hold points: nothing goes on before these" in text
    assert "plan.ics" in text
    assert "On which days would this job run?" in page.read_text("utf-8")
    assert len(Calendar.from_ical(file.read_bytes()).walk("VEVENT")) > 10


def test_what_is_typed_reaches_the_answer(command: Command, demo_book: Path) -> None:
    words = ("--helper", "tile, demo", "--holidays", "2027-01-18..2027-01-22; 2027-02-03")
    more = ("--promised", "2027-03-01", "--book", demo_book, "--json")
    data = command("calendar", QUOTE, *START, *words, *more).data
    assert data["question"] == "sitecalendar"
    assert data["helper"] == ["demo", "tile"]
    assert data["week"] == "Monday to Friday, less 6 holidays"
    assert (data["finish"]["promised"], data["finish"]["stated"]) == ("2027-03-01", True)
    plain = command("calendar", QUOTE, *START, "--book", demo_book, "--json").data
    assert plain["finish"]["late"] < data["finish"]["late"]
    assert plain["finish"]["stated"] is False
    typed = ("--area", "52 sq ft", "--kind", "bathroom", "--items", "niche; wall tile 96")
    assert command("calendar", *typed, *START, "--book", demo_book, "--json").data["known"]


def test_the_same_words_give_the_same_bytes(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    texts = []
    for name in ("a.ics", "b.ics"):
        words = (*START, "--book", demo_book, "--json", "--ics", tmp_path / name)
        texts.append((command("calendar", QUOTE, *words).out, (tmp_path / name).read_bytes()))
    assert texts[0] == texts[1]


def test_a_running_job_goes_on_to_where_its_forecast_ends(
    command: Command, demo_book: Path
) -> None:
    data = command("calendar", "--job", "B26-08", "--book", demo_book, "--json").data
    told = command("forecast", "B26-08", "--book", demo_book, "--json").data["finish"]
    finish = data["finish"]
    assert [finish[k] for k in ("early", "likely", "late")] == [
        told[k] for k in ("early", "middle", "late")
    ]
    assert data["start"] > told["since"]


def test_holidays_of_the_settings_reach_forecast_crew_and_calendar(
    command: Command, tmp_path: Path
) -> None:
    """Two weeks off from 2 November move every finish that lies behind them by two weeks."""
    from costlearn.book.store import Book
    from costlearn.questions.crewing.crew import crew
    from costlearn.questions.planning.calendar import site_calendar
    from costlearn.questions.running.midjob import forecast
    from tests.cli.conftest import SHEETS

    ends = []
    for name, more in (("plain", ""), ("off", 'holidays = ["2026-11-02..2026-11-15"]\n')):
        settings, book = tmp_path / f"{name}.toml", tmp_path / f"{name}.book"
        settings.write_text((DEMO / "firm.toml").read_text("utf-8") + more, "utf-8")
        words = ("import", *SHEETS, "--settings", settings, "--book", book)
        assert command(*words).code == 0
        with Book.open(book) as kept:
            history = kept.history()
        told = forecast(history, history.running[0]).finish
        job = history.running[0]
        helped_ = crew(history, job, on=told.since if told else None).job
        laid = site_calendar(history, job, None).finish
        assert told and helped_ and helped_.alone.finish and laid
        ends.append((told.late, helped_.alone.finish[2], laid.late))
        assert command("settings", "--book", book).out.count("2026-11-02..2026-11-15") == (
            name == "off"
        )
    assert [(b - a).days for a, b in zip(*ends, strict=True)] == [14, 14, 14]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((QUOTE,), "nothing says when the work starts; expected a day such as --start 2027-01-11"),
        ((*START,), "nothing says what the job is"),
        ((QUOTE, "--start", "soon"), "--start: "),
        ((QUOTE, *START, "--promised", "31.2."), "--promised: "),
        ((QUOTE, *START, "--holidays", "Easter"), "--holidays"),
        ((QUOTE, *START, "--holidays", "2027-02-02..2027-01-02"), "from its first to its last"),
        ((QUOTE, *START, "--helper", "magic"), "'magic' is no phase costlearn knows"),
        ((QUOTE, *START, "--helper", " , "), "--helper: nothing is said"),
        ((QUOTE, *START, "--helper", "tile", "--belief", "0.7"), "since nobody is sure"),
        (("--job", "B99", *START), "there is no job 'B99'; expected one of: B26-08"),
        (("--job", "B25-02", *START), "is finished"),
        (("--job", "B26-08", QUOTE), "--job is given beside a scope"),
    ],
)
def test_refusals(command: Command, demo_book: Path, words: tuple[object, ...], told: str) -> None:
    assert told in command("calendar", *words, "--book", demo_book).told


def test_nothing_known_writes_no_file(command: Command, small_book: Path, tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    done = command("calendar", QUOTE, *START, "--book", small_book, "--ics", file)
    assert done.code == 0
    assert "cannot lay this job on a calendar" in " ".join(done.out.split())
    assert "is not written" in done.err
    assert not file.exists()


def test_a_file_that_cannot_be_written(command: Command, demo_book: Path, tmp_path: Path) -> None:
    (tmp_path / "in_the_way").write_text("", "utf-8")
    file = tmp_path / "in_the_way" / "plan.ics"
    told = command("calendar", QUOTE, *START, "--book", demo_book, "--ics", file).told
    assert "the calendar file cannot be written" in told


def test_words_for_a_helper() -> None:
    assert helped("Tile; demo", Firm()) == ("tile", "demo")
    assert helped("all", Firm()) == ("all",)
    own = Firm().changed({"phase_words": {"steam_room": ["steam"]}})
    assert helped("steam", own) == ("steam_room",)
    with pytest.raises(InputProblem, match="may mean several"):
        helped("rough", Firm())
