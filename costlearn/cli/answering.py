"""The command that takes answers: typed in or from a sheet; lists, changes and hands them on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace as changed
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import effects, filled, sources, waiting
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place
from costlearn.units import say_count

if TYPE_CHECKING:
    from costlearn.book.kept import Answered
    from costlearn.book.store import Book
    from costlearn.intake.alike import Alike
    from costlearn.intake.answer_sheet import Given
    from costlearn.records import Question

STOP = "stop"
NOT_ALL = 1
"""The exit code where rows of a sheet were no answers and the others were applied."""


def answer(
    sheet: Annotated[
        Path | None, typer.Argument(help="The answer sheet, filled in; without it you are asked.")
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="List the answers given so far.")] = False,
    again: Annotated[
        str | None,
        typer.Option("--again", help="Ask one again: its number in the list, or its id."),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option("--write", help="Write the answers given so far as a sheet (.csv)."),
    ] = None,
    replace: opt.Replace = False,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
) -> None:
    """Answer what waits: from the sheet you filled in, or here, one question after the other.

    Answers are kept in the book and applied to all files, those imported later too. A row that is
    no answer is named and keeps no other out; the exit code is then 1.
    """
    opt.one_alone(sheet=sheet, list=listed or None, again=again, write=write)
    with opt.open_book(book) as kept:
        if listed:
            _list(kept, as_json)
            return
        if write is not None:
            _write(kept, write, replace, as_json)
            return
        if sheet is not None:
            rows, old = _from_sheet(kept, sheet)
        else:
            asked = [_given_before(kept, again)] if again is not None else None
            rows = filled.Filled(tuple(from_prompts(kept, book, asked)))
            old = sources.apply(kept, rows.taken)
        left, currency = waiting.all_questions(kept), kept.firm().currency
    if as_json:
        _print(rows, old, left)
    else:
        _say_answered(rows, old, left, currency)
    for problem in rows.wrong:
        typer.echo(f"costlearn: {problem}", err=True)
    if rows.wrong:
        raise typer.Exit(NOT_ALL)


def _from_sheet(kept: Book, sheet: Path) -> tuple[filled.Filled, list[str]]:
    """Take and apply the answers of a sheet, those too whose question another row only raises."""
    rows = filled.from_sheet(kept, sheet, waiting.all_questions(kept))
    old = sources.apply(kept, rows.taken)
    fresh = rows.taken
    while fresh and rows.stale:
        more = filled.from_sheet(kept, sheet, waiting.all_questions(kept))
        done = {one.question.key for one in rows.taken}
        fresh = tuple(one for one in more.taken if one.question.key not in done)
        old += [name for name in sources.apply(kept, fresh) if name not in old]
        rows = changed(
            rows, taken=(*rows.taken, *fresh), stale=more.stale if fresh else rows.stale,
            wrong=more.wrong,
        )  # fmt: skip
    return rows, old


def _list(kept: Book, as_json: bool) -> None:
    """The answers given so far, numbered."""
    from costlearn.cli import screen
    from costlearn.intake.answer_sheet import as_written
    from costlearn.questions.answer import Table

    given = [(one.question, as_written(one.question, one.said)) for one in kept.answers()]
    if as_json:
        told = [{"id": q.key, "question": q.text, "answer": said} for q, said in given]
        screen.print_json(told)
        return
    rows = tuple((str(n), q.text, said, q.key) for n, (q, said) in enumerate(given, 1))
    note = "Change one or take it back with: costlearn answer --again NUMBER"
    table = Table("Answers given", ("no.", "question", "answer", "id"), rows, note)
    screen.show_table(table if rows else Table("", (), (), "No answer has been given."))


def _write(kept: Book, sheet: Path, replace: bool, as_json: bool) -> None:
    """Write the answers given so far as a sheet that another book takes."""
    from costlearn.book.export import write_whole
    from costlearn.cli import screen
    from costlearn.intake.answer_sheet import sheet_row, write_sheet

    waiting.check_name(sheet)
    opt.refuse_taken(sheet, replace=replace)
    given = kept.answers()
    write_whole(sheet, write_sheet(sheet_row(a.question, a.said, a.insisted) for a in given))
    hint = f"In another book, once its files are imported: costlearn answer {sheet}"
    screen.made(sheet, as_json=as_json, hint=hint)


def _given_before(kept: Book, said: str) -> Question:
    """The question answered before that a number of the list or an id means.

    Raises:
        InputProblem: there is none.
    """
    given = kept.answers()
    chosen = [one for one in given if one.question.key.casefold() == said.casefold()]
    if not chosen and said.isdigit() and 1 <= int(said) <= len(given):
        chosen = [given[int(said) - 1]]
    if not chosen:
        raise InputProblem(
            f"'{said}' is the number or id of no answer",
            expected=f"a number from 1 to {len(given)}" if given else "",
            hint="see them with 'costlearn answer --list'" if given else "none was given so far",
        )
    from costlearn.intake.answer_sheet import as_written
    from costlearn.intake.answers import AGAIN

    one = chosen[0]
    text = f"{one.question.text} Your answer: {as_written(one.question, one.said)}."
    choices = (*one.question.choices, f"{AGAIN} (take it back and leave it open)")
    return changed(one.question, text=text, choices=choices)


def _print(rows: filled.Filled, old: Sequence[str], left: Sequence[Question]) -> None:
    from costlearn.cli import screen

    screen.print_json(
        {
            "answers": {one.question.key: one.said for one in rows.taken},
            "given_before": [one.key for one in rows.again],
            "stale": [_stale(one) for one in rows.stale],
            "wrong": [str(problem) for problem in rows.wrong],
            "not_read_anew": old,
            "waiting": [waiting.plain(one) for one in left],
        }
    )


def _stale(one: Given) -> dict[str, Any]:
    return {"row": one.place.row, "id": one.key, "answer": one.text, "why": filled.STALE}


def _say_answered(
    rows: filled.Filled, old: Sequence[str], left: Sequence[Question], currency: str
) -> None:
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
    screen.say(waiting.one_line(left, currency) or "Nothing waits for an answer.")


def from_prompts(kept: Book, book: Path, again: Sequence[Question] | None = None) -> list[Answered]:
    """Answers typed in, one question after the other; an empty line leaves one as it is.

    Args:
        kept: the book.
        book: its path, for what to type for the questions that are not shown.
        again: questions answered before that are asked again, in the place of those that wait.
    """
    from costlearn.cli import screen
    from costlearn.intake.alike import together

    open_now = again if again is not None else waiting.all_questions(kept)
    all_asked = together(open_now)
    asked = all_asked[: waiting.MOST_SHOWN]
    found: list[Answered] = []
    if asked:
        leaves = "keeps your answer" if again else "leaves a question open"
        screen.say(f"Enter {leaves}, '{STOP}' ends. A number takes that choice.")
    for number, one in enumerate(asked, 1):
        said = prompt(kept, one, number, found)
        if said is None:
            break
        found += said
    waiting.say_more(len(all_asked) - len(asked), book)
    return found


def prompt(
    kept: Book, asked: Alike, number: int, before: Sequence[Answered]
) -> list[Answered] | None:
    """Answers in their settled form, none to leave them open, None to stop."""
    from costlearn.book.kept import Answered
    from costlearn.cli import screen
    from costlearn.intake.alike import EACH

    one, several = asked.question, len(asked.parts) > 1
    screen.say("")
    waiting.show(number, asked, kept.firm().currency, choices=False)
    for place, choice in enumerate(one.choices, 1):
        screen.say(f"  {place}  {choice}")
    while True:
        text = _typed(one)
        if not text:
            return None if text is None else []
        if several and text.casefold() == EACH:
            return _each(kept, asked.parts, before)
        try:
            given = [
                Answered(part, filled.settled(kept, part, asked.answered(part, text), Place()))
                for part in asked.parts
            ]
        except InputProblem as problem:
            screen.say(str(problem))
            continue
        absurd = effects.consequence(kept, given, before)
        if absurd is None:
            return given
        screen.say(absurd)
        if _kept_all_the_same():
            return [changed(answer, insisted=True) for answer in given]


def _typed(one: Question) -> str | None:
    """What a person typed, a choice taken by its number in full; None to stop."""
    try:
        text = str(typer.prompt("answer", default="", show_default=False)).strip()
    except typer.Abort:
        return None
    if text.isdigit() and one.topic != "crew" and 1 <= int(text) <= len(one.choices):
        return one.choices[int(text) - 1].partition(" (")[0]
    return None if text == STOP else text


def _each(
    kept: Book, parts: Sequence[Question], before: Sequence[Answered]
) -> list[Answered] | None:
    """The answers to questions that were put as one, one after the other."""
    from costlearn.intake.alike import Alike

    found: list[Answered] = []
    for number, part in enumerate(parts, 1):
        said = prompt(kept, Alike(part, (part,)), number, [*before, *found])
        if said is None:
            break
        found += said
    return found


def _kept_all_the_same() -> bool:
    try:
        return str(typer.prompt("Keep it? (yes/no)", default="no")).strip().casefold() in (
            "y",
            "yes",
        )
    except typer.Abort:
        return False
