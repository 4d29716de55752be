"""What waits for a person: the questions of all files, the answer sheet, and the answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import options as opt
from costlearn.errors import InputProblem
from costlearn.units import say_count, say_money

if TYPE_CHECKING:
    from costlearn.book.store import Book
    from costlearn.intake.alike import Alike
    from costlearn.records import Entry, History, Question

MOST_SHOWN = 7
"""Questions that are shown at a time."""
CHOICES_SHOWN = 5
HANG = 3
PARTS_SHOWN = 12
"""Of questions put as one, those that are shown with what each holds up."""
CELL = 50
"""Letters of a cell that are shown."""


def questions(
    book: opt.BookPath = opt.DEFAULT_BOOK,
    write: Annotated[
        Path | None, typer.Option("--write", help="Write them as a sheet to fill in (.csv).")
    ] = None,
    replace: opt.Replace = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show what only you can say about your records, the most money first."""
    from costlearn.assembly import waiting_costs
    from costlearn.cli import screen
    from costlearn.intake.alike import together

    with opt.open_book(book) as kept:
        asked, currency = all_questions(kept), kept.firm().currency
        loose = 0 if as_json else len(waiting_costs(kept.history()))
    if write is not None:
        from costlearn.book.export import write_whole
        from costlearn.intake.answer_sheet import sheet_row, write_sheet

        check_name(write)
        opt.refuse_taken(write, replace=replace)
        write_whole(write, write_sheet(map(sheet_row, asked)))
        screen.made(write)
    if as_json:
        screen.print_json([plain(one) for one in asked])
        return
    if write is None:
        listed = together(asked)
        for number, one in enumerate(listed[:MOST_SHOWN], 1):
            show(number, one, currency)
        say_more(len(listed) - MOST_SHOWN, book)
    screen.say(one_line(asked, currency) or "Nothing waits for an answer.")
    if asked and write is None:
        screen.say(f"  {opt.with_book('costlearn answer', book)}")
    if loose:
        screen.say(f"{say_count(loose, 'cost line')} waiting for a job. {say_waiting(loose)}")
    if write is not None and asked:
        told = opt.with_book(f"costlearn answer {write}", book)
        screen.say(f"Fill in the last column, then: {told}")


def check_name(sheet: Path) -> None:
    """Refuse a name that would hide what the sheet is.

    Raises:
        InputProblem: it does not end in .csv.
    """
    if sheet.suffix.casefold() != ".csv":
        raise InputProblem(f"found '{sheet.name}'", expected="a name ending in .csv")


def all_questions(kept: Book) -> tuple[Question, ...]:
    """Every open question of a book once, those about jobs' names and purchases among them."""
    from costlearn.assembly import twin_questions
    from costlearn.intake.answers import merged
    from costlearn.intake.names import job_questions

    said = {one.question.key for one in kept.answers()}
    about_jobs = [one for one in job_questions(kept.entries()) if one.key not in said]
    history = kept.history()
    about_twins = twin_questions(history.twins)
    asked = _without_needless(kept.questions(), kept.entries(), history)
    return merged((*asked, *about_jobs, *about_twins))


def _without_needless(
    asked: Iterable[Question], entries: Iterable[Entry], history: History
) -> list[Question]:
    """Questions without those on the crew of lists of jobs whose person-days are on file anyway."""
    from costlearn.assembly.names import pile_up

    open_ones = list(asked)
    if not any(one.topic == "crew" for one in open_ones):
        return open_ones
    known = {job.key for job in history.jobs if job.actual.person_days is not None}
    needed = {
        (row.place.file, row.place.sheet)
        for pile in pile_up(entries)[0]
        for row in (*pile.phases, *(() if pile.key in known else pile.jobs))
    }
    return [q for q in open_ones if q.topic != "crew" or (q.place.file, q.place.sheet) in needed]


def say_waiting(loose: int) -> str:
    """How cost lines that name no job get one."""
    from costlearn.assembly.jobs import GIVE_A_JOB

    return f"To give {'it its' if loose == 1 else 'them their'} job, {GIVE_A_JOB}."


def one_line(asked: Sequence[Question], currency: str) -> str:
    """How much waits, in one sentence; empty if nothing does."""
    from costlearn.intake.alike import together

    if not asked:
        return ""
    many = len(together(asked))
    rows, money = sum(one.rows_waiting for one in asked), sum(one.money for one in asked)
    worth = f", {say_money(money / 100, currency)}" if money else ""
    verb = "holds" if many == 1 else "hold"
    return f"{say_count(many, 'question')} {verb} up {say_count(rows, 'row')}{worth}."


def show(number: int, asked: Alike, currency: str, *, choices: bool = True) -> None:
    """A question with all that is needed to answer it: what waits, where it stands, its cells."""
    from costlearn.cli import screen
    from costlearn.cli.telling import holds
    from costlearn.intake.alike import part_said

    one, parts = asked.question, asked.parts
    screen.say(f"{number}  {one.text}", HANG)
    where = f" ({one.place})" if str(one.place) else ""
    screen.say(f"   Holds up {holds(one, currency)}{where}.", HANG)
    for part in parts[:PARTS_SHOWN] if len(parts) > 1 else ():
        screen.say(f"   {part_said(part)}: {holds(part, currency)}", HANG)
    if one.samples:
        cells = ", ".join(f"'{shorten(cell, CELL, placeholder=' ...')}'" for cell in one.samples)
        screen.say(f"   Cells: {cells}", HANG)
    if choices:
        screen.say(f"   Answers: {_few(one.choices)}", HANG)


def _few(choices: Sequence[str]) -> str:
    """The first choices, and how many more there are."""
    more = len(choices) - CHOICES_SHOWN
    return "; ".join(choices[:CHOICES_SHOWN]) + (f"; and {more} more" if more > 0 else "")


def say_more(left: int, book: Path) -> None:
    """How many questions are not shown, and where they are."""
    from costlearn.cli import screen

    if left > 0:
        screen.say(f"{left} more on the sheet:")
        screen.say(f"  {opt.with_book('costlearn questions --write answers.csv', book)}")


def plain(one: Question) -> dict[str, Any]:
    """A question as plain data."""
    return {
        "id": one.key,
        "topic": one.topic,
        "question": one.text,
        "where": str(one.place),
        "found": one.found,
        "choices": list(one.choices),
        "rows": one.rows_waiting,
        "money": one.money,
        "holds": one.holds,
        "samples": list(one.samples),
    }


def waiting_data(asked: Iterable[Question]) -> dict[str, int]:
    """How much waits, as plain data."""
    from costlearn.intake.alike import together

    listed = list(asked)
    return {"questions": len(together(listed)), "rows": sum(one.rows_waiting for one in listed)}
