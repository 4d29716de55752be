"""The files a book keeps, read anew by the answers and settings known now."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from costlearn.book.kept import Answered, Source
    from costlearn.book.store import Book
    from costlearn.firm import Firm
    from costlearn.intake.answers import Answers
    from costlearn.records import Batch

READ_BY = (
    "currency",
    "hours_per_day",
    "date_order",
    "area_unit",
    "tax_recoverable",
    "phase_words",
    "owner",
    "people",
    "day_rates",
    "working_days",
    "holidays",
)
"""The settings that change what a file says."""


def apply(kept: Book, given: Sequence[Answered]) -> list[str]:
    """Keep answers and read the files they concern anew; the files that were not kept are named."""
    anew, old = read_anew(kept, given)
    if given:
        kept.answer(given, anew)
        for batch in anew.values():
            take_currency(kept, batch)
    return old


def take_currency(kept: Book, batch: Batch) -> None:
    """Take the one currency that lists of jobs name for the firm's: bare amounts are in it too."""
    firm = kept.firm()
    if batch.currency and batch.currency != firm.currency:
        set_firm(kept, replace(firm, currency=batch.currency))


def read_anew(kept: Book, given: Sequence[Answered]) -> tuple[dict[str, Batch], list[str]]:
    """What the files that answers concern give by them, and the names of files not kept."""
    if not given:
        return {}, []
    said = {one.question.key for one in kept.answers()}
    # A word first answered concerns the files that ask; anything else may concern any file.
    narrow = all(one.question.topic != "job" and one.question.key not in said for one in given)
    told = answers_of(kept, {one.question.key: one.said for one in given})
    wanted = kept.asking({one.question.key for one in given}) if narrow else None
    firm, names = kept.firm(), names_of(kept)
    anew: dict[str, Batch] = {}
    old: list[str] = []
    for name, source in kept.sources(wanted):
        if source is None:
            old.append(name)
        else:
            anew[name] = read_source(source, firm, told, names)
    return anew, old


def set_firm(kept: Book, firm: Firm) -> None:
    """Keep a firm's settings; where they change how files are read, all files are read anew."""
    before = kept.firm()
    anew: dict[str, Batch] = {}
    if any(getattr(before, name) != getattr(firm, name) for name in READ_BY):
        told, names = answers_of(kept), names_of(kept)
        anew = {
            name: read_source(source, firm, told, names)
            for name, source in kept.sources()
            if source is not None
        }
    kept.set_firm(firm)
    if anew:
        kept.answer([], anew)


def names_of(kept: Book) -> list[str]:
    """The names of the jobs on the lists of jobs: a title that is one of them names its job."""
    return [name for name, *_ in kept.job_names()[0]]


def read_source(
    source: Source, firm: Firm, told: Answers, known_jobs: Collection[str] = ()
) -> Batch:
    """What a file that the book keeps says, by all answers and names of jobs known now."""
    import tempfile

    from costlearn.intake.columns import map_from
    from costlearn.intake.reader import read_file

    chart = map_from(tomllib.loads(source.map_text), source.map_name) if source.map_text else None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / source.file
        path.write_bytes(source.data)
        return read_file(path, firm, column_map=chart, answers=told, known_jobs=known_jobs)


def answers_of(kept: Book, more: Mapping[str, str] | None = None) -> Answers:
    """The answers a book holds, as the readers take them; ``more`` go before, blanks take back."""
    from costlearn.intake.answers import Answers

    said = {one.question.key: one.said for one in kept.answers()} | dict(more or {})
    return Answers({key: text for key, text in said.items() if text})


def source_of(path: Path, map_path: Path | None) -> Source:
    """A file as the book keeps it, with the column map it is read by."""
    from costlearn.book.kept import Source

    text = map_path.read_text("utf-8") if map_path else ""
    return Source(path.name, path.read_bytes(), map_path.name if map_path else "", text)
