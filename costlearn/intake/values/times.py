"""Spans of time as people write them: "2d 4h", "one and a half days", "7h30", "10-12 days"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from costlearn.intake.values.cells import NUMBER_WORDS
from costlearn.intake.values.tokens import Lexicon, Token, Walk, lexicon

WORKING_DAYS_A_WEEK = 5
"""Common practice, no source."""

_UNITS = {
    "week": "w|wk|wks|week|weeks|sem|semaine|semaines",
    "day": "d|dy|day|days|j|jr|jrs|jour|jours|journee|journees|pd|md",
    "hour": "h|hr|hrs|hour|hours|heure|heures",
    "minute": "min|mins|minute|minutes|m",
}
_ORDER = tuple(_UNITS)


def _of(whose: str, unit: str) -> str:
    """Every way to write a unit of somebody: "man days", "person hrs"."""
    return "|".join(f"{one} {word}" for one in whose.split("|") for word in _UNITS[unit].split("|"))


KINDS: Mapping[str, str] = {
    **_UNITS,
    **{f"person {unit}": _of("man|men|person|labour|labor|crew member", unit) for unit in _UNITS},
    **{f"crew {unit}": _of("crew|site|team", unit) for unit in ("day", "hour")},
    "half day": "half day|half a day|half of a day|a half day|one half day|demi journee"
    "|une demi journee",
    "whole day": "all day|full day|whole day|a full day|a whole day|une journee|journee entiere"
    "|une journee entiere",
    "count": "|".join(NUMBER_WORDS),
    "one": "a|an|the",
    "and a half": "and a half|and half|& a half|& half|et demi|et demie",
    "rough": "~|≈|±|?|+/-|approx|approximately|about|around|circa|ca|roughly|environ|est|maybe"
    "|perhaps|say|or so|give or take|ish|just under|just over|almost|nearly",
    "to": "to|or|ou",
    "and": "and|et|&|+|plus",
}  # fmt: skip
TIMES: Lexicon = lexicon(**KINDS)


@dataclass(frozen=True, slots=True)
class Span:
    """A span of time from ``low`` to ``high``, in days or in hours, or bare where no unit stands.

    Attributes:
        low, high: both equal where it is no range.
        measure: "day", "hour" or "" for a bare figure.
        whose: "person" for person-days and person-hours, "crew" for days of the crew, else "".
        rough: marked as unsure.
        weeks: whether weeks were turned into days.
    """

    low: float
    high: float
    measure: str = ""
    whose: str = ""
    rough: bool = False
    weeks: bool = False


def take_span(walk: Walk, hours_per_day: float) -> Span | None:
    """The span of time at a place; None, and the walk stays there, if there is none."""
    before = walk.at
    rough = _rough(walk)
    span = _whole(walk) or _clock(walk) or _terms(walk, hours_per_day)
    if span is None:
        walk.at = before
        return None
    rough = _rough(walk) or rough
    return Span(span.low, span.high, span.measure, span.whose, rough, span.weeks)


def _rough(walk: Walk) -> bool:
    """Step over marks of doubt; whether there were any."""
    before = walk.at
    while walk.kind() == "rough" or (walk.kind() == "-" and walk.text(1) == "ish"):
        walk.take()
        if walk.kind() == ".":
            walk.take()
    return walk.at > before


def _whole(walk: Walk) -> Span | None:
    """A share of a day in words: "half day", "all day", "journée"."""
    share = {"half day": 0.5, "whole day": 1.0}.get(walk.kind())
    if share is None and walk.text() in {"journee", "journees"}:
        share = 1.0
    if share is None:
        return None
    walk.take()
    return Span(share, share, "day")


def _clock(walk: Walk) -> Span | None:
    """Hours and minutes as a clock shows them: "7:30", "6h30"."""
    hours, mark, minutes = walk.kind(), walk.kind(1), walk.text(2)
    if hours != "number" or mark not in {":", "hour"} or not _is_minutes(minutes):
        return None
    if mark == "hour" and (walk.text(1) != "h" or walk.kind(3) == "minute"):
        return None
    first = walk.take()
    walk.at += 2
    if mark == ":" and walk.kind() == ":" and _is_minutes(walk.text(1)):
        walk.at += 2
    if not first.text.isdigit() or walk.kind() in {":", "number", "word"}:
        walk.at -= 3
        return None
    span = int(first.text) + int(minutes) / 60
    return Span(span, span, "hour")


def _is_minutes(text: str) -> bool:
    return len(text) == 2 and text.isdigit() and int(text) < 60


def _terms(walk: Walk, hours_per_day: float) -> Span | None:
    """A figure with its unit, or several of ever smaller units added up; or a bare figure."""
    figures = _figures(walk)
    if figures is None:
        return None
    low, high = figures
    whose, _, unit = walk.kind().rpartition(" ")
    if unit not in _ORDER or whose not in {"", "person", "crew"} or walk.text() == "m":
        return Span(low, high)
    walk.take()
    _full_stop(walk)
    half = _half(walk) if low == high else 0.0
    measure = "day" if unit in {"week", "day"} else "hour"
    worth = {"week": float(WORKING_DAYS_A_WEEK), "minute": 1 / 60}.get(unit, 1.0)
    low, high = (low + half) * worth, (high + half) * worth
    while low == high and (more := _smaller(walk, unit)) is not None:
        figure, unit = more
        hours = figure if unit == "hour" else figure / 60
        if measure == "day" and unit != "day":
            low, measure = low * hours_per_day, "hour"
        low += figure if unit == "day" else hours
        high = low
    return Span(low, high, measure, whose, weeks=worth == WORKING_DAYS_A_WEEK)


def _smaller(walk: Walk, unit: str) -> tuple[float, str] | None:
    """The next term of a sum, in a smaller unit than the one before; None if none follows."""
    before = walk.at
    while walk.kind() in {"and", ","}:
        walk.take()
    figures, smaller = _figures(walk), walk.kind()
    is_next = smaller in _ORDER and _ORDER.index(smaller) > _ORDER.index(unit)
    if figures is None or figures[0] != figures[1] or not is_next:
        walk.at = before
        return None
    if walk.text() == "m" and unit != "hour":
        walk.at = before
        return None
    walk.take()
    _full_stop(walk)
    return figures[0], smaller


def _figures(walk: Walk) -> tuple[float, float] | None:
    """A figure, or the two of a range; "a" is one before a unit ("a week")."""
    before = walk.at
    low = _figure(walk)
    if low is None:
        return None
    low += _half(walk)
    at = walk.at
    if walk.kind() in {"-", "to"} or walk.text() == "a":
        walk.take()
        high = _figure(walk)
        if high is not None and low < high:
            return low, high
        if high is not None:
            walk.at = before
            return None
        walk.at = at
    return low, low


def _figure(walk: Walk) -> float | None:
    kind = walk.kind()
    if kind == "one" and walk.kind(1) in _ORDER:
        walk.take()
        return 1.0
    if kind in _ORDER and walk.kind(1) == "and a half":
        return 1.0
    if kind not in {"number", "fraction", "count"}:
        return None
    token: Token = walk.tokens[walk.at]
    figure = NUMBER_WORDS.get(token.text) if kind == "count" else token.value
    # A mark that is not its column's is left to the reader of the column to settle.
    if figure is None or token.mark or figure > 1e12:
        return None
    walk.take()
    return float(figure)


def _half(walk: Walk) -> float:
    if walk.kind() != "and a half":
        return 0.0
    walk.take()
    return 0.5


def _full_stop(walk: Walk) -> None:
    """Step over the full stop behind a shortened unit ("8 hrs.")."""
    if walk.kind() == ".":
        walk.take()
