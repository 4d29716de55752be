"""One cell to a value, or the reason it is none: texts, numbers, counts, shares, yes and no.

Nothing here raises: what cannot be read is a :class:`Reading` with a problem, so that the caller
can say where the cell stands. Amounts of money, dates and sizes have files of their own.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Generic, Literal, TypeVar

from costlearn.intake.values.numerals import (
    hinted_decimal,
    numeral,
    shown,
    take_sign,
    tidy,
    unquoted,
)
from costlearn.intake.values.tokens import has_bad_letters
from costlearn.vocabulary import fold

T = TypeVar("T")

Raw = str | int | float | bool | date | datetime | time | timedelta | None
"""What a file reader hands over for one cell."""

LARGEST = 1e10
"""A number beyond this is taken for a slip, whatever it should measure."""


Code = Literal[
    "", "unreadable", "bad letters", "decimal mark", "thousands or fraction", "no unit", "no year",
    "day or month first",
    "no day", "year only", "too large", "negative", "wrong type", "allowance", "bound", "rough",
    "range", "two amounts", "by the piece", "percentage", "formula", "two currencies", "foreign",
    "tax unclear", "no tax rate", "arithmetic", "remark", "times of day", "crew days",
]  # fmt: skip
"""Why a cell gives no value, for code that acts on it; the sentence is for people."""


@dataclass(frozen=True, slots=True)
class Reading(Generic[T]):
    """What one cell says; no value and no problem means the cell is blank or says "unknown".

    Attributes:
        value: what the cell says, or None.
        problem: why the text is no value ("'allow 400' is an allowance, not a cost").
        note: something understood that is worth telling ("13 % tax taken out").
        code: which sort of problem it is; "" where there is none.
        rest: what stands behind the value and says something else ("8 days" of "14k, 8 days").
        choices: the few values between which a person must choose, the likeliest first.
    """

    value: T | None = None
    problem: str = ""
    note: str = ""
    code: Code = ""
    rest: str = ""
    choices: tuple[T, ...] = ()


def refused(raw: object, why: str, code: Code = "unreadable") -> Reading[T]:
    """No value: a sentence that shows the cell and says why."""
    return Reading(problem=f"{shown(raw)} {why}", code=code)


_NOTHING = {
    "n a", "na", "none", "null", "nan", "nil", "tbd", "tba", "tbc", "unknown", "unk", "not known",
    "missing", "blank", "empty", "pending", "not available", "not applicable",
    "to be determined", "to be confirmed", "no data", "no record", "not recorded", "don t know",
    "dk", "s o", "n d", "nd", "sans objet", "inconnu", "a venir", "a determiner",
    "a confirmer", "aucun", "aucune", "non disponible",
}  # fmt: skip
"""Folded texts that mean nothing is known; common practice, no source."""

_ERROR_CODE = re.compile(
    r"#(?:ref!|n/a|n/d|value!|valeur!|div/0!|name\??|nom\?|num!|nombre!|null!|nul!|spill!|calc!"
    r"|getting_data|field!|blocked!|busy!|connect!|unknown!|data!|#+)|#+|err:[0-9]{3}",
    re.IGNORECASE,
)
"""What spreadsheet programs show instead of a result, in English and French."""

_ONLY_MARKS = re.compile(r"[-?.…*/\\_~\s]*")


def is_missing(raw: Raw, also: Collection[str] = ()) -> bool:
    """Whether a cell says nothing: blank, a dash, "n/a", "TBD", "?", "#REF!" and the like.

    Args:
        raw: the cell.
        also: further texts that mean nothing is there, compared without case and accents.

    >>> is_missing("n/a"), is_missing("0"), is_missing("PNS", also=["pns"])
    (True, False, True)
    """
    if raw is None:
        return True
    if isinstance(raw, float):
        return math.isnan(raw)
    if not isinstance(raw, str):
        return False
    if raw[:1].isdigit() and not also:
        return False
    if _says_nothing(raw):
        return True
    text = unquoted(tidy(raw)) if also else ""
    return any(text.casefold() == tidy(a).casefold() or fold(text) == fold(a) != "" for a in also)


@lru_cache(maxsize=1 << 12)
def _says_nothing(raw: str) -> bool:
    text = unquoted(tidy(raw))
    if _ONLY_MARKS.fullmatch(text) or _ERROR_CODE.fullmatch(text):
        return True
    return not text[0].isdigit() and fold(text) in _NOTHING and "&" not in text


_WITH_K = re.compile(r"\d ?k\b", re.IGNORECASE)
"""Thousands written as "5,4k" are too short to prove a mark: slips have the same form."""


def vote_decimal(raws: Iterable[Raw]) -> str:
    """The decimal mark of a whole column, "." or ",": the one most cells prove, else ".".

    Numbers that a workbook holds as numbers have no mark and no vote; "1,250" proves nothing.

    >>> vote_decimal(["12,5", "30", "1 250,00 $"])
    ','
    """
    votes: Counter[str] = Counter()
    spelled: Counter[str] = Counter()
    for text, count in Counter(raw for raw in raws if isinstance(raw, str)).items():
        plain = tidy(text)
        hint = hinted_decimal(plain)
        lettered = plain.upper() != plain.lower()
        if hint and not (lettered and has_bad_letters(plain)):
            (spelled if lettered and _SPELLED.search(plain) else votes)[hint] += count
        elif not hint and _COMMA_GROUP.search(plain):
            spelled["."] += count
    # "5,4k" beside "12,000" is a slip as well as a habit: it is heard where nothing else speaks.
    heard = votes if votes else spelled
    return "," if heard[","] > heard["."] else "."


def says_thousands(raws: Iterable[Raw]) -> bool:
    """Whether some cells of a column write thousands with a "k", so that a bare "22" may be one.

    >>> says_thousands(["~38k", "22"]), says_thousands(["kitchen 2", 22])
    (True, False)
    """
    return any(isinstance(raw, str) and _SPELLED.search(raw) for raw in raws)


_SPELLED = re.compile("[0-9] ?k(?![a-z])", re.IGNORECASE)
_COMMA_GROUP = re.compile("(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9.,])")


def not_a_number(raw: Raw, wanted: str) -> str:
    """Why a cell that holds neither a number nor a text is no number, or "" if it holds one."""
    if isinstance(raw, bool):
        return f"{str(raw).upper()} is no {wanted}"
    if isinstance(raw, date):
        return f"{raw.isoformat()} is a date, no {wanted}"
    if isinstance(raw, time | timedelta):
        return f"{raw} is a time, no {wanted}"
    if isinstance(raw, int | float) and not math.isfinite(raw):
        return f"'{raw}' is no {wanted}"
    if isinstance(raw, int | float) and abs(raw) > LARGEST:
        article = "an" if wanted[0] in "aeiou" else "a"
        return f"'{raw:g}' is too large to be {article} {wanted}"
    return ""


def read_number(raw: Raw, *, decimal: str = ".") -> Reading[float]:
    """A plain number, signed, with thousands parted or not.

    >>> read_number("1,250.5").value, read_number("twelve").problem
    (1250.5, "'twelve' is no number")
    """
    if is_missing(raw):
        return Reading()
    if problem := not_a_number(raw, "number"):
        return Reading(problem=problem, code="wrong type")
    if isinstance(raw, int | float):
        return Reading(float(raw))
    signed = take_sign(unquoted(tidy(str(raw))))
    value = numeral(signed.text, decimal)
    if value is None:
        return _no_number(str(raw), decimal)
    if value > Decimal(LARGEST):
        return refused(raw, "is too large to be a number", "too large")
    return Reading(float(-value if signed.minuses else value))


def _no_number(raw: str, decimal: str) -> Reading[float]:
    """Why a text is no number: another decimal mark than its column's, or no number at all."""
    other = "," if decimal == "." else "."
    if numeral(take_sign(unquoted(tidy(raw))).text, other) is not None:
        why = f"does not fit the decimal mark '{decimal}' of its column"
        return refused(raw, why, "decimal mark")
    return refused(raw, "is no number")


NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5,
    "sept": 7, "huit": 8, "neuf": 9, "dix": 10,
}  # fmt: skip

_COUNTED = re.compile(
    r"(?:(?:qty|no|nr|x)\.? ?)?(.+?) ?(?:x|ea|each|pcs?|pieces?|units?|off|un|ch)?\.?",
    re.IGNORECASE,
)


def read_count(raw: Raw, *, decimal: str = ".") -> Reading[int]:
    """A whole number of things, 0 or more: "2", "2.0", "2 ea", "x2", "two".

    >>> read_count("2 pcs").value, read_count("1.5").problem
    (2, "'1.5' is no whole number")
    """
    if is_missing(raw):
        return Reading()
    if isinstance(raw, str):
        text = unquoted(tidy(raw))
        match = _COUNTED.fullmatch(text)
        core = match.group(1) if match else text
        word = NUMBER_WORDS.get(text.lower(), NUMBER_WORDS.get(core.lower()))
        reading: Reading[float] = (
            Reading(float(word)) if word is not None else read_number(core, decimal=decimal)
        )
    else:
        reading = read_number(raw)
    if reading.value is None:
        return refused(raw, "is no count")
    if reading.value < 0:
        return refused(raw, "is negative; a count cannot be", "negative")
    if reading.value != int(reading.value):
        return refused(raw, "is no whole number")
    return Reading(int(reading.value))


