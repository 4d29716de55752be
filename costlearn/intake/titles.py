"""The job a table belongs to where no column says so: its titles, its sheet's name, its file's."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from costlearn.intake.on_top import borne_out, names_room, says_no_name, told_words
from costlearn.intake.row import key_of
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.values.cells import Raw

_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_DAY_IN_FIGURES = re.compile(r"\d{1,2} ?([/.-]) ?\d{1,2}")


_COPIES = frozenset(("copy", "copie", "final", "old", "new", "v", "rev", "draft"))
"""Words of a file's name that tell which state of it this is."""


@dataclass(frozen=True, slots=True)
class Named:
    """The name of a table's job, and whether its sheet says in words that it is the job's."""

    name: str
    sure: bool


def labelled_job(table: Table) -> str:
    """The job the lines above a table name ("Job: Maple hall bath"), or an empty text."""
    return table.job or table.grid.job


def job_of(table: Table) -> Named:
    """The job of a table without a column for it.

    A labelled title comes first; on a sheet with several tables the title of each; else the
    sheet's name, or the file's where the sheet's says nothing.
    """
    labelled = labelled_job(table)
    if labelled:
        return Named(labelled, sure=True)
    title = _own_title(table)
    if title:
        return Named(title, sure=False)
    sheet = table.grid.sheet.strip()
    whole = says_no_name(sheet)
    return Named(PurePath(table.grid.file).stem if whole else sheet, sure=False)


def other_name_of_file(table: Table, job: str) -> str:
    """The name of a table's file where it speaks of something else than its job, else ""."""
    stem = PurePath(table.grid.file).stem
    other = set(told_words(stem)) - set(told_words(job)) - _COPIES
    return stem if other and not says_no_name(stem) else ""


def of_one_job(tables: Sequence[Table | None]) -> list[Table | None]:
    """The tables of a workbook with its one job's name for those that name none.

    It is a workbook of one job if the titles of its sheets name one only, and the file is called
    like it.
    """
    filled = [table for table in tables if table is not None]
    named = {key_of(table.job): table.job for table in filled if table.job}
    stem = PurePath(filled[0].grid.file).stem if filled else ""
    if len(named) != 1 or any(map(_has_job, filled)):
        return list(tables)
    (job,) = named.values()
    if not borne_out(job, (stem,), ()):
        return list(tables)
    return [
        replace(table, job=job)
        if table is not None and not table.job and not names_room(table.grid.sheet)
        else table
        for table in tables
    ]


def _has_job(table: Table) -> bool:
    return table.kind in ("jobs", "statement") or table.column("job") is not None


def year_around(table: Table) -> int | None:
    """The one year that the titles, the sheet's name and the file's speak of; None for several."""
    around = (*table.titles, table.grid.sheet, PurePath(table.grid.file).stem)
    years = {int(y) for text in around for y in _YEAR.findall(text)}
    return years.pop() if len(years) == 1 else None


def with_year(raw: Raw, year: int | None) -> Raw:
    """A day in figures without a year ("2/14"), with one put behind it; any other cell as it is.

    >>> with_year("2/14", 2026), with_year("3-Mar", 2026), with_year("2/14", None)
    ('2/14/2026', '3-Mar', '2/14')
    """
    if year is None or not isinstance(raw, str):
        return raw
    match = _DAY_IN_FIGURES.fullmatch(raw.strip())
    return f"{raw}{match[1]}{year}".replace(" ", "") if match else raw


def _own_title(table: Table) -> str:
    """The title right above a table that shares its sheet with others."""
    if not table.grid.block:
        return ""
    for row in reversed(table.grid.rows[: table.header]):
        texts = [cell_text(raw) for raw in row if raw is not None and raw != ""]
        if len(texts) == 1 and not says_no_name(texts[0]):
            return texts[0]
        if texts:
            return ""
    return ""
