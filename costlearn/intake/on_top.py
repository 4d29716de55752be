"""The job that the lines above a table, or a title, a sheet's or a file's name, speak of."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence

from costlearn.intake.row import key_of
from costlearn.intake.targets import fold_heading, headings
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
    r"\s+[-–—|]\s+|[,;:(]|\bfor\b|\bpour\b|\b(?:week|wk|semaine)\b.*$", re.IGNORECASE
)
_ROOMS = standard().job_words
_KINDS_OF_ROOM = frozenset(("bathroom", "laundry", "kitchen"))
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


def labelled(rows: Sequence[Sequence[str]]) -> str:
    """The job the last of some lines that names one in words names, or an empty text."""
    for row in reversed(rows):
        texts = [text for text in row if text]
        if len(texts) >= 2 and _is_job_word(texts[0].rstrip(" :=")):
            return texts[1]
        match = _LABEL.fullmatch(texts[0]) if len(texts) == 1 else None
        if match and match["name"] and _is_job_word(match["label"]):
            return match["name"]
        bills = _BILLS_OF.fullmatch(texts[0]) if len(texts) == 1 else None
        if bills and set(fold(bills["name"]).split()) & set(standard().job_words):
            return bills["name"]
    return ""


def borne_out(name: str, around: Iterable[str], known_jobs: Collection[str]) -> bool:
    """Whether a job of that name is on file, or a file's or sheet's name speaks of it too.

    >>> borne_out("Pintail bath", ["Pintail"], []), borne_out("Kitchen supplies", ["card"], [])
    (True, False)
    """
    told = set(told_words(name))
    here = {word for text in around for word in fold(text).split()}
    return bool(told & here) or key_of(name) in {key_of(known) for known in known_jobs}


def told_words(name: str) -> list[str]:
    """The words of a name that say whose job it is: no room, no sort of table, no number."""
    words = fold(name).split()
    return [w for w in words if w not in _ROOMS and w not in _WHAT and not w.isdigit()]


def says_no_name(text: str) -> bool:
    """Whether a sheet's name or a title tells when or what, and not whose.

    >>> says_no_name("Mars 2025"), says_no_name("Hours log"), says_no_name("Maple bath")
    (True, True, False)
    """
    folded = fold(text)
    return bool(_NO_NAME.fullmatch(folded)) or all(
        word in _WHAT or word.isdigit() for word in folded.split()
    )


def names_room(name: str) -> bool:
    """Whether the name of a sheet or file speaks of a room: then it may be a job's."""
    return any(_ROOMS.get(word) in _KINDS_OF_ROOM for word in fold(name).split())


def named_on_top(rows: Sequence[Sequence[str]], known_jobs: Collection[str]) -> str:
    """The job that lines above a table name: a job on file, or a name with a room in it.

    A labelled line ("Job: Maple hall bath") comes first. An empty text where none names one.
    """
    if found := labelled(rows):
        return found
    names = [name for row in rows for text in row for name in _names_in(text)]
    known = {key_of(name) for name in known_jobs}
    on_file = next((name for name in names if key_of(name) in known), "")
    return on_file or next((name for name in names if _may_be_job(name)), "")


def _may_be_job(name: str) -> bool:
    """Whether a title speaks of a room and of whose it is."""
    long = len(fold(name).split()) > _LONGEST_NAME
    several = any(word.endswith("s") and word[:-1] in _ROOMS for word in fold(name).split())
    return bool(told_words(name)) and not long and not several and names_room(name)


def without_quote_words(title: str) -> str:
    """A title without the words that say it is a quote, and without what stands behind the name.

    >>> without_quote_words("QUOTE - Bayview hall bathroom")
    'Bayview hall bathroom'
    >>> without_quote_words("Quince kitchen, 144 sq ft")
    'Quince kitchen'
    """
    return next(iter(_names_in(title)), "")


def _names_in(title: str) -> list[str]:
    """The parts of a title, each without the words that say it is a quote."""
    parts = (_BEHIND_NAME.sub("", _BEFORE_NAME.sub("", p.strip())) for p in _PARTS.split(title))
    return [name for part in parts if (name := part.strip(" -–:.)"))]


def _is_job_word(text: str) -> bool:
    return headings().fields["hours"].get(fold_heading(text)) in ("job", "job_code")