_YES = {"yes", "y", "true", "1", "x", "oui", "o", "vrai", "ok", "t"}
_NO = {"no", "n", "false", "0", "non", "faux", "f"}
_TICKS = {**dict.fromkeys("✓✔☑🗸", True), **dict.fromkeys("✗✘☐", False)}


def read_yes_no(raw: Raw) -> Reading[bool]:
    """Yes or no: "yes", "Y", "x", a tick, 1, "oui"; "no", "N", 0, "non".

    >>> read_yes_no("Oui").value, read_yes_no("maybe").problem
    (True, "'maybe' is neither yes nor no")
    """
    if isinstance(raw, bool):
        return Reading(raw)
    if is_missing(raw):
        return Reading()
    text = unquoted(tidy(f"{raw:g}" if isinstance(raw, int | float) else str(raw)))
    tick = _TICKS.get(text.rstrip("\ufe0e\ufe0f"))
    if tick is not None:
        return Reading(tick)
    folded = fold(text)
    if folded in _YES:
        return Reading(value=True)
    if folded in _NO:
        return Reading(value=False)
    return refused(raw, "is neither yes nor no")


_CLOSED = frozenset(
    ("closed", "final", "all in", "complete", "completed", "done", "ferme", "fermes", "complet")
)
_OPEN = frozenset(
    ("open", "still open", "not closed", "waiting", "waiting for bills", "bills to come", "pending",
     "ouvert", "ouverts", "incomplet", "en attente")
)  # fmt: skip


def read_closed(raw: Raw, *, asks_open: bool = False) -> Reading[bool]:
    """Whether books are closed: "closed", "open", yes or no.

    Args:
        raw: the cell.
        asks_open: the column asks whether they are open ("Bills to come?"), so a yes is a no.

    >>> read_closed("open").value, read_closed("yes", asks_open=True).value
    (False, False)
    """
    folded = fold(unquoted(tidy(raw))) if isinstance(raw, str) else ""
    if folded in _CLOSED:
        return Reading(value=True)
    if folded in _OPEN:
        return Reading(value=False)
    reading = read_yes_no(raw)
    if reading.value is None:
        why = "is neither open nor closed, yes nor no"
        return refused(raw, why) if reading.problem else Reading()
    return Reading(value=reading.value is not asks_open)


def read_percent(raw: Raw, *, decimal: str = ".") -> Reading[float]:
    """A share from 0 to 1: "45 %" and 45 are 0.45; a bare number up to 1 is the share itself.

    >>> read_percent("45 %").value, read_percent(0.45).value, read_percent("120%").problem
    (0.45, 0.45, "'120%' is more than 100 %")
    """
    if is_missing(raw):
        return Reading()
    marked = False
    core = raw
    if isinstance(raw, str):
        text = unquoted(tidy(raw))
        core = re.sub(r" ?(?:%|percent|per cent|pct|p\.?c\.?|pour cent)$", "", text, flags=re.I)
        marked = core != text
    reading = read_number(core, decimal=decimal)
    if reading.value is None:
        return refused(raw, "is no percentage")
    if reading.value < 0:
        return refused(raw, "is negative; a share of the work cannot be", "negative")
    if reading.value > 100 or (not marked and 1 < reading.value < 2):
        # 1.2 with no sign may be 120 % or 1.2 %: neither is guessed.
        amount = "more than 100 %" if reading.value > 100 else "either a share or a percentage"
        return refused(raw, f"is {amount}")
    note = f"{shown(raw)} with no percent sign read as 100 %" if reading.value == 1 else ""
    if marked:
        return Reading(reading.value / 100)
    return Reading(reading.value, note=note) if reading.value <= 1 else Reading(reading.value / 100)
