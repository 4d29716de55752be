"""Hours that say of how many people they are: "8 ea", "2 men 7 hrs"; and sums: "8 + 2 OT"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from costlearn.intake.values.cells import NUMBER_WORDS, Raw, Reading, read_number
from costlearn.intake.values.numerals import tidy, unquoted
from costlearn.intake.values.sizes import read_hours

_HOURS = (
    r"(?P<hours>\d{1,3}(?:[.,]\d{1,2})?(?: ?[h:] ?\d\d| \d/\d)?|\d/\d|[¼½¾])"
    r" ?(?:h|hr|hrs|hours?|heures?)?\.?"
)
_EACH = (
    r"(?:ea|each|apiece|chacune?|per (?:man|person|head|guy)|par personne"
    r"|/ ?(?:man|person|pers))\.?"
)
_MANY = r"(?P<people>\d{1,2}|one|two|three|four|deux|trois|quatre)"
_MEN = r"(?:men|man|guys?|people|persons?|personnes?|hommes?|crew|of us|workers?|hands|pers)"
_FORMS = tuple(
    re.compile(form, re.IGNORECASE)
    for form in (
        rf"{_HOURS} ?{_EACH}",
        rf"{_MANY} ?{_MEN}[ ,:x×*@-]*(?:at |a )?{_HOURS}(?: ?{_EACH})?",
        rf"{_HOURS}[ ,:x×*-]*\(?{_MANY} ?{_MEN}\)?",
        rf"{_MANY} ?[x×*@] ?{_HOURS}(?: ?{_EACH})?",
        rf"{_HOURS} ?(?:reg(?:ular)?\.?|st)?"
        r"(?P<more>(?: ?[+&] ?\d{1,2}(?:[.,]\d{1,2})? ?(?:h|hrs?)?"
        r"(?: ?(?:ot|o/t|overtime|dt|reg(?:ular)?))?)+)",
    )
)
_MORE = re.compile(r"\d{1,2}(?:[.,]\d{1,2})?")
_MOST, _MOST_UNNAMED = 20, 3
"""People on one line, at most: where they are called people, and in a bare "2 x 8"."""
_WORDS = {"deux": 2, "trois": 3, "quatre": 4}


_ALONE = {"alone", "me", "me alone", "just me", "only me", "solo", "myself", "by myself", "seul"}
_BOTH = {"both", "both of us", "us both", "the two of us", "les deux"}
_CREW = re.compile(rf"(?:the )?{_MANY}(?: ?(?:x )?{_MEN})?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Gang:
    """Hours of each of some people; ``people`` is None where the cell does not say how many."""

    hours: float
    people: int | None = None
    each: bool = False

    @property
    def total(self) -> float:
        """The hours of all of them, as far as the cell tells."""
        return self.hours * (self.people or 1)


@lru_cache(maxsize=1 << 10, typed=True)
def read_gang(raw: Raw) -> Gang | None:
    """Hours of several people or in several parts, or None for anything else.

    >>> read_gang("2 men 7 hrs"), read_gang("8 + 2 OT")
    (Gang(hours=7.0, people=2, each=True), Gang(hours=10.0, people=None, each=False))
    """
    if not isinstance(raw, str) or not any(c.isdigit() for c in raw):
        return None
    text = unquoted(tidy(raw))
    for form in _FORMS:
        match = form.fullmatch(text)
        if match is None:
            continue
        parts = match.groupdict()
        mark = "," if "," in parts["hours"] else "."
        hours = read_hours(parts["hours"], unit="hours", hours_per_day=8, decimal=mark).value
        if hours is None:
            return None
        if parts.get("more"):
            more = sum(float(m.replace(",", ".")) for m in _MORE.findall(parts["more"]))
            return Gang(hours + more)
        many = parts.get("people")
        if many is None:
            return Gang(hours, None, each=True)
        return _of_each(hours, many.lower(), named=form is not _FORMS[3])
    return None


def read_crew(raw: Raw, *, decimal: str = ".") -> Reading[float]:
    """How many people: a number, "2 men", "two of us", "me alone".

    >>> [read_crew(raw).value for raw in (2, "2 guys", "two of us", "me alone", "1.5")]
    [2.0, 2.0, 2.0, 1.0, 1.5]
    """
    read = read_number(raw, decimal=decimal)
    if read.value is not None or not isinstance(raw, str) or not read.problem:
        return read
    text = unquoted(tidy(raw)).lower()
    if text in _ALONE or text in _BOTH:
        return Reading(1.0 if text in _ALONE else 2.0)
    match = _CREW.fullmatch(text)
    return Reading(_number(match["people"])) if match else read


def _number(many: str) -> float:
    return float(many) if many.isdigit() else float(_WORDS.get(many) or NUMBER_WORDS[many])


def _of_each(hours: float, many: str, *, named: bool) -> Gang | None:
    """So many people with their hours; "8 x 2" are two people, for no firm has eight."""
    people = _number(many)
    if not named and people > _MOST_UNNAMED >= hours:
        people, hours = hours, people
    most = _MOST if named else _MOST_UNNAMED
    return Gang(hours, int(people), each=True) if people in range(1, most + 1) else None
