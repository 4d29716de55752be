"""Rows of change orders to entries, and what every line of a log needs."""

from __future__ import annotations

import re

from costlearn.errors import Place
from costlearn.intake.names import phase_of, word_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import set_aside
from costlearn.intake.tables import Table
from costlearn.intake.targets import headings
from costlearn.records import CHANGE_STATES, Amounts, ChangeEntry, Entry, JobEntry
from costlearn.vocabulary import fold

_PARTS = re.compile(r"\s+-\s+|[,;:(]")
"""What parts the word of a state from a remark."""
_BASE = {
    "base contract",
    "base",
    "contract",
    "original contract",
    "base price",
    "original price",
    "original quote",
    "contrat de base",
}


def change_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a change order; a row that states the base contract is a job's quoted price."""
    entries: list[Entry] = []
    for row in rows:
        job, label = row.text("job"), row.text("label")
        price, cost, days = row.cents("price"), row.cents("cost"), row.number("days")
        why = row.bad or no_job(job, setting)
        if not why and price is None and cost is None and days is None and not label:
            why = "it names no change and gives no figure"
        if why:
            set_aside(table, row, why, setting)
            continue
        if fold(label) in _BASE:
            entries.append(JobEntry(job, row.place, price=price, plan=Amounts(cost=cost)))
            continue
        word = row.text("phase")
        phase = phase_of(word, at(table, row, "phase"), setting) if word else None
        state = _state(table, row, label, setting)
        entries.append(ChangeEntry(job, label, state, row.place, price, cost, days, phase))
    return entries


def at(table: Table, row: Row, field: str) -> Place:
    """The place of a field's cell in a row."""
    column = table.column(field)
    where = row.place
    return Place(where.file, where.sheet, where.row, column.heading if column else field)


def no_job(job: str, setting: Setting) -> str:
    """Why a line's job is none, or an empty text."""
    if not key_of(job):
        return "it names no job"
    if setting.vocabulary.cost_words.get(fold(job)) == "overhead":
        return f"'{job}' is overhead, not a job"
    return ""


def _state(table: Table, row: Row, label: str, setting: Setting) -> str:
    """Approved, declined or verbal; what nobody says was approved counts as verbal.

    Only a list with no column for it takes its changes as approved, and says so.
    """
    words = headings().change_states
    said = [words[w] for w in fold(label).split() if len(w) > 3 and w in words]
    if table.column("state") is None and "state" not in setting.chart.constants:
        open_state = next((s for s in said if s != "approved"), None)
        text = "no column says which changes were approved; all are, but those called otherwise"
        place = table.place(table.header)
        setting.notes.once(("approved", table.grid.sheet), "proposed", place, text)
        return open_state or "approved"
    word = row.text("state")
    place = at(table, row, "state")
    if not word:
        told = setting.answers.get("state of a change", row.text("job"), label)
        if told is not None:
            text = f"change '{label}' is {told}, as you answered"
            setting.notes.add("understood", place, text, label)
            return told
        question = f"Was the change '{label}' of job '{row.text('job')}' approved?"
        about = (row.text("job"), label)
        setting.ask("state of a change", about, place, question, CHANGE_STATES, found=label)
        text = "nobody says whether this change was approved; shown apart as verbal"
        setting.notes.add("asked", place, text, label)
        return "verbal"
    return _said(word) or word_of(word, words, "state of a change", place, setting) or "verbal"


def _said(word: str) -> str | None:
    """The state that a cell says beyond doubt: "signed", "no - they said no", "verbal, paid"."""
    words, said = headings().change_states, fold(word).split()
    first = fold(_PARTS.split(word.strip())[0])
    if known := words.get(fold(word)) or words.get(first):
        return "approved" if "paid" in said and known == "verbal" else known
    if "?" in word or {"not", "nothing"} & set(said):
        return None
    within = next((words[w] for w in said if w in words and len(w) > 3), None)
    return within or (words.get(said[-1]) if said else None)
