"""What waits for a person: the questions of all files, the answer sheet, and the answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import filled, sources
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place
from costlearn.units import say_count

if TYPE_CHECKING:
    from costlearn.book.kept import Answered
    from costlearn.book.store import Book
    from costlearn.intake.answer_sheet import Given
    from costlearn.questions.answer import Table
    from costlearn.records import Question

STOP = "stop"
NOT_ALL = 1
"""The exit code where rows of a sheet were no answers and the others were applied."""
SHOWN = 5


def questions(
    book: opt.BookPath = opt.DEFAULT_BOOK,
    write: Annotated[
        Path | None, typer.Option("--write", help="Write them as a sheet to fill in (.csv).")
    ] = None,
    replace: opt.Replace = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show what only you can say about your records, the most rows waiting first."""
    from costlearn.assembly import waiting_costs
    from costlearn.cli import screen

    with opt.open_book(book) as kept:
        asked = all_questions(kept)
        loose = 0 if as_json else len(waiting_costs(kept.history()))
    if write is not None:
        from costlearn.book.export import write_whole
        from costlearn.intake.answer_sheet import write_sheet

        _check_name(write)
        opt.refuse_taken(write, replace=replace)
        write_whole(write, write_sheet(asked))
        screen.made(write)
    if as_json:
        screen.print_json([plain(one) for one in asked])
        return
    if asked and write is None:
        screen.show_table(table(asked))
    screen.say(one_line(asked) or "Nothing waits for an answer.")
    if loose:
        screen.say(f"{say_count(loose, 'cost line')} waiting for a job. {say_waiting(loose)}")
    if write is not None and asked:
        screen.say(f"Fill in the last column, then: costlearn answer {write}")


def _check_name(sheet: Path) -> None:
    """Refuse a name that would hide what the sheet is.

    Raises:
        InputProblem: it does not end in .csv.
    """
    if sheet.suffix.casefold() != ".csv":
        raise InputProblem(f"found '{sheet.name}'", expected="a name ending in .csv")


def answer(
    sheet: Annotated[
        Path | None, typer.Argument(help="The answer sheet, filled in; without it you are asked.")
    ] = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
) -> None:
    """Answer what waits: from the sheet you filled in, or here, one question after the other.

    Answers are kept in the book and applied to all files, those imported later too. A row that is
    no answer is named and keeps no other out; the exit code is then 1.
    """
    from costlearn.cli import screen

    with opt.open_book(book) as kept:
        rows = _given(kept, sheet)
        old = sources.apply(kept, rows.taken)
        left = all_questions(kept)
    if as_json:
        screen.print_json(
            {
                "answers": {one.question.key: one.said for one in rows.taken},
                "given_before": [one.key for one in rows.again],
                "stale": [_stale(one) for one in rows.stale],
                "wrong": [str(problem) for problem in rows.wrong],
                "not_read_anew": old,
                "waiting": [plain(one) for one in left],
            }
        )
    else:
        _say_answered(rows, old, left)
    for problem in rows.wrong:
        typer.echo(f"costlearn: {problem}", err=True)
    if rows.wrong:
        raise typer.Exit(NOT_ALL)


def _given(kept: Book, sheet: Path | None) -> filled.Filled:
    if sheet is None:
        return filled.Filled(tuple(from_prompts(kept)))
    return filled.from_sheet(kept, sheet, all_questions(kept))


def _stale(one: Given) -> dict[str, Any]:
    return {"row": one.place.row, "id": one.key, "answer": one.text, "why": filled.STALE}


def _say_answered(rows: filled.Filled, old: Sequence[str], left: Sequence[Question]) -> None:
    """What became of each row of the sheet, and what still waits."""
    from costlearn.cli import screen

    before = len(rows.again)
    said = f", {before} given before" if before else ""
    screen.say(f"{say_count(len(rows.taken), 'answer')} kept and applied{said}.")
    if rows.stale:
        screen.say(f"{say_count(len(rows.stale), 'row')} not needed, {filled.STALE}:")
        for one in rows.stale:
            screen.say(f"  row {one.place.row}: '{one.text}' to '{one.key}'")
    if rows.wrong:
        many = say_count(len(rows.wrong), "row")
        screen.say(f"{many} not taken, named below; mend and give the sheet again.")
    if old:
        screen.say(
            f"Not reached, for they were imported before files were kept: {', '.join(old)}. Import "
            "them once more."
        )
    screen.say(one_line(left) or "Nothing waits for an answer.")


