"""What the cells of a column look like, whatever its heading says: the readings they allow.

A heading chooses among the readings that the cells allow; it never overrules them.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from costlearn.intake.values.cells import Raw, is_missing

Rows = Sequence[Sequence[Raw]]
SAMPLE = 100
"""Cells of a column that are looked at."""
_MOST = 0.5
"""The share of a column's cells that must allow a reading."""
_LONG_NUMBER = 10**8
"""Whole numbers from here on are references or telephone numbers, and no money of a job."""
_FEWEST_RUNNING = 4
_CLOCK_YEAR = 1900
"""A workbook shows a duration of a day or more as a moment of this year."""

_MONTH = (
    r"(?:jan|f[eé]v|feb|mar|apr|avr|may|mai|jun|jui|jul|aug|ao[uû]|sep|oct|nov|d[eé]c)[a-zéû]*\.?"
)
_DAY_WORD = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? |le |wk of |week of |done |in )*"
_UNIT = (
    r"(?:h|hrs?|hours?|d|days?|wks?|weeks?|jours?|journ[eé]es?|heures?|sem|semaines?"
    r"|(?:wo)?man[- ](?:days?|hrs?|hours?))"
)
_FORMS = {
    name: re.compile("|".join(f"(?:{form})" for form in forms), re.IGNORECASE)
    for name, forms in {
        "date": (
            r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}(?:[T ].*)?",
            r"\d{1,2}(?P<mark>[-/. ])\d{1,2}(?P=mark)\d{2,4}(?: .*)?",
            r"\d{1,2}[-/]\d{1,2}|(?:19|20)\d{6}",
            rf"{_DAY_WORD}\d{{1,2}}(?:st|nd|rd|th|er)?[-/., ]*(?:of |de )?{_MONTH}"
            r"(?:[-/., ']*\d{2,4})?",
            rf"{_DAY_WORD}{_MONTH}[-/., ']*\d{{1,4}}(?:st|nd|rd|th)?(?:[-/., ']+\d{{2,4}})?",
        ),
        "clock": (r"\d{1,2}[:h]\d{2}(?::\d{2})? ?(?:[ap]\.?m\.?)?", r"\d{1,2} ?[ap]\.?m\.?"),
        "share": (r"\d{1,3}(?:[.,]\d+)? ?(?:%|percent)",),
        "time": (
            rf".*(?:\d|\bhalf|\bone|\btwo|\bthree|\bune?|\bdeux|demi)[- ]?{_UNIT}(?![a-z]).*",
            r"half (?:a )?day.*",
        ),
        "size": (
            r".*\d ?(?:sf|sq\.? ?(?:ft|m|feet)|m2|m²|pi2|pi²|pi\.? ?ca)\b.*",
            r"\d[\d.'\" -]*(?: ?(?:ft|m))? ?[x×] ?\d.*",
        ),
        "figure": (r"[-+(]*\d*[.,]?\d+[-)]*",),
        "money": (
            r"[-+(~≈]* ?(?:[A-Z]{2,3} ?)?[$€£] ?\d.*",
            r"[-+(~≈]* ?\d[\d., ]*(?:k|[$€£]|cad\b|usd\b)?(?: ?(?:to|-) ?\d[\d., ]*)?"
            r"(?:k|[$€£]|cad\b|usd\b)(?![a-z]).*",
            r"[-+(~≈]* ?\d{1,3}(?:[, ]\d{3})+(?:[.,]\d\d)?(?![\d.,]).*",
            r"[-+(]*\d+[.,]\d\d[-)]*(?: ?(?:cr|dr))?",
            r"(?:about|around|approx\.?|environ|roughly|just under|just over|~) ?\$?\d.*",
        ),
    }.items()
}
_FLAGS = frozenset(("yes", "no", "y", "n", "x", "true", "false", "oui", "non", "✓", "✔"))

ALLOWS: Mapping[str, frozenset[str]] = {
    "money": frozenset(("money", "figure", "mixed")),
    "date": frozenset(("date", "serial")),
    "dates": frozenset(("mixed",)),
    "time": frozenset(("time", "figure", "clock", "mixed", "size")),
    "area": frozenset(("figure", "size", "mixed", "money")),
    "number": frozenset(("figure", "mixed", "time")),
    "year": frozenset(("figure", "date")),
    "percent": frozenset(("share", "figure", "words", "mixed")),
    "flag": frozenset(("flag", "words", "figure")),
    "grade": frozenset(("words", "figure")),
    "scope": frozenset(("figure", "size", "flag", "words", "mixed", "money")),
    "text": frozenset(("words", "mixed", "figure", "flag", "money", "size", "time", "clock", "date",
                       "share", "serial")),
}  # fmt: skip
"""How a field is read, and the looks of cells that allow it."""


