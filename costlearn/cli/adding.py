"""The command ``add``: one line typed by hand, what it was taken for, and what it leaves open."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import answering, sources, waiting
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place
from costlearn.units import say_area, say_count, say_days

if TYPE_CHECKING:
    from costlearn.book.store import Book
    from costlearn.firm import Firm
    from costlearn.intake.typed import Typed
    from costlearn.records import JobEntry, Question

EXAMPLE = "Fir Lane ensuite, 76 sq ft, niche, 25 days 2 men, 33-35k all in, finished 12 Feb 2026"
OPEN = 1
"""The exit code where the line is kept and something about it waits for an answer."""


def add(
    line: Annotated[
        str | None, typer.Argument(help="A job in one line, its name first, commas between.")
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="List the lines typed so far.")] = False,
    remove: Annotated[
        int | None, typer.Option("--remove", help="Take a line back, by its number in the list.")
    ] = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
) -> None:
    """Put a job on file from one line: name, size, work, days and people, cost, when it finished.

    What the line leaves open is asked; away from a terminal it waits, and the exit code is then 1.

    Raises:
        InputProblem: no job can be made of the line, or two things are asked for at once.
        typer.Exit: with code 1 if something about the line waits.
    """
    if sum((line is not None, listed, remove is not None)) > 1:
        raise InputProblem("a line, --list and --remove stand alone", expected="one of them")
    if listed:
        _list(book, as_json)
        return
    if remove is not None:
        _take_back(book, remove, as_json)
        return
    text = line if line is not None else _typed_in(as_json)
    with opt.open_book(book, create=True) as kept:
        _refuse_unreadable(kept, text)
        one, fresh = _keep(kept, text)
        if not as_json:
            _show(kept, one, fresh)
            if _on_terminal():
                _ask(kept, one)
        left = _open_questions(kept, one.number)
        if as_json:
            _print(kept, one, fresh, left)
        elif left:
            _say_open(left, kept.firm().currency, book)
    if left:
        raise typer.Exit(OPEN)


def _on_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _typed_in(as_json: bool) -> str:
    """A line asked for on the terminal.

    Raises:
        InputProblem: nobody is there to type one.
    """
    expected = f'a line such as "{EXAMPLE}"'
    if as_json or not _on_terminal():
        raise InputProblem("no line is given", expected=expected)
    from costlearn.cli import screen

    screen.say(f"One job in one line, such as: {EXAMPLE}")
    try:
        return str(typer.prompt("job", default="", show_default=False))
    except typer.Abort:
        raise InputProblem("no line is given", expected=expected) from None


def _refuse_unreadable(kept: Book, text: str) -> None:
    """Refuse a line that no job can be made of, before it is kept.

    Raises:
        InputProblem: it begins with no name, says nothing else, or is too long.
    """
    from costlearn.intake.line import LONGEST_LINE, part_line
    from costlearn.vocabulary import standard

    firm = kept.firm()
    expected = f'a name, then what is known, such as "{EXAMPLE}"'
    place = Place("the line")
    if len(text) > LONGEST_LINE:
        raise InputProblem(
            f"found {len(text):,} letters", place=place, expected=f"at most {LONGEST_LINE:,}"
        )
    words = sources.answers_of(kept).extend(standard().with_phases(firm.phase_words))
    parted = part_line(text, words, firm)
    if not parted.name:
        raise InputProblem("no name of a job stands first", place=place, expected=expected)
    if not (parted.cells or parted.open or parted.scope):
        raise InputProblem("nothing in it says what the job was", place=place, expected=expected)


def _lines(kept: Book) -> tuple[Typed, ...]:
    from costlearn.intake.typed import NAME, known_lines

    source = next((source for _, source in kept.sources({NAME})), None)
    return known_lines(source.data if source else None)


def _store(kept: Book, lines: tuple[Typed, ...]) -> None:
    """Keep the lines as one file of the book, read by all that is known now."""
    from costlearn.book.kept import Source
    from costlearn.intake.typed import NAME, as_table

    source, firm = Source(NAME, as_table(lines)), kept.firm()
    batch = sources.read_source(source, firm, sources.answers_of(kept))
    kept.add(batch, None, source)
    sources.take_currency(kept, batch)


def _keep(kept: Book, text: str) -> tuple[Typed, bool]:
    """Keep a line; whether it is a new one."""
    from costlearn.intake.typed import with_line

    before = _lines(kept)
    lines, one = with_line(before, text, date.today())
    if lines != before:
        _store(kept, lines)
    return one, lines != before


def _entry(kept: Book, number: int) -> JobEntry | None:
    """What a line gave, or None while its amount waits."""
    from costlearn.intake.typed import NAME
    from costlearn.records import JobEntry

    return next(
        (
            entry
            for entry in kept.entries()
            if isinstance(entry, JobEntry) and (entry.place.file, entry.place.row) == (NAME, number)
        ),
        None,
    )


def _open_questions(kept: Book, number: int) -> list[Question]:
    """What a line leaves open, what holds up money first."""
    from costlearn.intake.answers import merged
    from costlearn.intake.typed import NAME

    return [
        one for one in merged(kept.questions()) if (one.place.file, one.place.row) == (NAME, number)
    ]


def _ask(kept: Book, one: Typed) -> None:
    """Ask what the line leaves open, one after the other; each answer counts for the next."""
    from costlearn.cli import screen
    from costlearn.intake.alike import Alike

    passed: set[str] = set()
    while left := [q for q in _open_questions(kept, one.number) if q.key not in passed]:
        if not passed:
            screen.say(f"Enter leaves a question open, '{answering.STOP}' ends.")
        passed.add(left[0].key)
        given = answering.prompt(kept, Alike(left[0], (left[0],)), len(passed), ())
        if given is None:
            break
        sources.apply(kept, given)
    if passed:
        _show(kept, one, fresh=True)


def _show(kept: Book, one: Typed, fresh: bool) -> None:
    """What a line was taken for, a short line for each sort of thing."""
    from costlearn.cli import screen

    if not fresh:
        screen.say(f"This line is on file already, as line {one.number}; it is not added again.")
    entry = _entry(kept, one.number)
    if entry is None:
        screen.say(f"Line {one.number} is kept; its figures wait for an answer.")
        return
    screen.say(f"Line {one.number} on file: {entry.job}.")
    for text in took(entry, kept.firm()):
        screen.say(f"  {text}", 2)
    for text in _said_of(kept, one.number):
        screen.say(f"  {text}", 2)


def took(entry: JobEntry, firm: Firm) -> list[str]:
    """What one line says of a job, in at most five lines."""
    from costlearn.cli import listing
    from costlearn.vocabulary import standard

    lines = []
    what = [entry.kind or "kind not known", entry.state or "not said whether finished"]
    if entry.area_sqft is not None:
        what.insert(1, say_area(entry.area_sqft, firm.area_unit))
    dates = (("quoted", entry.quoted_on), ("started", entry.started), ("finished", entry.finished))
    what += [f"{word} {day.day} {day:%b %Y}" for word, day in dates if day]
    what += [f"house of {entry.house_year}"] if entry.house_year else []
    lines.append(", ".join(what))
    for side, amounts in (("", entry.actual), ("planned ", entry.plan)):
        parts = []
        if amounts.cost is not None:
            figure = "plan.cost" if side else "actual.cost"
            cost = listing.rough_money(amounts.cost, entry.rough.get(figure), firm.currency)
            parts.append(f"{side}cost {cost}")
        if amounts.site_days is not None:
            parts.append(f"{side}{say_days(amounts.site_days)} on site")
        if amounts.crew is not None:
            parts.append(f"{amounts.crew:g} on site a day")
        if amounts.person_days is not None:
            parts.append(f"{amounts.person_days:g} person-days")
        if parts:
            lines.append(", ".join(parts))
    money = (("price", entry.price), ("paid", entry.paid))
    paid = [
        f"{word} {listing.rough_money(cents, entry.rough.get(word), firm.currency)}"
        for word, cents in money
        if cents is not None
    ]
    if paid:
        lines.append(", ".join(paid))
    if entry.scope:
        names = standard()
        items = [_item(names.item(k).name, names.item(k).unit, v) for k, v in entry.scope.items()]
        lines.append(f"scope: {', '.join(items)}")
    if entry.notes:
        lines.append(f"note: {entry.notes}")
    return lines


def _item(name: str, unit: str, size: float | None) -> str:
    units = {"sqft": "sq ft", "lnft": "ft"}
    if size == 0:
        return f"no {name}"
    if unit in units:
        return f"{name} {size:g} {units[unit]}" if size not in (None, 1.0) else name
    return f"{size:g} {name}" if size not in (None, 1.0) else name


def _said_of(kept: Book, number: int) -> list[str]:
    """Pieces of a line that were not used, each with the reason."""
    from costlearn.intake.typed import NAME

    return [
        f"not used: {found.text}" + (f" ({found.raw})" if found.raw not in found.text else "")
        for found in kept.findings(NAME)
        if found.kind == "set aside" and found.place.row == number
    ]


def _say_open(left: list[Question], currency: str, book: Path) -> None:
    """The questions that were not answered here."""
    from costlearn.cli import screen
    from costlearn.intake.alike import Alike

    screen.say(f"{say_count(len(left), 'question')} about it:")
    for number, one in enumerate(left, 1):
        waiting.show(number, Alike(one, (one,)), currency)
    screen.say(f"Answer with: {opt.with_book('costlearn answer', book)}")


def _print(kept: Book, one: Typed, fresh: bool, left: list[Question]) -> None:
    from costlearn.cli import screen
    from costlearn.questions.answer import plain_data

    entry = _entry(kept, one.number)
    told: dict[str, Any] = {
        "line": one.number,
        "added": fresh,
        "job": None if entry is None else plain_data(entry),
        "not_used": _said_of(kept, one.number),
        "waiting": [waiting.plain(question) for question in left],
    }
    screen.print_json(told)


def _list(book: Path, as_json: bool) -> None:
    from costlearn.cli import screen
    from costlearn.questions.answer import Table

    with opt.open_book(book) as kept:
        lines = [one for one in _lines(kept) if not one.back]
    if as_json:
        screen.print_json([{"line": o.number, "typed_on": o.day, "text": o.text} for o in lines])
        return
    rows = tuple((str(one.number), one.day, one.text) for one in lines)
    if not rows:
        screen.say("No line was typed so far.")
        return
    note = "Take one back with: costlearn add --remove NUMBER"
    screen.show_table(Table("Typed by hand", ("line", "typed on", "text"), rows, note))


def _take_back(book: Path, number: int, as_json: bool) -> None:
    from costlearn.cli import keep, screen
    from costlearn.intake.typed import without_line

    with opt.open_book(book) as kept:
        before = _lines(kept)
        lines = without_line(before, number)
        _store(kept, lines)
        history = kept.history()
    text = next(one.text for one in before if one.number == number)
    if as_json:
        screen.print_json({"line": number, "removed": text})
        return
    screen.say(f"Line {number} is taken back: {text}")
    keep.say_on_file(history)
