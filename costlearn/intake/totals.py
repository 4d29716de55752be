"""Total, subtotal and average rows: never imported, used to check what was read.

A row is a total by what it is called, or because its figures are the sums of the rows above it,
whatever it is called. Where that may be chance, a person is asked and the row waits.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from costlearn.intake.findings import Notes
from costlearn.intake.readings import Setting, measured_in_hours
from costlearn.intake.row import Row, Value, key_of
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.intake.targets import fold_heading, headings, reads_as
from costlearn.intake.values.cells import Raw
from costlearn.intake.values.money import Money
from costlearn.vocabulary import Vocabulary, fold

TOTAL, ROW = "a total", "a row of its own"
"""The answers to whether a row only sums up those above it."""
_WHOLE_UNITS = 1_000_00
"""Cents (or hundredths) from which a sum of two rows is worth a question."""
_CHANCE = 3
"""Rows summed from which one figure that agrees is no chance (judgement, no source)."""
_YEAR = re.compile(r"(?:19|20)\d\d")
_SUMMED = {"money", "time", "area"}
_OF_TIME = frozenset(
    ("jobs", "job", "phases", "rows", "year", "month", "week", "day", "quarter", "page", "annee",
     "mois", "semaine", "jour", "costs", "job costs", "section", "period", "date")
)  # fmt: skip
"""What a total may be of, besides jobs, phases and measures."""
_ONCE = frozenset(("jobs", "phases"))
"""Kinds of table in which a named row may be a total by its figures: else small hours may agree."""
_TELLING = ("kind", "state", "scope", "quoted_on", "item", "description", "percent_complete")
_NAMING = ("phase", "person", "day", "label", "payee", "document", "kind", "started", "finished")


@dataclass(slots=True)
class Line:
    """A row that sums up others: what it claims to be ("sum", "part", "mean") and its figures."""

    index: int
    claim: str
    label: str
    values: dict[str, Value] = field(default_factory=dict)


@dataclass(slots=True)
class _Tally:
    """Sums of a column: of all rows, of those since the last total, and of each job."""

    whole: float = 0.0
    part: float = 0.0
    count: int = 0
    since: int = 0
    by_job: dict[str, float] = field(default_factory=dict)

    def add(self, figure: float, job: str) -> None:
        self.whole += figure
        self.part += figure
        self.count += 1
        self.since += 1
        self.by_job[job] = self.by_job.get(job, 0.0) + figure


def part_totals(
    table: Table, body: Sequence[int], vocabulary: Vocabulary
) -> tuple[list[int], list[Line]]:
    """Rows of the body, and the rows among them whose label says that they sum up others."""
    job = table.column("job")
    names: set[str] = set()
    lines: list[int] = []
    totals: list[Line] = []
    words_of = headings().totals
    words = set(words_of)
    of_jobs = _job_totals(table, body)
    for index in body:
        cells = table.grid.rows[index]
        label = next((cell_text(raw) for raw in cells if raw is not None and raw != ""), "")
        folded = fold_heading(label)
        may = words & set(folded.split()) or folded in words or _YEAR.fullmatch(label)
        claim = _claim(label, names, vocabulary) if may else ""
        at_job = cell_text(cells[job.indexes[0]]) if job else ""
        if not claim and job and not at_job:
            claim, label = _claim_anywhere(cells)
        if index in of_jobs:
            label = of_jobs[index]
            claim = "mean" if words_of[fold_heading(label)] == "mean" else "part"
        if claim:
            totals.append(Line(index, claim, label))
            continue
        if at_job:
            names.add(key_of(at_job))
        lines.append(index)
    return lines, totals


def _job_totals(table: Table, body: Sequence[int]) -> dict[int, str]:
    """Rows that name a job and, for its phase or person, a total: "Maple | Subtotal | 76".

    A job with no other row is given by that row alone, which then is no total of others.
    """
    job = table.column("job")
    beside = [c for f in ("phase", "person", "payee") if (c := table.column(f))]
    if job is None:
        return {}
    found: dict[int, tuple[str, str]] = {}
    others: set[str] = set()
    for index in body:
        cells = table.grid.rows[index]
        name = key_of(cell_text(cells[job.indexes[0]]))
        labels = [cell_text(cells[column.indexes[0]]) for column in beside]
        label = next((text for text in labels if fold_heading(text) in headings().totals), "")
        if name and label:
            found[index] = name, label
        else:
            others.add(name)
    return {index: label for index, (name, label) in found.items() if name in others}


def check_totals(table: Table, rows: list[Row], totals: list[Line], setting: Setting) -> list[Row]:
    """Check total rows against the rows above them; return the rows that are none.

    A row whose figures are all sums of the rows above is a total too, if that is no chance.
    """
    notes = setting.notes
    columns = [c for c in table.columns if reads_as(table.kind, c.field) in _SUMMED]
    columns = [c for c in columns if c.field != "balance"]
    tallies = {c.key: _Tally() for c in columns}
    waiting = sorted(totals, key=lambda line: line.index)
    kept: list[Row] = []
    job, below = "", False
    for row in rows:
        while waiting and waiting[0].index < row.index:
            line = waiting.pop(0)
            below = below or line.claim == "sum"
            _check(table, columns, line, tallies, notes)
        row.after_total, below = below, False
        named = key_of(str(row.values.get("job", "")))
        if table.kind == "jobs" and fold(named) in setting.vocabulary.cost_words:
            text = "it is named like a kind of cost, and is no job of its own"
            notes.add("set aside", row.place, text, _label(table, row.index))
            continue
        figures = {k: f for k in tallies if (f := _figure(row.values.get(k))) is not None}
        sums = _sums_up(table, row, figures, tallies, setting)
        if sums is _Sums.ASKED:
            continue
        if sums is _Sums.YES:
            label = _label(table, row.index) or "a row of figures with no name"
            _check(table, columns, Line(row.index, "sum", label, row.values), tallies, notes)
            below = True
            continue
        job = named or job
        kept.append(row)
        for key, figure in figures.items():
            tallies[key].add(figure, job)
    for line in waiting:
        _check(table, columns, line, tallies, notes)
    return kept


class _Sums(Enum):
    """Whether a row sums up those above it."""

    NO = "no"
    YES = "yes"
    ASKED = "asked"


def _sums_up(
    table: Table,
    row: Row,
    stated: Mapping[str, float],
    tallies: dict[str, _Tally],
    setting: Setting,
) -> _Sums:
    """Whether a row is the sum of the rows above: by its figures, and by what else it says."""
    figures = {k: f for k, f in stated.items() if f}
    counts = [_rows_summed(f, tallies[k]) for k, f in figures.items()]
    if not counts or min(counts) <= 1:
        return _Sums.YES if _nameless_foot(table, row, figures, tallies) else _Sums.NO
    said = [name for name in (*_NAMING, *_TELLING) if row.values.get(name) is not None]
    label = _label(table, row.index)
    named = key_of(str(row.values.get("job", "")))
    dated = table.column("day") is None or "day" in said
    lines = table.kind not in _ONCE
    bare = not said or (len(said) == 1 and not dated)
    if (not named and not said) or (lines and bare and not (named and said)):
        return _Sums.YES
    again = named and any(named in tally.by_job for tally in tallies.values())
    if lines or len(said) > 1 or (again and table.kind == "jobs"):
        return _Sums.NO
    unknown = said == ["phase"] and not setting.vocabulary.knows_phase(str(row.values["phase"]))
    if len(figures) > 1 or (max(counts) >= _CHANCE and (not said or unknown)):
        return _Sums.YES
    small = max(figures.values()) < _WHOLE_UNITS or said
    return _Sums.NO if small else _asked(table, row, label, max(counts), setting)


def _nameless_foot(
    table: Table, row: Row, figures: Mapping[str, float], tallies: Mapping[str, _Tally]
) -> bool:
    """Whether the last row says nothing but figures at least as large as the sums above.

    Where a row above waits its sum cannot agree, and it is a total all the same.
    """
    cells = [raw for raw in table.grid.rows[row.index] if raw is not None and cell_text(raw)]
    below = table.grid.rows[row.index + 1 :]
    last = all(sum(1 for raw in rest if cell_text(raw)) <= 1 for rest in below)
    sums = [abs(f) >= abs(tallies[k].whole) and tallies[k].count > 1 for k, f in figures.items()]
    return last and len(cells) == len(sums) and bool(sums) and all(sums)


def _asked(table: Table, row: Row, label: str, count: int, setting: Setting) -> _Sums:
    """Ask whether a row that is the sum of two others is their total."""
    about = (table.grid.file, table.grid.sheet, label)
    told = setting.answers.get("total", *about)
    if told is not None:
        text = f"'{label}' is {told}, as you answered"
        setting.notes.add("understood", row.place, text, label)
        return _Sums.YES if told == TOTAL else _Sums.NO
    cells = " | ".join(cell_text(raw) for raw in table.grid.rows[row.index]).strip(" |")
    text = f"Is '{label}' only the total of the {count} rows above it?"
    choices = (f"{TOTAL} (it is left out)", f"{ROW} (it counts)")
    setting.ask("total", about, row.place, text, choices, found=label, samples=(cells,))
    setting.notes.add("asked", row.place, "it is the sum of the rows above: a total?", cells)
    return _Sums.ASKED


def _rows_summed(figure: float, tally: _Tally) -> int:
    """How many rows above a figure is the sum of; 0 if of none."""
    if tally.since > 1 and _near(figure, tally.part):
        return tally.since
    return tally.count if tally.count > 1 and _near(figure, tally.whole) else 0


def _label(table: Table, index: int) -> str:
    cells = table.grid.rows[index]
    return next((cell_text(raw) for raw in cells if isinstance(raw, str) and raw.strip()), "")


def _claim(label: str, names: set[str], vocabulary: Vocabulary) -> str:
    """What a row's first text claims: "TOTAL", "Sub-total", "Total Maple", "Maple total"."""
    known = headings().totals
    words = fold_heading(label).split()
    whole = " ".join(words)
    if whole in known:
        return known[whole]
    if _YEAR.fullmatch(label) and any(any(c.isalpha() for c in name) for name in names):
        return "part"
    for cut in (1, 2):
        if len(words) <= cut:
            break
        for taken, rest in ((words[:cut], words[cut:]), (words[-cut:], words[:-cut])):
            claim = known.get(" ".join(taken))
            if claim and _sums_something(rest, names, vocabulary):
                return "part" if claim == "sum" else claim
    return ""