@lru_cache(maxsize=1 << 16)
def _look_of_text(text: str) -> str:
    plain = " ".join(text.split())
    if not any(c.isdigit() for c in plain) and not _FORMS["time"].fullmatch(plain):
        return "flag" if plain.casefold() in _FLAGS else "words"
    return next((name for name, form in _FORMS.items() if form.fullmatch(plain)), "mixed")


_LOOKS: tuple[tuple[type | tuple[type, ...], str], ...] = (
    (bool, "flag"),
    (date, "date"),
    ((time, timedelta), "clock"),
    ((int, float), "figure"),
)


def look_of(raw: Raw) -> str:
    """What one cell looks like: date, clock, time, figure, money, size, share, flag, words, mixed.

    "" for a cell that says nothing; "mixed" are words with a figure among them.

    >>> [look_of(raw) for raw in ("2024-03-01", "17 days, two of us", "~18k", "45 sf", 12.5, "Oak")]
    ['date', 'time', 'money', 'size', 'figure', 'words']
    """
    if is_missing(raw):
        return ""
    if isinstance(raw, str):
        return _look_of_text(raw)
    if isinstance(raw, datetime) and raw.year <= _CLOCK_YEAR:
        return "time"
    return next(look for kinds, look in _LOOKS if isinstance(raw, kinds))


class Looks:
    """The profiles of a sheet's columns, each made once, whichever kind of table asks for it."""

    def __init__(self, rows: Rows) -> None:
        """Remember the rows of a sheet."""
        self.rows = rows
        self._known: dict[tuple[int, int], Profile] = {}

    def below(self, body: int, at: int) -> Profile:
        """The profile of a column from a row on."""
        found = self._known.get((body, at))
        if found is None:
            rows = self.rows[body : body + SAMPLE]
            head = self.rows[body - 1][at] if body else None
            # Headings that come again are no cells.
            rows = [row for row in rows if not head or row[at] != head]
            found = self._known[body, at] = profile(rows, at)
        return found


@dataclass(frozen=True, slots=True)
class Profile:
    """The looks of a column's cells, how many say something, and its bare figures."""

    said: int = 0
    looks: Mapping[str, int] = field(default_factory=dict)
    figures: tuple[float, ...] = ()

    def share(self, looks: Iterable[str]) -> float:
        """The share of the cells that have one of some looks; 0 for an empty column."""
        return sum(self.looks.get(look, 0) for look in looks) / self.said if self.said else 0.0

    def wordless(self) -> Profile:
        """The column without its cells of mere words, which contradict nothing."""
        left = {look: n for look, n in self.looks.items() if look != "words"}
        return Profile(sum(left.values()), left, self.figures)

    @property
    def running(self) -> bool:
        """Whether the column counts its rows (1, 2, 3): running numbers are no amounts."""
        steps = {b - a for a, b in zip(self.figures, self.figures[1:], strict=False)}
        return len(self.figures) >= max(_FEWEST_RUNNING, self.said) and steps in ({1.0}, {-1.0})

    @property
    def references(self) -> bool:
        """Whether most of its figures are whole numbers too long for the money of a job."""
        long = sum(1 for f in self.figures if f >= _LONG_NUMBER and f == int(f))
        return bool(self.figures) and 2 * long > len(self.figures)

    @property
    def serials(self) -> bool:
        """Whether its figures, but for zeros, may be dates by their number (1995 to 2064)."""
        told = [f for f in self.figures if f]
        return bool(told) and all(34_700 <= f <= 60_300 for f in told)


def profile(rows: Sequence[Sequence[Raw]], at: int) -> Profile:
    """The profile of a column over the first rows of a table."""
    counts: Counter[str] = Counter()
    figures: list[float] = []
    for row in rows[:SAMPLE]:
        raw = row[at] if at < len(row) else None
        look = look_of(raw)
        if not look:
            continue
        counts[look] += 1
        if look == "figure" and (figure := _plain(raw)) is not None:
            figures.append(figure)
    return Profile(counts.total(), dict(counts), tuple(figures))


def _plain(raw: Raw) -> float | None:
    try:
        figure = float(str(raw).strip("()-+ ").replace(",", "").replace(" ", ""))
    except ValueError:
        return None
    return figure if math.isfinite(figure) else None


def allows(found: Profile, how: str) -> bool:
    """Whether the cells of a column allow a way of reading; an empty column allows any.

    Args:
        found: the column's profile.
        how: ``text date money time number area year percent flag grade`` or ``scope``.
    """
    if not found.said:
        return True
    if how == "date" and found.serials and found.share(("figure",)) >= _MOST:
        return True
    if how == "money" and (found.running or found.references):
        return False
    return found.share(ALLOWS[how]) >= _MOST
