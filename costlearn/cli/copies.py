"""What goes out of the book for a spreadsheet: tidy copies, and the empty workbook to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from costlearn.cli import options as opt
from costlearn.errors import InputProblem


def write_copy(book: Path, to: Path, *, replace: bool) -> tuple[Path, ...]:
    """Write tidy copies of all that is in the book.

    Raises:
        InputProblem: there is no book, or the copy cannot stand there.
    """
    from costlearn.book.export import export

    with opt.open_book(book) as kept:
        return export(kept.entries(), kept.firm(), to, replace=replace)


def say_copy(book: Path, to: Path, *, replace: bool, as_json: bool) -> None:
    """Write tidy copies and say where they are."""
    from costlearn.cli import screen

    made = write_copy(book, to, replace=replace)
    if as_json:
        screen.print_json({"written": [str(path) for path in made]})
        return
    for path in made:
        screen.made(path)


def template(
    out: Annotated[Path, typer.Argument(help="The workbook to make, ending in .xlsx.")],
    book: opt.BookPath = opt.DEFAULT_BOOK,
    replace: opt.Replace = False,
    as_json: opt.AsJson = False,
) -> None:
    """Make an empty workbook to keep your records in: jobs, scope, phases, hours, receipts.

    If there is a job book, its currency, area unit and own phases are used.
    """
    from costlearn.book.export import write_whole
    from costlearn.book.template import template as make
    from costlearn.cli import screen
    from costlearn.firm import Firm

    _check_name(out)
    opt.refuse_taken(out, replace=replace)
    firm = Firm()
    if book.exists():
        with opt.open_book(book) as kept:
            firm = kept.firm()
    write_whole(out, make(firm))
    hint = "Fill in what you know and leave the rest blank; then: costlearn import " + out.name
    screen.made(out, as_json=as_json, hint=hint)


def _check_name(out: Path) -> None:
    """Refuse a name that is no workbook's.

    Raises:
        InputProblem: it does not end in .xlsx.
    """
    if out.suffix.casefold() != ".xlsx":
        raise InputProblem(f"found '{out.name}'", expected="a name ending in .xlsx")
