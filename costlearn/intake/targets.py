"""What a column can mean: the fields of each kind of table, and how their cells are read."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from costlearn.fields import columns
from costlearn.intake.values.money import read_money
from costlearn.records import (
    COST_KINDS,
    ChangeEntry,
    CostEntry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)
from costlearn.vocabulary import fold

KINDS = ("jobs", "phases", "hours", "receipts", "changes", "scope", "statement")
"""A row a job; a job and phase; a person and day; a cost line; a change order; a job and item; a
line of a bank or card statement."""

BOTH_HOURS = "both_hours"
"""Hours of "both", of which a person may have to say whether they are of each."""
TIME_MEASURES = (
    "person_days",
    "person_hours",
    BOTH_HOURS,
    "site_days",
    "wait_days",
    "elapsed_days",
    "days",
)
BOUGHT = "bought"
"""All that was bought for a job or phase in one column, such as "materials + subs"."""
MEASURES = ("cost", *COST_KINDS, BOUGHT, *TIME_MEASURES, "crew")
SIDES = ("plan", "actual")

_CURRENCIES = {"USD", "CAD", "AUD", "NZD", "GBP", "EUR"}
_AMOUNTS = {f"{side}.{m}": m for side in SIDES for m in MEASURES}

_RECORDS: Mapping[str, type] = {
    **{"jobs": JobEntry, "phases": PhaseEntry, "hours": HoursEntry},
    **{"receipts": CostEntry, "changes": ChangeEntry},
}
"""The record that a row of a kind of table becomes."""

_ONLY_READ = {
    "jobs": {"dates": "dates", "plan.finished": "date", "crew": "number"},
    "phases": {"plan.finished": "date", "crew": "number"},
    "hours": {
        **dict.fromkeys(("regular", "overtime", "double", "total"), "time"),
        **{"crew": "number", "named_hours": "text", "weekday": "text"},
    },
    "receipts": {"gross": "money"},
    "statement": {"day": "date", **dict.fromkeys(("out", "in", "amount", "balance"), "money")},
}
"""How cells are read from which fields are derived; they are text where nothing is said here."""


@cache
def _own(kind: str) -> Mapping[str, str]:
    """How the cells of the fields of a kind of table are read: all that have a heading."""
    only = _ONLY_READ.get(kind, {})
    record = _RECORDS.get(kind)
    kept = {c.shown.called or c.field: c.unit.reads for c in columns(record)} if record else {}
    named = dict.fromkeys(("job", *_raw()[kind], *only, "notes"))
    return {name: only.get(name) or kept.get(name, "text") for name in named}


_SPREAD = {
    "phases": (("progress.", "done."), "percent"),
    "hours": (("on.", "at.", "by.", "for."), "time"),
}
"""Fields that stand in several columns of a kind of table, and how their cells are read."""


def reads_as(kind: str, field: str) -> str | None:
    """How the cells of a field are read in a kind of table, or None if it has no such field.

    One of ``text date money time area number year grade flag percent scope``.
    """
    if field.startswith("phase.") and kind in ("jobs", "phases"):
        return measure_reads_as(field.split(".", 2)[2]) if field.count(".") == 3 else None
    spread = _SPREAD.get(kind)
    if spread and field.startswith(spread[0]):
        return spread[1]
    if kind in ("receipts", "statement") and field.endswith((".tax", ".amount", ".gross")):
        return "money"
    own = _own(kind).get(field)
    if own or kind not in ("jobs", "phases"):
        return own
    if kind == "jobs" and field.startswith("scope."):
        return "scope"
    return measure_reads_as(field)


def measure_reads_as(field: str) -> str | None:
    """How ``plan.cost`` and its like are read: ``money``, ``time`` or ``number`` (the crew)."""
    measure = _AMOUNTS.get(field)
    if measure is None:
        return None
    if measure in TIME_MEASURES:
        return "time"
    return "number" if measure == "crew" else "money"


def own_fields(kind: str) -> tuple[str, ...]:
    """The field names of a kind of table but for its planned and actual figures."""
    return tuple(_own(kind))


def fields_of(kind: str) -> tuple[str, ...]:
    """The field names of a kind of table, as a column map spells them."""
    more: tuple[str, ...] = ()
    if kind in ("jobs", "phases"):
        more = tuple(f for f, m in _AMOUNTS.items() if m != "days")
    if kind == "jobs":
        more += ("scope.<item>",)
    return (*_own(kind), *more)


@dataclass(frozen=True)
class Headings:
    """The spellings of ``headings.toml``, folded: each list a mapping from spelling to meaning."""

    fields: Mapping[str, Mapping[str, str]]
    others: Mapping[str, Mapping[str, tuple[str, ...]]]
    """Kind to the spellings that may mean something else as well: the cells choose."""
    measures: Mapping[str, str]
    sides: Mapping[str, str]
    units: Mapping[str, str]
    states: Mapping[str, str]
    change_states: Mapping[str, str]
    grades: Mapping[str, str]
    totals: Mapping[str, str]
    bank_lines: Mapping[str, str]


@cache
def _raw() -> Mapping[str, Mapping[str, list[str]]]:
    return tomllib.loads(files("costlearn.intake").joinpath("headings.toml").read_text("utf-8"))


@cache
def headings() -> Headings:
    """The spellings that ship with costlearn; the table of a kind holds those of any kind too."""
    raw = _raw()
    everywhere = _spelled(raw["any"])
    return Headings(
        fields={kind: {**everywhere, **_spelled(raw[kind])} for kind in KINDS},
        others={kind: _spelled_again(raw[kind]) for kind in KINDS},
        measures=_spelled(raw["measures"]),
        sides=_spelled(raw["sides"]),
        units=_spelled(raw["units"]),
        states=_spelled(raw["states"]),
        change_states=_spelled(raw["change_states"]),
        grades=_spelled(raw["grades"]),
        totals=_spelled(raw["totals"]),
        bank_lines=_spelled(raw["bank_lines"]),
    )


@lru_cache(maxsize=1 << 16)
def fold_heading(text: str) -> str:
    """Fold a heading as :func:`costlearn.vocabulary.fold` does, keeping the signs that matter.

    >>> fold_heading("Job #")
    'job #'
    >>> fold_heading("Tile $ (planned)")
    'tile $ planned'
    """
    signs = text.replace("№", "#").replace("nº", "#").replace("n°", "#")
    for sign, word in (("#", " zznum "), ("$", " zzmoney "), ("%", " zzshare "), ("€", " eur ")):
        signs = signs.replace(sign, word)
    folded = fold(signs.replace("£", " gbp ").replace("²", "2"))
    return folded.replace("zznum", "#").replace("zzmoney", "$").replace("zzshare", "%")


def _spelled(lists: Mapping[str, list[str]]) -> dict[str, str]:
    found: dict[str, str] = {}
    for meaning, words in lists.items():
        for word in words:
            found.setdefault(fold_heading(word), meaning)
    return found


def _spelled_again(lists: Mapping[str, list[str]]) -> dict[str, tuple[str, ...]]:
    """The spellings that stand under several fields, with all of them in their order."""
    found: dict[str, tuple[str, ...]] = {}
    for meaning, words in lists.items():
        for word in words:
            folded = fold_heading(word)
            found[folded] = (*found.get(folded, ()), meaning)
    return {word: meanings for word, meanings in found.items() if len(meanings) > 1}


def currency_in(heading: str) -> str | None:
    """The currency a heading states ("Cost (CAD)"), or None.

    >>> currency_in("Cost (CAD)")
    'CAD'
    """
    for word in re.split(r"[\s()\[\],:/]+", heading):
        named = len(word) > 1 and (word.upper() in _CURRENCIES or word.endswith("$"))
        read = read_money(f"{word} 1").value if named else None
        if read is not None and read.currency:
            return read.currency
    return None


def other_currency(heading: str, taken: str) -> bool:
    """Whether two headings state two currencies ("CAD$" and "USD$")."""
    one, other = currency_in(heading), currency_in(taken)
    return one is not None and other is not None and one != other
