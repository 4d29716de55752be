"""The job a table belongs to where no column says so: its titles, its sheet's name, its file's."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import PurePath

from costlearn.intake.row import key_of
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import Raw
from costlearn.vocabulary import fold, standard

_LABEL = re.compile(r"\s*(?P<label>[^:=]{2,20}?)\s*[:=]\s*(?P<name>.*\S)?\s*")
_BILLS_OF = re.compile(
    r"(?:bills|receipts|costs|expenses|purchases|factures|achats) (?:for|of|pour|de) (?P<name>.+)",
    re.IGNORECASE,
)
_MONTHS = (
    "jan|janv|janvier|january|feb|fev|fevr|february|fevrier|mar|mars|march|apr|avr|april|avril"
    "|may|mai|jun|juin|june|jul|juil|july|juillet|aug|aou|aout|august|sep|sept|september|septembre|oct"
    "|october|octobre|nov|november|novembre|dec|december|decembre"
)
_NO_NAME = re.compile(
    rf"(?:sheet|feuil|feuille|tab|page|table)? ?\d*|data|(?:{_MONTHS})(?: \d+)*|\d+ (?:{_MONTHS})"
    r"|20\d\d(?: \d+)?|(?:week|wk|semaine)(?: .*)?"
)
"""Folded names of sheets and titles that tell when, or nothing."""
_PARTS = re.compile(
    r"\s+[-–—|]\s+|\s*:\s+|\bfor\b|\bpour\b|\b(?:week|wk|semaine)\b.*$", re.IGNORECASE
)
_ROOMS = standard().job_words
_KINDS_OF_ROOM = frozenset(("bathroom", "laundry", "kitchen"))
_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_DAY_IN_FIGURES = re.compile(r"\d{1,2} ?([/.-]) ?\d{1,2}")
_WHAT = frozenset(
    ("actual", "actuals", "plan", "planned", "phases", "phase", "hours", "hour", "heures",
     "costs", "cost", "couts", "receipts", "receipt", "recus", "bills", "bill", "factures",
     "changes", "change", "orders", "order", "extras", "extra", "avenants", "log", "logs",
     "list", "liste", "lists", "jobs", "job", "summary", "sommaire", "sheet", "time",
     "timesheet", "timesheets", "labour", "labor", "material", "materials", "materiaux",
     "expenses", "depenses", "budget", "quote", "and", "of", "the", "by", "et", "des", "du",
     "de", "for", "breakdown", "tracking", "record", "records", "printed", "imprime", "spending",
     "purchases", "achats", "bank", "card", "statement", "total", "totals")
)  # fmt: skip
"""Words of titles that tell what a table is, not whose."""


QUOTE_WORDS = frozenset(
    ("quote", "quotes", "quotation", "estimate", "proposal", "bid", "soumission", "devis")
)
_QUOTED = "|".join(QUOTE_WORDS)
_BEFORE_NAME = re.compile(
    rf"^(?:(?:{_QUOTED})\b[\s:–-]*|(?:for|of|pour|no\.?|number|#)?\s*(?:the\b|#?\d+\b)?\s*)*",
    re.IGNORECASE,
)
_BEHIND_NAME = re.compile(rf"(?:[\s,–-]*\b(?:{_QUOTED})\b[\s\d]*)+$", re.IGNORECASE)
_LONGEST_NAME = 8
"""Words of a job's name; a longer title is a remark."""


@dataclass(frozen=True, slots=True)
class Named:
    """The name of a table's job, and whether its sheet says in words that it is the job's."""

    name: str
    sure: bool


def labelled_job(table: Table) -> str:
    """The job a line above a table names in words ("Job: Maple hall bath"), or an empty text."""
    return labelled(table.grid.rows[: table.header]) or table.grid.job


def labelled(rows: Sequence[Sequence[Raw]]) -> str:
    """The job the last of some lines that names one in words names, or an empty text."""
    for row in reversed(rows):
        filled = [raw for raw in row if raw is not None and raw != ""]
        texts = [cell_text(raw) for raw in filled]
        if len(texts) >= 2 and _is_job_word(texts[0].rstrip(" :=")) and _is_text(filled[1]):
            return texts[1]
        match = _LABEL.fullmatch(texts[0]) if len(texts) == 1 else None
        if match and match["name"] and _is_job_word(match["label"]):
            return match["name"]
        bills = _BILLS_OF.fullmatch(texts[0]) if len(texts) == 1 else None
        if bills and set(fold(bills["name"]).split()) & set(standard().job_words):
            return bills["name"]
    return ""


