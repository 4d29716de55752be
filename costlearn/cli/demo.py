"""The demo: the invented firm's files, imported and answered, with a page for each answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import importing, keep, pace
from costlearn.cli import options as opt

if TYPE_CHECKING:
    from costlearn.book.store import Book
    from costlearn.firm import Firm
    from costlearn.questions.answer import Answer
    from costlearn.records import Entry, History

TODAY = date(2026, 10, 31)
"""The demo's own day, so that it says the same whenever it is run."""
BACKLOG = 14.0
"""Jobs a year the invented firm could sell."""
SHEETS = (".csv", ".xlsx", ".xls", ".ods", ".txt", ".tsv")
OTHER_ANSWERS = 5
"""How many answers there are beside the quotes and the running jobs."""
QUOTES = ("quote_sane", "quote_forgotten", "quote_far_outside")


@dataclass(frozen=True)
class Asked:
    """One question of the demo: its page's name and heading, and the answer."""

    page: str
    heading: str
    answer: Answer


def demo(
    to: Annotated[Path, typer.Option("--to", help="Folder for the book and the pages.")] = Path(
        "reports"
    ),
    single_file: opt.SingleFile = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show all of it on an invented firm's files: import, answers, pages."""
    from costlearn.cli import screen, waiting
    from costlearn.demo.files import demo_folder
    from costlearn.intake.settings import read_settings

    folder = demo_folder()
    to.mkdir(parents=True, exist_ok=True)
    where = to / "demo.book"
    with opt.open_book(where, create=True) as book:
        firm = read_settings(folder / "firm.toml", book.firm())
        book.set_firm(firm)
        read = import_demo(book, folder, firm)
        history, entries = book.history(), tuple(book.entries())
        waits = waiting.waiting_data(waiting.all_questions(book))["questions"]
    told = f"An invented firm: {read} files read into {where}. {keep.on_file(history)}"
    if not as_json:
        screen.say(told)
    total = len(QUOTES) + len(history.running) + OTHER_ANSWERS
    with pace.bar("Answers") as watch:
        asked = list(pace.counted(answers(history, folder, entries), total, "thinking", watch))
    index = write_pages(asked, history, entries, waits, to, single_file=single_file)
    if as_json:
        said = [{"page": f"{a.page}.html", "sentence": a.answer.sentence} for a in asked]
        screen.print_json({"sentence": told, "written": [str(where), str(index)], "answers": said})
        return
    for one in asked:
        screen.say("")
        screen.say(f"{one.heading}: {one.answer.sentence}")
    screen.say("")
    more = f"and {len(asked)} more beside it, and one for each of {len(history.jobs)} jobs"
    screen.say(f"Pages: {index} ({more}). Open it in a browser.")
    screen.say(f"Ask more: costlearn overruns --book {where}")


def import_demo(book: Book, folder: Path, firm: Firm) -> int:
    """Read the demo's spreadsheets into a book; returns how many there were."""
    files = sorted(p for p in folder.iterdir() if p.suffix in SHEETS)
    for number, path in enumerate(files, 1):
        with pace.shown(path.name, number, len(files)) as watch:
            book.add(importing.read_one(path, firm, watch=watch), path)
    return len(files)


def answers(history: History, folder: Path, entries: Sequence[Entry] = ()) -> Iterator[Asked]:
    """The demo's questions, in the order they are shown; ``entries`` are the rows behind."""
    from costlearn.intake.asked import read_asked
    from costlearn.questions.crewing.crew import crew
    from costlearn.questions.crewing.year import YearTerms
    from costlearn.questions.earning.earnings import earnings
    from costlearn.questions.estimate import estimate
    from costlearn.questions.overrun.overruns import overruns
    from costlearn.questions.quoting.quote import check
    from costlearn.questions.running.midjob import forecast
    from costlearn.questions.trust import backtest

    new = read_asked(folder / "scope_new.toml", history.firm)
    yield Asked("estimate", "A new bathroom", estimate(history, new, on=TODAY))
    for name in QUOTES:
        quote = read_asked(folder / f"{name}.toml", history.firm)
        yield Asked(name, f"Quote {quote.name}", check(history, quote))
    for job in history.running:
        page = f"running_{job.name.split()[0].lower()}"
        yield Asked(page, f"Running job {job.name}", forecast(history, job, on=TODAY))
    yield Asked("overruns", "Overruns", overruns(history, entries))
    yield Asked("crew", "A second person", crew(history, new, YearTerms(BACKLOG), on=TODAY))
    yield Asked("earnings", "What earns most", earnings(history, entries, on=TODAY))
    yield Asked("accuracy", "How far to trust this", backtest(history))


def write_pages(
    asked: Sequence[Asked],
    history: History,
    entries: Sequence[Entry],
    waits: int,
    to: Path,
    *,
    single_file: bool,
) -> Path:
    """The first page, a page an answer and a page a job; returns the first page's path."""
    from costlearn.cli.pages import state_of
    from costlearn.pages.bundle import write_set
    from costlearn.pages.report import Named, report_files

    named = [Named(f"{one.page}.html", one.heading, one.answer) for one in asked]
    state = state_of(history, entries, [one.answer for one in asked], waits)
    return write_set(report_files(history, named, state, single_file=single_file), to)
