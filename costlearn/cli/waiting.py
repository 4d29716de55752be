"""What waits for a person: the questions of all files, the answer sheet, and the answers."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import filled
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place
from costlearn.units import say_count

if TYPE_CHECKING:
    from costlearn.book.kept import Answered, Source
    from costlearn.book.store import Book
    from costlearn.firm import Firm
    from costlearn.intake.answer_sheet import Given
    from costlearn.intake.answers import Answers
    from costlearn.questions.answer import Table
    from costlearn.records import Batch, Question

STOP = "stop"
NOT_ALL = 1
"""The exit code where rows of a sheet were no answers and the others were applied."""
SHOWN = 5
READ_BY = (
    "currency",
    "hours_per_day",
    "date_order",
    "area_unit",
    "tax_recoverable",
    "phase_words",
    "working_days",
    "holidays",
)
"""The settings that change what a file says."""


def questions(
    book: opt.BookPath = opt.DEFAULT_BOOK,
    write: Annotated[
        Path | None, typer.Option("--write", help="Write them as a sheet to fill in (.csv).")
    ] = None,
    replace: opt.Replace = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show what only you can say about your records, the most rows waiting first."""
    from costlearn.cli import screen

    with opt.open_book(book) as kept:
        asked = all_questions(kept)
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
        old = apply(kept, rows.taken)
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
    """Every open question of a book once, those about names of jobs among them."""
    from costlearn.intake.answers import merged
    from costlearn.intake.names import job_questions

    listed, others = kept.job_names()
    said = {one.question.key for one in kept.answers()}
    about_jobs = [
        one for one in job_questions([name for name, *_ in listed], others) if one.key not in said
    ]
    return merged((*kept.questions(), *about_jobs))


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


def apply(kept: Book, given: Sequence[Answered]) -> list[str]:
    """Keep answers and read the files they concern anew; the files that were not kept are named."""
    from costlearn.intake.answers import Answers

    if not given:
        return []
    said = {one.question.key: one.said for one in kept.answers()}
    # A word first answered concerns the files that ask; anything else may concern any file.
    narrow = all(one.question.topic != "job" and one.question.key not in said for one in given)
    said |= {one.question.key: one.said for one in given}
    told = Answers({key: text for key, text in said.items() if text})
    wanted = kept.asking({one.question.key for one in given}) if narrow else None
    firm = kept.firm()
    anew: dict[str, Batch] = {}
    old: list[str] = []
    for name, source in kept.sources(wanted):
        if source is None:
            old.append(name)
        else:
            anew[name] = read_source(source, firm, told)
    kept.answer(given, anew)
    return old


def set_firm(kept: Book, firm: Firm) -> None:
    """Keep a firm's settings; where they change how files are read, all files are read anew."""
    before = kept.firm()
    anew: dict[str, Batch] = {}
    if any(getattr(before, name) != getattr(firm, name) for name in READ_BY):
        told = answers_of(kept)
        anew = {
            name: read_source(source, firm, told)
            for name, source in kept.sources()
            if source is not None
        }
    kept.set_firm(firm)
    if anew:
        kept.answer([], anew)


def read_source(source: Source, firm: Firm, told: Answers) -> Batch:
    """What a file that the book keeps says, by all answers known now."""
    import tempfile

    from costlearn.intake.columns import map_from
    from costlearn.intake.reader import read_file

    chart = map_from(tomllib.loads(source.map_text), source.map_name) if source.map_text else None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / source.file
        path.write_bytes(source.data)
        return read_file(path, firm, column_map=chart, answers=told)


def answers_of(kept: Book) -> Answers:
    """The answers a book holds, as the readers take them."""
    from costlearn.intake.answers import Answers

    return Answers({one.question.key: one.said for one in kept.answers()})


def source_of(path: Path, map_path: Path | None) -> Source:
    """A file as the book keeps it, with the column map it is read by."""
    from costlearn.book.kept import Source

    text = map_path.read_text("utf-8") if map_path else ""
    return Source(path.name, path.read_bytes(), map_path.name if map_path else "", text)


def waiting_data(asked: Iterable[Question]) -> dict[str, int]:
    """How much waits, as plain data."""
    listed = list(asked)
    return {"questions": len(listed), "rows": sum(one.rows_waiting for one in listed)}
