"""Call-back work: which phase caused it, from columns or from words such as "callback tile"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from costlearn.intake.entries.line_rows import at
from costlearn.intake.names import phase_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.tables import Table
from costlearn.intake.values.cells import read_yes_no
from costlearn.vocabulary import UNASSIGNED, fold

_CALL = re.compile(
    r"\b(?:call back|callback|call backs|callbacks|warranty|rework|rappel|garantie|reprise)\b"
    r"(?: (?:for|of|on|de|du|pour))?"
)


@dataclass(frozen=True, slots=True)
class Placed:
    """The phase of a line's work, and for call-back work the phase that caused it."""

    phase: str | None
    callback_of: str | None = None


def place_work(table: Table, row: Row, setting: Setting) -> Placed:
    """The phase of a line of hours or cost, call-back work booked to the phase that caused it.

    Work is a call-back if a column says so or names its cause, or if the phase's words do
    ("callback tile"). The words "callback" or "warranty" alone are closing-out work as ever.
    """
    word = row.text("phase")
    cause, mark = row.text("cause"), row.text("callback")
    known = setting.phases.get(word, UNASSIGNED)
    if known != UNASSIGNED and not cause and not mark:
        return Placed(known)
    own, inside = _part(word, setting)
    marked = _marked(mark)
    if not cause and (marked is False or not (mark or inside)):
        return Placed(_closing(table, row, word, setting))
    phase = _phase(table, row, own, "phase", setting)
    other = mark if marked is None else ""
    for said, field in ((cause, "cause"), (other, "callback"), (inside, "phase")):
        if said:
            return Placed(phase, _phase(table, row, said, field, setting))
    return Placed(phase, _guess_cause(table, row, phase, setting))


def _guess_cause(table: Table, row: Row, phase: str | None, setting: Setting) -> str:
    """The cause of a call-back of which nothing says it: the phase worked on, or none; told."""
    place = at(table, row, "callback")
    if phase is not None and phase != UNASSIGNED:
        text = "call-back work is booked to the phase worked on where nothing names its cause"
        setting.notes.once(("callback cause", table.grid.sheet), "proposed", place, text)
        return phase
    text = "nothing says which phase caused this call-back; kept apart without one"
    setting.notes.add("asked", place, text, row.text("callback"))
    return UNASSIGNED


def _marked(mark: str) -> bool | None:
    """Yes or no by the column of call-backs; None for nothing or for other words."""
    return read_yes_no(mark).value if mark else None


def _part(word: str, setting: Setting) -> tuple[str, str]:
    """A phase's word without what it says of call-backs, and the cause it names beside that."""
    folded = fold(word)
    match = _CALL.search(folded)
    if match is None or folded in setting.chart.phases:
        return word, ""
    rest = (folded[: match.start()] + folded[match.end() :]).strip()
    return "", rest


def _phase(table: Table, row: Row, word: str, field: str, setting: Setting) -> str | None:
    return phase_of(word, at(table, row, field), setting) if word else None


def _closing(table: Table, row: Row, word: str, setting: Setting) -> str | None:
    """The phase of work that is no call-back; the bare word for one is closing-out work."""
    if word and _CALL.fullmatch(fold(word)):
        text = (
            f"'{word}' with no cause is taken for closing-out work; write 'callback tile', or give "
            "a column 'Cause', to book it to the phase that caused it"
        )
        key = ("bare callback", fold(word), table.grid.sheet)
        setting.notes.once(key, "proposed", at(table, row, "phase"), text, word)
    return _phase(table, row, word, "phase", setting)
