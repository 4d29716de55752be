"""Several rows of a job list for one job: copies, parts of one record, or what only a person knows.

Rows that agree wherever both say something are one record; a row that is the sum of the others
stands for them. Nothing else is summed unasked: rows may be phases, stages in time or two versions.
"""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, Value, key_of
from costlearn.intake.tables import Table
from costlearn.intake.targets import reads_as
from costlearn.units import say_count

ADDED, FIRST, LAST, NONE_OF_THEM = (
    "add them up",
    "the first counts",
    "the last counts",
    "leave them out",
)
"""What the rows of one job may be: the answers."""
CHOICES = (
    f"{ADDED} (parts of the job)",
    f"{LAST} (later stages or versions)",
    f"{FIRST} (the others are out of date)",
    NONE_OF_THEM,
)
_FREE = frozenset(("notes", "scope"))
_SLACK = 1.0


def one_row_a_job(table: Table, rows: Sequence[Row], setting: Setting) -> list[Row]:
    """The rows of a job list with those of one job together; rows that must be asked are left out.

    Rows that cannot be used stay as they are, to be told by the caller.
    """
    groups: dict[str, list[Row]] = {}
    for row in rows:
        name = "" if row.bad else key_of(row.text("job"))
        groups.setdefault(name or f"\n{row.index}", []).append(row)
    open_groups: list[list[Row]] = []
    kept: list[Row] = []
    for group in groups.values():
        known = _proven(table, group, setting) if len(group) > 1 else group[0]
        if known is None:
            open_groups.append(group)
        else:
            kept.append(known)
    kept += _asked(table, open_groups, setting)
    return sorted(kept, key=lambda row: row.index)


def _proven(table: Table, group: list[Row], setting: Setting) -> Row | None:
    """One row for a job's rows where the cells prove how they go together."""
    first = group[0]
    name = first.text("job")
    others = ", ".join(str(row.place.row) for row in group[1:])
    if all(row.values == first.values for row in group):
        text = f"'{name}' stands again in row {others}, word for word; it counts once"
        setting.notes.add("understood", group[1].place, text, name)
        return first
    whole = next((row for row in group if _is_sum(table, row, group)), None)
    if whole is not None:
        text = f"row {whole.place.row} is the sum of the other rows of '{name}' and stands for them"
        setting.notes.add("understood", whole.place, text, name)
        return whole
    if _agree(group):
        text = f"rows {first.place.row} and {others} tell of '{name}' together"
        setting.notes.add("understood", first.place, text, name)
        return _joined(group)
    return None


def _is_sum(table: Table, row: Row, group: Sequence[Row]) -> bool:
    """Whether a row's amounts and times are those of the other rows of its job added up."""
    others = [other for other in group if other is not row]
    fields = _summed(table)
    stated = {f: v for f in fields if (v := row.number(f)) is not None}
    if len(others) < 2 or not stated:
        return False
    sums = {f: sum(other.number(f) or 0.0 for other in others) for f in fields}
    return all(abs(sums[f] - value) <= _SLACK for f, value in stated.items()) and any(
        stated.values()
    )


def _agree(group: Sequence[Row]) -> bool:
    """Whether no two rows say different things of one figure, and all say something new."""
    seen: dict[str, Value] = {}
    figures = 0
    for row in group:
        for field, value in row.values.items():
            if field in _FREE:
                continue
            known = seen.setdefault(field, value)
            if known != value and not (field == "job" and key_of(str(known)) == key_of(str(value))):
                return False
            figures += field != "job"
    return figures > 0


def _joined(group: Sequence[Row]) -> Row:
    """One row that says all that several say; free texts stand behind one another."""
    whole = Row(group[0].index, group[0].place)
    for row in group:
        for field, value in row.values.items():
            known = whole.values.get(field)
            if field in _FREE and isinstance(known, str) and known != value:
                value = f"{known}; {value}"  # noqa: PLW2901
            elif known is not None:
                continue
            whole.values[field] = value
    return whole


def _asked(table: Table, groups: Sequence[list[Row]], setting: Setting) -> list[Row]:
    """What a person said of jobs in several rows; until then their rows wait."""
    if not groups:
        return []
    about = (table.grid.file, table.grid.sheet)
    told = setting.answers.get("rows of a job", *about)
    if told is not None:
        text = f"jobs in several rows: {told}, as you answered"
        setting.notes.add("understood", groups[0][0].place, text)
        return [row for group in groups if (row := _by_answer(table, group, told)) is not None]
    for group in groups:
        name = group[0].text("job")
        where = ", ".join(str(row.place.row) for row in group)
        text = f"'{name}' stands in rows {where} with different figures; they wait for an answer"
        setting.notes.add("asked", group[1].place, text, name)
    first = groups[0]
    where = " and ".join(str(row.place.row) for row in first)
    setting.ask(
        "rows of a job",
        about,
        first[1].place,
        f"'{first[0].text('job')}' stands in rows {where}. How do the rows of one job go together?",
        CHOICES,
        found=first[0].text("job"),
        waiting=sum(len(group) for group in groups),
        money=sum(max(_money(table, row) for row in group) for group in groups),
        holds=say_count(len(groups), "job"),
        samples=tuple(group[0].text("job") for group in groups[:3]),
    )
    return []


def _by_answer(table: Table, group: Sequence[Row], told: str) -> Row | None:
    if told in (FIRST, LAST):
        return group[0] if told == FIRST else group[-1]
    if told != ADDED:
        return None
    whole = _joined(group)
    for field in _summed(table):
        known = [value for row in group if (value := row.values.get(field)) is not None]
        figures = [v for v in known if isinstance(v, int | float) and not isinstance(v, bool)]
        if figures:
            whole.values[field] = sum(figures)
    started = [day for row in group if (day := row.day("started"))]
    finished = [day for row in group if (day := row.day("finished"))]
    if started:
        whole.values["started"] = min(started)
    if finished:
        whole.values["finished"] = max(finished)
    return whole


def _summed(table: Table) -> list[str]:
    """The fields whose figures are added up: amounts and times, not the floor."""
    return [c.key for c in table.columns if reads_as(table.kind, c.field) in ("money", "time")]


def _money(table: Table, row: Row) -> int:
    """The largest amount a row states, in cents."""
    money = [c.key for c in table.columns if reads_as(table.kind, c.field) == "money"]
    return max((cents for field in money if (cents := row.cents(field)) is not None), default=0)
