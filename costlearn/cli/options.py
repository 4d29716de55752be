"""Options that several commands share, and how they become records."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import completion, figures
from costlearn.errors import InputProblem, Place
from costlearn.intake.sheet_names import KINDS as SHEET_KINDS

if TYPE_CHECKING:
    from costlearn.book.store import Book
    from costlearn.firm import Firm
    from costlearn.intake.answers import Answers
    from costlearn.questions.answer import Answer
    from costlearn.records import History, Job
    from costlearn.vocabulary import Vocabulary

DEFAULT_BOOK = Path("jobs.book")

BookPath = Annotated[
    Path, typer.Option("--book", help="The job book: one file that holds all that was imported.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
HtmlPath = Annotated[
    Path | None, typer.Option("--html", help="Write the answer as a page to this file.")
]
SingleFile = Annotated[
    bool,
    typer.Option("--single-file", help="Each page alone, to be mailed: no script is shared."),
]
Replace = Annotated[
    bool, typer.Option("--replace", help="Write over a file that stands there already.")
]
OnDate = Annotated[
    str | None, typer.Option("--on", help="Date at whose prices to answer (2026-11-02).")
]
ScopeFile = Annotated[
    Path | None,
    typer.Argument(help="The job in one line, a TOML file, or a filled-in sheet (see the README)."),
]
JobName = Annotated[
    str | None, typer.Option("--job", help="Which job, where a sheet holds several.")
]
Area = Annotated[str | None, typer.Option("--area", help='Floor area, such as "46 sq ft".')]
Kind = Annotated[
    str | None,
    typer.Option(
        "--kind", help="bathroom, laundry, kitchen or other.", autocompletion=completion.kinds
    ),
]
Items = Annotated[
    str | None,
    typer.Option(
        "--items",
        help='Scope, such as "niche; wall tile 96; 3 lights".',
        autocompletion=completion.items,
    ),
]
Grade = Annotated[
    str | None,
    typer.Option("--grade", help="basic, middle or high.", autocompletion=completion.grades),
]
HouseYear = Annotated[str | None, typer.Option("--house-year", help="Year the house was built.")]
CrewSize = Annotated[str | None, typer.Option("--crew", help="How many people will work.")]


LONGEST_NAME = 200
"""Letters of a name that a disk may be asked for; a longer text is no file."""
MONEY = ("price", "cost")
NUMBERS = ("person_days", "site_days", "elapsed_days", "crew")


@dataclass(frozen=True)
class Stated:
    """A scope or quote as typed on the command line; None where nothing was said."""

    area: str | None = None
    kind: str | None = None
    items: str | None = None
    grade: str | None = None
    house_year: str | None = None
    crew: str | None = None
    price: str | None = None
    cost: str | None = None
    person_days: str | None = None
    site_days: str | None = None
    elapsed_days: str | None = None

    @property
    def said(self) -> dict[str, str]:
        """What was said, by name."""
        return {k: v for k, v in vars(self).items() if v is not None}

    def values(self, firm: Firm) -> dict[str, Any]:
        """What was said, by name, figures as numbers.

        Raises:
            InputProblem: a figure is none, or out of range.
        """
        found: dict[str, Any] = {}
        for name, text in self.said.items():
            flag = f"--{name.replace('_', '-')}"
            if name in MONEY:
                found[name] = figures.amount(flag, text, firm.currency)
            elif name in NUMBERS:
                found[name] = figures.number(flag, text)
            elif name == "house_year":
                found[name] = figures.year(flag, text)
            else:
                found[name] = text
        return found


def open_book(path: Path, *, create: bool = False) -> Book:
    """Open the job book, or say how to start one.

    Raises:
        InputProblem: there is no book there and none is to be made.
    """
    from costlearn.book.store import Book

    if not create and not path.exists():
        raise InputProblem(
            "there is no job book here",
            place=Place(str(path)),
            expected="the file that 'costlearn import' made",
            hint=f"make one with: costlearn import YOUR-FILES --book {path}",
        )
    return Book.open(path, create=create)


def with_book(command: str, book: Path) -> str:
    """A command to type, with the job book it is to use where that is not the usual one."""
    return command if book == DEFAULT_BOOK else f"{command} --book {shlex.quote(str(book))}"


def one_alone(**given: object) -> None:
    """Refuse options of which each is a command of its own, where several are given.

    Raises:
        InputProblem: there are several; those that are None are not given.
    """
    named = [name for name, value in given.items() if value is not None]
    if len(named) > 1:
        raise InputProblem(
            f"{' and '.join(named)} stand alone", expected=f"one of {', '.join(given)}"
        )


def refuse_taken(path: Path, *, replace: bool) -> None:
    """Refuse to write over a file that stands there already.

    Raises:
        InputProblem: there is one, and nobody said to replace it; or its folder is not there.
    """
    if not path.parent.is_dir():
        raise InputProblem(
            "its folder does not exist", place=Place(str(path)), hint="create the folder first"
        )
    if path.is_dir() or (path.exists() and not replace):
        raise InputProblem(
            f"there is a {'folder' if path.is_dir() else 'file'} of this name already",
            place=Place(str(path)),
            expected="a new name",
            hint="" if path.is_dir() else "or add --replace to write over it",
        )


def history_of(path: Path) -> History:
    """The history a job book holds.

    Raises:
        InputProblem: there is no book there.
    """
    with open_book(path) as book:
        return book.history()


def day_of(text: str | None) -> date | None:
    """A date given with --on.

    Raises:
        InputProblem: it is no ISO date.
    """
    return None if text is None else figures.day("--on", text)


def asked_job(
    history: History,
    file: Path | None,
    stated: Stated,
    on: date | None,
    *,
    job: str | None = None,
    book: Path | None = None,
) -> Job:
    """The job asked about: from a file, from options, or a file with options on top.

    A close spelling that was taken for a scope item is told beside the answer.

    Args:
        history: the firm's jobs; its firm says units and words.
        file: a TOML file, or a sheet that ``import`` could read, which then stays out of the book.
        stated: what options say.
        on: the date at whose prices it is asked.
        job: the name of the job, where a sheet holds several.
        book: a job book whose answered questions hold for the words of the job too.

    Raises:
        InputProblem: neither says anything, or a value cannot be used.
    """
    from costlearn.intake.asked import job_from
    from costlearn.intake.sheet_names import is_sheet
    from costlearn.vocabulary import standard

    firm = history.firm
    if file is None and not stated.said:
        raise InputProblem(
            "nothing says what the job is",
            expected="a scope file, or options such as --area '46 sq ft' --items 'niche'",
        )
    if file is None and job is not None:
        raise InputProblem("--job is given without a sheet", expected="a sheet that holds the job")
    words = standard().with_phases(firm.phase_words)
    told = answers_in(book)
    wider = told.extend(words) if told is not None else words
    found = job_from(stated.values(firm), {}, (), firm, wider)
    if file is not None:
        plain = words if is_sheet(file) else wider
        found = _on_top(_from_file(file, firm, plain, job, told), found)
    if found.notes:
        typer.echo(f"costlearn: {found.notes}.", err=True)
    return replace(found, quoted_on=on or found.quoted_on or date.today())


def answers_in(book: Path | None) -> Answers | None:
    """What was answered to the questions of a book: a word explained once holds everywhere.

    Raises:
        UnreadableFile: the book cannot be read.
    """
    if book is None:
        return None
    from costlearn.cli.sources import answers_of

    with open_book(book) as kept:
        return answers_of(kept)


def _from_file(
    file: Path, firm: Firm, words: Vocabulary, job: str | None, told: Answers | None
) -> Job:
    """The job a file holds: a sheet by its name, else TOML.

    Raises:
        InputProblem: it cannot be used, or a job is named in a file that holds only one.
    """
    from costlearn.intake.answers import Answers
    from costlearn.intake.asked import read_asked
    from costlearn.intake.sheet_names import is_sheet

    if _is_line(file):
        from costlearn.intake.asked_sheet import read_asked_line

        return read_asked_line(str(file), firm, words, told or Answers())
    if not is_sheet(file):
        if job is not None:
            raise InputProblem(
                f"--job is given, but {file.name} holds one job only", expected="no --job"
            )
        return read_asked(file, firm, words)
    from costlearn.intake.asked_sheet import read_asked_sheet

    return read_asked_sheet(file, firm, words, job=job, answers=told)


def _is_line(given: Path) -> bool:
    """Whether what was given for a file is a job in one line: no name of a file has its form."""
    text = str(given)
    parted = "," in text or " " in text or ";" in text
    ending = given.suffix.casefold()
    if not parted or ending in (*SHEET_KINDS, ".toml"):
        return False
    return len(text) > LONGEST_NAME or not given.exists()


def _on_top(job: Job, said: Job) -> Job:
    """A job from a file with what options said in the place of what the file says."""
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
    return replace(
        job,
        plan=replace(job.plan, **plan),
        scope={**job.scope, **said.scope},
        notes="; ".join(n for n in (job.notes, said.notes) if n),
        **over,
    )


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