def _sums_something(rest: Sequence[str], names: set[str], vocabulary: Vocabulary) -> bool:
    """Whether the words beside "total" say what is summed: a job, a phase, a measure, a year."""
    text = " ".join(w for w in rest if w not in {"for", "of", "pour", "de", "all"})
    table = headings()
    return (
        not text
        or key_of(text) in names
        or fold(text) in vocabulary.phase_words
        or text in table.measures
        or text in table.units
        or text in _OF_TIME
        or text.isdigit()
    )


def _claim_anywhere(cells: Sequence[Raw]) -> tuple[str, str]:
    known = headings().totals
    for raw in cells:
        if isinstance(raw, str):
            claim = known.get(fold_heading(raw), "")
            if claim:
                return claim, cell_text(raw)
    return "", ""


def _figure(value: Value | None) -> float | None:
    if isinstance(value, Money):
        return float(value.cents)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value)


def _near(stated: float, worked: float) -> bool:
    return abs(stated - worked) <= 1e-6 * max(1.0, abs(worked))


def _check(
    table: Table,
    columns: Sequence[Column],
    line: Line,
    tallies: dict[str, _Tally],
    notes: Notes,
) -> None:
    """Compare a total row with the rows above it, column by column."""
    compared = False
    for column in columns:
        key = column.key
        tally = tallies[key]
        stated = _figure(line.values.get(key))
        if stated is not None and tally.count:
            place = table.place(line.index, column.heading)
            how = reads_as(table.kind, column.field) or ""
            text, agrees = _verdict(line, stated, tally, how, column)
            notes.add("checked", place, text, line.label, agrees=agrees)
            compared = True
    if not compared:
        text = f"'{line.label}' is taken for a row of totals and gives no figure to check"
        cells = " | ".join(cell_text(raw) for raw in table.grid.rows[line.index]).strip(" |")
        notes.add("set aside", table.place(line.index), text, cells)
    for tally in tallies.values():
        tally.part, tally.since = 0.0, 0
        if line.claim == "sum":
            tally.by_job.clear()


