"""Clock times in one cell: "7:30-4", "8-12, 1-4:30", "7:30-4 (lunch 30)", as hours worked."""

from __future__ import annotations

import re
from collections.abc import Iterable

from costlearn.intake.values.cells import Raw, Reading, refused
from costlearn.intake.values.clocks import Clock, read_clock, read_pause, shifts
from costlearn.intake.values.numerals import tidy, unquoted

LONGEST_WORKED = 14.0
"""Hours from which nobody works between two times of day: common practice, no source."""
_PARTS = re.compile(r"\s*(?:[,;+&]|\band\b|\bet\b)\s*", re.IGNORECASE)
_ENDS = re.compile(r"\s*(?:[-\u2013\u2014]|\bto\b|\btil+\b|\buntil\b|\bà\b)\s*", re.IGNORECASE)
_REST = r"(?:lunch|break|dinner|pause|diner|dîner|off)"
_LONG = r"(?P<long>\d{1,2}(?:[:.]\d\d?)?(?:/\d)? ?(?:h|hr|hrs?|hours?|m|mins?|minutes?)?)"
_OFF = re.compile(
    rf"[\s,;]*[(\[]?\s*(?:(?P<none>no {_REST})|(?:less|minus|w/|with|-)?\s*{_REST}\s*:?\s*{_LONG}"
    rf"|(?:less|minus|w/|with|-)?\s*{_LONG.replace('long', 'length')}\s*{_REST}"
    rf"|(?:less|minus) {_LONG.replace('long', 'less')}|(?P<bare>{_REST}))\s*[)\]]?\s*$",
    re.IGNORECASE,
)


def read_stretch(raw: Raw) -> Reading[float] | None:
    """The hours between times of day in one cell, less a stated break; None for anything else.

    Refused, with the reason, where they may be two lengths, or a break is named without its length.

    >>> [read_stretch(raw).value for raw in ("7:30-4", "7.30 - 16", "8-12, 1-4:30")]
    [8.5, 8.5, 7.5]
    >>> read_stretch("7:30-4 (lunch 30)").value, read_stretch("7:30") is None
    (8.0, True)
    """
    if not isinstance(raw, str) or not any(c.isdigit() for c in raw):
        return None
    text = unquoted(tidy(raw))
    off = _OFF.search(text)
    ends = _ends(text[: off.start()] if off else text)
    if ends is None:
        return None
    pause = _pause(off)
    if pause is None:
        return refused(raw, "names a break and not how long it was", "times of day")
    found = [hours for hours in shifts(ends) if hours < LONGEST_WORKED]
    if len(found) != 1 or found[0] <= pause:
        nets = [round(hours - pause, 4) for hours in found if hours > pause]
        shown = " or ".join(f"{hours:g}" for hours in nets) or "no"
        why = f"may be {shown} hours"
        problem = refused(raw, why, "times of day").problem
        return Reading(problem=problem, code="times of day", choices=tuple(nets))
    return Reading(round(found[0] - pause, 4))


def holds_stretches(raws: Iterable[Raw]) -> bool:
    """Whether a column holds times of day beyond doubt, so that a bare "8-12" is one too.

    Beyond doubt are two of them, a break, minutes behind a colon, or an end below the start: a
    range of hours runs upwards.
    """
    return any(_is_sure(raw) for raw in raws if isinstance(raw, str))


def _is_sure(raw: str) -> bool:
    reading = read_stretch(raw)
    if reading is None:
        return False
    text = unquoted(tidy(raw))
    ends = _ends(text)
    plain = ends is not None and len(ends) == 2 and ":" not in text
    return not plain or ends is None or ends[1].hour <= ends[0].hour


def _ends(text: str) -> list[Clock] | None:
    """The times of day of a text, in their order; None if it holds anything else."""
    ends: list[Clock] = []
    for part in _PARTS.split(text.strip()):
        sides = [read_clock(side.strip()) for side in _ENDS.split(part)]
        if len(sides) != 2 or sides[0] is None or sides[1] is None:
            return None
        ends += [sides[0], sides[1]]
    return ends


def _pause(off: re.Match[str] | None) -> float | None:
    """How long a stated break was, in hours; None where the cell does not say."""
    if off is None or off["none"]:
        return 0.0
    said = off["long"] or off["length"] or off["less"]
    return read_pause(said).value if said else None
