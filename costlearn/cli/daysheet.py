"""The day sheet for the phone: the page with the firm's own choices, and the way of its exports."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import options as opt

if TYPE_CHECKING:
    from costlearn.book.kept import Source
    from costlearn.book.store import Book
    from costlearn.intake.answers import Answers
    from costlearn.records import Batch

DEFAULT_PAGE = Path("daysheet.html")
HINT = (
    "Put it on the phone and open it there in a browser; keep its name and place, so that the "
    "browser finds what was written down. Export there, then: costlearn import THE-EXPORT.csv"
)


def daysheet(
    to: Annotated[
        Path, typer.Option("--to", help="The page to make, for the phone.")
    ] = DEFAULT_PAGE,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    replace: opt.Replace = False,
    as_json: opt.AsJson = False,
) -> None:
    """Make the day sheet: one page for the phone that writes down hours, receipts and extras.

    If there is a job book, its running jobs, phases and crew stand there to be chosen. What is
    written down stays on the phone until it is exported as a file for 'costlearn import'.
    """
    from costlearn.cli import screen
    from costlearn.pages.daysheet import choices_from, daysheet_html
    from costlearn.pages.write import write_file
    from costlearn.records import History

    opt.refuse_taken(to, replace=replace)
    choices = choices_from(History(), ())
    if book != opt.DEFAULT_BOOK or book.exists():
        with opt.open_book(book) as kept:
            choices = choices_from(kept.history(), kept.entries())
    write_file(daysheet_html(choices), to)
    screen.made(to, as_json=as_json, hint=HINT)


@dataclass(frozen=True)
class Whole:
    """All exports of day sheets as one file of the book, and what the last one brought."""

    batch: Batch
    source: Source
    sentence: str


def put_together(kept: Book, path: Path, batch: Batch, answers: Answers) -> Whole | None:
    """An export of the day sheet put together with those on file; None for any other file.

    Args:
        kept: the book.
        path: the file.
        batch: what it says when read alone.
        answers: what a person said to questions of earlier readings.

    Raises:
        UnreadableFile: the file can no longer be read.
    """
    import tempfile

    from costlearn.book.kept import Source
    from costlearn.cli.sources import read_source
    from costlearn.intake.day_sheet import NAME, earlier_records, gather

    if batch.file != NAME:
        return None
    with tempfile.TemporaryDirectory() as folder:
        earlier = next((source for _, source in kept.sources({NAME})), None)
        records = earlier_records(earlier.data, Path(folder)) if earlier else ()
    found = gather(path, records)
    source = Source(NAME, found.data)
    return Whole(read_source(source, kept.firm(), answers), source, found.sentence)