def _verdict(
    line: Line, stated: float, tally: _Tally, how: str, column: Column
) -> tuple[str, bool]:
    """What is to be said of a total, and whether it agrees."""
    if line.claim == "mean":
        ways = [tally.whole / tally.count]
        ways += [tally.part / tally.since] if tally.since else []
        what = "average"
        slack = 0.51 if how == "money" else 0.051
        agrees = any(abs(stated - w) <= max(0.01 * abs(w), slack) for w in ways)
    else:
        ways = [tally.whole, tally.part] if line.claim == "sum" else [tally.part, tally.whole]
        ways += list(tally.by_job.values()) if line.claim == "part" else []
        what = "sum"
        agrees = any(_near(stated, w) for w in ways)
    shown = _show(stated, how, column)
    if agrees:
        return f"'{line.label}' {shown} agrees with the {what} of the rows above", True
    gap = stated - ways[0]
    side = "more" if gap > 0 else "less"
    return (
        f"'{line.label}' says {shown}, the {what} of the rows above is "
        f"{_show(ways[0], how, column)}: {_show(abs(gap), how, column)} {side}"
    ), False


def _show(figure: float, how: str, column: Column) -> str:
    if how == "money":
        return f"{figure / 100:,.2f}"
    if how == "time":
        unit = "hours" if measured_in_hours(column.field) else "days"
        return f"{round(figure, 3):g} {unit}"
    return f"{round(figure, 3):g}"