def job_of(table: Table) -> Named:
    """The job of a table without a column for it.

    A labelled title comes first; on a sheet with several tables the title of each; else the
    sheet's name, or the file's where the sheet's says nothing.
    """
    labelled = labelled_job(table)
    if labelled:
        return Named(labelled, sure=True)
    for said in reversed(table.titles):
        room = room_in(said)
        if room:
            return Named(room, sure=True)
    title = _own_title(table)
    if title:
        return Named(title, sure=False)
    sheet = table.grid.sheet.strip()
    whole = says_no_name(sheet)
    return Named(PurePath(table.grid.file).stem if whole else sheet, sure=False)


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
    match = _DAY_IN_FIGURES.fullmatch(raw.strip()) if isinstance(raw, str) else None
    return f"{raw}{match[1]}{year}".replace(" ", "") if match and year is not None else raw


def says_no_name(text: str) -> bool:
    """Whether a sheet's name or a title tells when or what, and not whose.

    >>> says_no_name("Mars 2025"), says_no_name("Hours log"), says_no_name("Maple bath")
    (True, True, False)
    """
    folded = fold(text)
    return bool(_NO_NAME.fullmatch(folded)) or all(
        word in _WHAT or word.isdigit() for word in folded.split()
    )


def room_in(title: str) -> str:
    """The part of a title that names one room beside other words, or an empty text.

    >>> room_in("Crew time - Orchard ensuite"), room_in("Bathrooms and kitchens 2024")
    ('Orchard ensuite', '')
    """
    found = [
        part.strip()
        for part in _PARTS.split(title)
        if (words := fold(part).split())
        and any(_ROOMS.get(word) in _KINDS_OF_ROOM for word in words)
        and any(word not in _ROOMS and word not in _WHAT and not word.isdigit() for word in words)
        and not any(word.endswith("s") and word[:-1] in _ROOMS for word in words)
    ]
    return found[0] if len(found) == 1 else ""


def names_room(name: str) -> bool:
    """Whether the name of a sheet or file speaks of a room: then it may be a job's."""
    return any(_ROOMS.get(word) in _KINDS_OF_ROOM for word in fold(name).split())


def named_on_top(rows: Sequence[Sequence[Raw]], known_jobs: Collection[str]) -> str:
    """The job that lines above a table name: a job on file, or a name with a room in it.

    A labelled line ("Job: Maple hall bath") comes first. An empty text where none names one.
    """
    if found := labelled(rows):
        return found
    cells = [cell_text(raw) for row in rows for raw in row if isinstance(raw, str)]
    names = [name for text in cells if (name := without_quote_words(text))]
    known = {key_of(name) for name in known_jobs}
    on_file = next((name for name in names if key_of(name) in known), "")
    return on_file or next((name for name in names if _may_be_job(name)), "")


def _may_be_job(name: str) -> bool:
    """Whether a title speaks of a room and of whose it is."""
    words = fold(name).split()
    told = [w for w in words if w not in _ROOMS and w not in _WHAT and not w.isdigit()]
    return bool(told) and len(words) <= _LONGEST_NAME and names_room(name)


def without_quote_words(title: str) -> str:
    """A title without the words that say it is a quote, and without what stands behind the name.

    >>> without_quote_words("QUOTE - Bayview hall bathroom")
    'Bayview hall bathroom'
    >>> without_quote_words("Quince kitchen, 144 sq ft")
    'Quince kitchen'
    """
    for part in re.split(r"\s+[-–—|]\s+|[,;:(]", title):
        name = _BEHIND_NAME.sub("", _BEFORE_NAME.sub("", part.strip())).strip(" -–:.")
        if name:
            return name
    return ""


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


def _is_job_word(text: str) -> bool:
    return headings().fields["hours"].get(fold_heading(text)) in ("job", "job_code")


def _is_text(raw: Raw) -> bool:
    return isinstance(raw, str)