def all_questions(kept: Book) -> tuple[Question, ...]:
    """Every open question of a book once, those about jobs' names and purchases among them."""
    from costlearn.assembly import twin_questions
    from costlearn.intake.answers import merged
    from costlearn.intake.names import job_questions

    listed, others = kept.job_names()
    said = {one.question.key for one in kept.answers()}
    about_jobs = [
        one for one in job_questions([name for name, *_ in listed], others) if one.key not in said
    ]
    about_twins = twin_questions(kept.history().twins)
    return merged((*kept.questions(), *about_jobs, *about_twins))


def say_waiting(loose: int) -> str:
    """How cost lines that name no job get one."""
    from costlearn.assembly.jobs import GIVE_A_JOB

    return f"To give {'it its' if loose == 1 else 'them their'} job, {GIVE_A_JOB}."


def one_line(asked: Sequence[Question]) -> str:
    """How much waits, in one sentence; empty if nothing does."""
    if not asked:
        return ""
    rows = sum(one.rows_waiting for one in asked)
    many = len(asked) != 1
    return (
        f"{len(asked)} question{'s wait' if many else ' waits'} for you, about {rows:,} "
        f"row{'' if rows == 1 else 's'}; all else is on file. See {'them' if many else 'it'} with "
        "'costlearn questions', answer with 'costlearn answer'."
    )


def table(asked: Sequence[Question]) -> Table:
    """The questions, a row each."""
    from costlearn.questions.answer import Table

    rows = tuple(
        (f"{one.rows_waiting:,}", one.text, str(one.place), _few(one.choices)) for one in asked
    )
    note = "Answer in the terminal with 'costlearn answer', or on a sheet made with --write."
    return Table("What only you can say", ("rows", "question", "first met", "choices"), rows, note)


def _few(choices: Sequence[str]) -> str:
    """The first choices, and how many more there are."""
    more = len(choices) - SHOWN
    return "; ".join(choices[:SHOWN]) + (f"; and {more} more" if more > 0 else "")


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
    }


def from_prompts(kept: Book) -> list[Answered]:
    """Answers typed in, one question after the other; an empty line leaves one open."""
    from costlearn.book.kept import Answered
    from costlearn.cli import screen

    asked = all_questions(kept)
    found: list[Answered] = []
    if asked:
        screen.say(f"Enter leaves a question open, '{STOP}' ends. A number takes that choice.")
    for number, one in enumerate(asked, 1):
        said = _prompt(kept, one, f"{number} of {len(asked)}")
        if said is None:
            break
        if said:
            found.append(Answered(one, said))
    return found


def _prompt(kept: Book, one: Question, count: str) -> str | None:
    """One answer in its settled form, empty to leave it open, None to stop."""
    from costlearn.cli import screen

    rows = say_count(one.rows_waiting, "row")
    screen.say(f"\n{count}: {one.text} ({rows}, first {one.place})")
    for number, choice in enumerate(one.choices, 1):
        screen.say(f"  {number}  {choice}")
    while True:
        try:
            text = str(typer.prompt("answer", default="", show_default=False)).strip()
        except typer.Abort:
            return None
        if not text or text == STOP:
            return None if text else ""
        if text.isdigit() and one.topic != "crew" and 1 <= int(text) <= len(one.choices):
            text = one.choices[int(text) - 1].partition(" (")[0]
        try:
            return filled.settled(kept, one, text, Place())
        except InputProblem as problem:
            screen.say(str(problem))


def waiting_data(asked: Iterable[Question]) -> dict[str, int]:
    """How much waits, as plain data."""
    listed = list(asked)
    return {"questions": len(listed), "rows": sum(one.rows_waiting for one in listed)}
