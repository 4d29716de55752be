"""Options that several commands share, and how they become records."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.errors import InputProblem

if TYPE_CHECKING:
    from costlearn.book.store import Book
    from costlearn.questions.answer import Answer
    from costlearn.records import History, Job

DEFAULT_BOOK = Path("jobs.book")

BookPath = Annotated[
    Path, typer.Option("--book", help="The job book: one file that holds all that was imported.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
HtmlPath = Annotated[
    Path | None, typer.Option("--html", help="Write the answer as a page to this file.")
]
OnDate = Annotated[
    str | None, typer.Option("--on", help="Date at whose prices to answer (2026-11-02).")
]
ScopeFile = Annotated[
    Path | None, typer.Argument(help="A TOML file with the scope (see the README).")
]
Area = Annotated[str | None, typer.Option("--area", help='Floor area, such as "46 sq ft".')]
Kind = Annotated[str | None, typer.Option("--kind", help="bathroom, laundry, kitchen or other.")]
Items = Annotated[
    str | None, typer.Option("--items", help='Scope, such as "niche; wall tile 96; 3 lights".')
]
Grade = Annotated[str | None, typer.Option("--grade", help="basic, middle or high.")]
HouseYear = Annotated[int | None, typer.Option("--house-year", help="Year the house was built.")]
CrewSize = Annotated[float | None, typer.Option("--crew", help="How many people will work.")]


@dataclass(frozen=True)
class Stated:
    """A scope as said on the command line; None where nothing was said."""

    area: str | None = None
    kind: str | None = None
    items: str | None = None
    grade: str | None = None
    house_year: int | None = None
    crew: float | None = None
    price: float | None = None
    cost: float | None = None
    person_days: float | None = None
    site_days: float | None = None
    elapsed_days: float | None = None

    def values(self) -> dict[str, Any]:
        """What was said, by name."""
        return {k: v for k, v in vars(self).items() if v is not None}


def open_book(path: Path, *, create: bool = False) -> Book:
    """Open the job book, or say how to start one.

    Raises:
        InputProblem: there is no book there and none is to be made.
    """
    from costlearn.book.store import Book

    if not create and not path.exists():
        raise InputProblem(
            f"there is no job book at {path}",
            hint="make one with: costlearn import YOUR-FILES --book " + str(path),
        )
    return Book.open(path, create=create)


def history_of(path: Path) -> History:
    """The history a job book holds.

    Raises:
        InputProblem: there is no book there.
    """
    with open_book(path) as book:
        return book.history()


def day_of(text: str | None) -> date | None:
    """A date given as an option.

    Raises:
        InputProblem: it is no ISO date.
    """
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as problem:
        raise InputProblem(
            f"--on '{text}' is no date", expected="a date such as 2026-11-02"
        ) from problem


def asked_job(history: History, file: Path | None, stated: Stated, on: date | None) -> Job:
    """The job asked about: from a file, from options, or a file with options on top.

    Raises:
        InputProblem: neither says anything, or a value cannot be used.
    """
    from costlearn.intake.asked import job_from, read_asked
    from costlearn.vocabulary import standard

    values = stated.values()
    firm = history.firm
    if file is None and not values:
        raise InputProblem(
            "nothing says what the job is", expected="a scope file, or --area and --items"
        )
    words = standard().with_phases(firm.phase_words)
    said = job_from(values, {}, (), firm, words)
    if file is None:
        return replace(said, quoted_on=on or date.today())
    job = read_asked(file, firm, words)
    plan = {
        k: v
        for k in ("cost", "person_days", "site_days", "elapsed_days", "crew")
        if (v := getattr(said.plan, k)) is not None
    }
    over = {
        k: v
        for k in ("kind", "area_sqft", "grade", "house_year", "price")
        if (v := getattr(said, k)) is not None
    }
    merged = replace(job, plan=replace(job.plan, **plan), scope={**job.scope, **said.scope}, **over)
    return replace(merged, quoted_on=on or job.quoted_on or date.today())


def deliver(answer: Answer, as_json: bool, html: Path | None) -> None:
    """Print an answer, and write its page if asked.

    Raises:
        InputProblem: the page cannot be written.
        typer.Exit: with code 1 if a check was promised and the answer is not to be trusted.
    """
    from costlearn.cli import screen

    if as_json:
        screen.print_json(answer.plain())
    else:
        screen.show_answer(answer)
    if html is not None:
        from costlearn.pages.write import write_page

        write_page(answer, html)
        if not as_json:
            screen.made(html)
    if not answer.trusted:
        raise typer.Exit(1)
