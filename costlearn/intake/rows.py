"""The rows of a table with every cell read, told or set aside; nothing is dropped unsaid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from costlearn.errors import Place
from costlearn.intake.answers import AREA_WORDS
from costlearn.intake.columns import Rule
from costlearn.intake.readings import Read, Setting, reader_of, vote_dates
from costlearn.intake.row import Row, Value
from costlearn.intake.tables import Column, Table, cell_text, column_at, missing_heading
from costlearn.intake.targets import fold_heading, reads_as
from costlearn.intake.torn import torn_rows
from costlearn.intake.totals import Line, check_totals, part_totals
from costlearn.intake.values.cells import Raw, Reading, is_missing, vote_decimal
from costlearn.intake.values.day_ranges import DayRange
from costlearn.intake.values.lengths import unit_for_bare_areas
from costlearn.intake.values.money import Money
from costlearn.intake.values.numerals import MARKS, marks_in, shown, tidy, unquoted
from costlearn.intake.values.sizes import read_area
from costlearn.intake.values.stints import Stint, may_tell_crew, read_stint
from costlearn.tidy import EXAMPLE
from costlearn.vocabulary import fold

_ELAPSED = "elapsed_days"
_OWN_DAYS = frozenset(("actual.days", "actual.site_days", "actual.person_days"))
DITTO = {'"', "''", "”", "〃", "ditto", "idem", "do"}
"""Texts that mean "as above"."""


def read_rows(table: Table, setting: Setting) -> list[Row]:
    """The rows of a table, cells read; total rows are checked against them and left out.

    Raises:
        InputProblem: a column contradicts itself on the order of day and month.
    """
    lines, totals = part_totals(table, _body(table, setting), setting.vocabulary)
    vote_dates(table, lines, setting)
    torn = torn_rows(table, lines)
    rows = [Row(index, table.place(index), bad=torn.get(index, "")) for index in lines]
    summed = {line.index: line for line in totals}
    for count, column in enumerate(table.columns):
        setting.watch(f"reading column '{column.heading}'", count / len(table.columns))
        _read_column(table, column, rows, summed, setting)
    setting.watch("putting rows together", 1.0)
    _constants(table, rows, setting)
    return check_totals(table, rows, totals, setting)


def row_text(table: Table, index: int) -> str:
    """All cells of a row as one line, for a finding."""
    return " | ".join(cell_text(raw) for raw in table.grid.rows[index]).strip(" |")


def set_aside(table: Table, row: Row, why: str, setting: Setting) -> None:
    """Note that a row is not used, with its text."""
    setting.notes.add("set aside", row.place, why, row_text(table, row.index))


def _body(table: Table, setting: Setting) -> list[int]:
    """The rows that say anything, without repeated headings and those the map leaves out."""
    grid = table.grid
    heads = [_folded(grid.rows[i]) for i in range(table.header, table.body)]
    body: list[int] = []
    examples = 0
    for index in range(table.body, len(grid.rows)):
        cells = grid.rows[index]
        if all(raw is None or raw == "" for raw in cells):
            continue
        start, first = next((i, r) for i, r in enumerate(cells) if r is not None and r != "")
        if isinstance(first, str):
            if first.strip().casefold().startswith(EXAMPLE):
                examples += 1
                continue
            folded = fold_heading(cell_text(first))
            if any(head.get(start) == folded and _repeats(cells, head) for head in heads):
                text = "the headings are repeated in this row, which is skipped"
                setting.notes.add("understood", table.place(index), text)
                continue
        body.append(index)
    if examples:
        text = f"rows that begin with '{EXAMPLE}' only show what to write and are not read"
        setting.notes.add("understood", table.place(table.header), text)
    return _only(table, body, setting)


def _folded(cells: Sequence[Raw]) -> dict[int, str]:
    return {
        i: folded for i, raw in enumerate(cells) if raw and (folded := fold_heading(cell_text(raw)))
    }


def _repeats(cells: Sequence[Raw], head: dict[int, str]) -> bool:
    row = _folded(cells)
    same = sum(1 for i, text in row.items() if head.get(i) == text)
    return same >= 2 and same >= 0.8 * max(len(row), len(head))


def _only(table: Table, body: list[int], setting: Setting) -> list[int]:
    """The rows the column map picks; those left out are counted.

    Raises:
        InputProblem: the map picks rows by a column that is not there.
    """
    chart = setting.chart
    if not chart.only and not chart.skip:
        return body
    heads = [cell_text(raw) for raw in table.grid.rows[table.header]]
    heads = heads if table.body > table.header else [""] * len(heads)
    where = {head: column_at(heads, head) for head in (*chart.only.values, *chart.skip.values)}
    if None in where.values():
        raise missing_heading([table.grid], chart)

    def picked(rule: Rule, row: int) -> list[bool]:
        cells = table.grid.rows[row]
        number = table.grid.first_row + row
        tests = [
            fold(cell_text(cells[where[head] or 0])) in {fold(value) for value in values}
            for head, values in rule.values.items()
        ]
        return tests + ([any(number in rows for rows in rule.rows)] if rule.rows else [])

    kept = [i for i in body if all(picked(chart.only, i)) and not any(picked(chart.skip, i))]
    left = len(body) - len(kept)
    if left:
        rules = [str(chart.only)] if chart.only else []
        rules += [f"without {chart.skip}"] if chart.skip else []
        setting.notes.add(
            "understood",
            table.place(table.header),
            f"{left} of {len(body)} rows are left out by the column map ({'; '.join(rules)})",
        )
    return kept


def _read_column(
    table: Table, column: Column, rows: list[Row], totals: dict[int, Line], setting: Setting
) -> None:
    key = column.key
    if len(column.indexes) > 1:
        for row in rows:
            parts = [cell_text(table.grid.rows[row.index][i]) for i in column.indexes]
            row.put(key, column.joint.join(p for p in parts if p) or None)
        return
    at = column.indexes[0]
    raws = [table.grid.rows[row.index][at] for row in rows]
    if column.field == "area":
        column = _in_told_unit(table, column, rows, raws, setting)
    if column.field.endswith(_ELAPSED) and _tells_crew(raws, setting):
        # Days "of two of us" are days on site, whatever the heading calls them.
        column = replace(column, field=column.field.removesuffix(_ELAPSED) + "days")
        key = column.key
    read = _by_own_mark(table, column, raws, setting)
    # Nine cells in ten say something plain: they are taken without further question.
    plain = column.field != "job"
    seen: dict[tuple[type, Raw], Reading[Value] | str] = {}
    for row, raw in zip(rows, raws, strict=True):
        known = (type(raw), raw)
        reading = seen.get(known)
        if reading is None:
            reading = seen[known] = says_nothing(raw, setting) or read(raw)
        if not isinstance(reading, str):
            simple = not (reading.problem or reading.note or reading.rest)
            if plain and simple and not isinstance(reading.value, Stint | DayRange):
                if reading.value is not None:
                    row.values[key] = reading.value
                continue
            _take(table, column, row, raw, reading, setting)
        elif reading != "blank":
            _nothing(table, column, row, raw, reading, setting)
    if reads_as(table.kind, column.field) in {"money", "time", "area", "number"}:
        _read_totals(table, column, totals, read, setting)


def _read_totals(
    table: Table, column: Column, totals: dict[int, Line], read: Read, setting: Setting
) -> None:
    for line in totals.values():
        raw = table.grid.rows[line.index][column.indexes[0]]
        stated = None if says_nothing(raw, setting) else read(raw).value
        if stated is not None:
            line.values[column.key] = stated


def says_nothing(raw: Raw, setting: Setting) -> str:
    """Why a cell says nothing: "" if it does say something, "blank", "listed" or "missing"."""
    if raw is None or (isinstance(raw, str) and not raw.strip()):
        return "blank"
    if is_missing(raw):
        return "missing"
    also = setting.chart.missing
    return "listed" if also and is_missing(raw, also) else ""


def _in_told_unit(
    table: Table, column: Column, rows: Sequence[Row], raws: Sequence[Raw], setting: Setting
) -> Column:
    """A column of floor areas with the unit a person said its bare figures are in; asked if not.

    The floor is what estimates lean on most: figures without a unit are asked for once a column.
    """
    if column.unit or "area" in setting.chart.units or unit_for_bare_areas(raws):
        return column
    about = (table.grid.file, table.grid.sheet, column.heading)
    place = table.place(table.header, column.heading)
    said = setting.answers.get("unit", *about)
    if said:
        name = next(words for words, unit in AREA_WORDS.items() if unit == said)
        text = f"figures without a unit in column '{column.heading}' are {name}, as you answered"
        setting.notes.add("understood", place, text)
        return replace(column, unit=said)
    decimal = vote_decimal(raws)
    bare = [
        (row, raw)
        for row, raw in zip(rows, raws, strict=True)
        if read_area(raw, unit=None, decimal=decimal, firm_unit=setting.firm.area_unit).code
        == "no unit"
    ]
    if bare:
        first, raw = bare[0]
        where = Place(first.place.file, first.place.sheet, first.place.row, column.heading)
        text = (
            f"Are the sizes in column '{column.heading}' square feet or square metres? Those "
            "without a unit are not used so far."
        )
        found, waiting = cell_text(raw), len(bare)
        setting.ask("unit", about, where, text, tuple(AREA_WORDS), found=found, waiting=waiting)
    return column


def _by_own_mark(table: Table, column: Column, raws: Sequence[Raw], setting: Setting) -> Read:
    """How cells are read by their column's decimal mark, or by their own where that settles them.

    Amounts of money see to this by themselves; "7,5" among hours with points is 7.5, and said.
    """
    read = reader_of(table, column, raws, setting)
    marked = reads_as(table.kind, column.field) in {"time", "area", "number", "percent", "scope"}
    if not marked or setting.chart.decimal:
        return read
    other = "," if vote_decimal(raws) == "." else "."
    read_other: Read | None = None

    def settled(raw: Raw) -> Reading[Value]:
        reading = read(raw)
        if (
            not reading.problem
            or not isinstance(raw, str)
            or marks_in(unquoted(tidy(raw))) != {other}
        ):
            return reading
        nonlocal read_other
        read_other = read_other or reader_of(table, column, raws, setting, other)
        again = read_other(raw)
        if again.value is None:
            return reading
        text = f"{shown(raw)} is read by the {MARKS[other]} as its decimal mark, unlike its column"
        return Reading(again.value, note=f"{text}; {again.note}" if again.note else text)

    return settled


def _nothing(
    table: Table, column: Column, row: Row, raw: Raw, nothing: str, setting: Setting
) -> None:
    """Note a text that means nothing is known; blanks are not worth a word."""
    text = cell_text(raw)
    if column.field == "pause":
        return
    if column.field == "job":
        if {text, fold(text)} & DITTO:
            return
        row.job_unknown = True
    place = Place(row.place.file, row.place.sheet, row.place.row, column.heading)
    if nothing == "listed":
        said = f"'{text}' means nothing is there, as the column map says"
        setting.notes.add("understood", place, said, text)
    else:
        setting.notes.add("set aside", place, f"'{text}' is taken as not known", text)


def _take(
    table: Table, column: Column, row: Row, raw: Raw, reading: Reading[Value], setting: Setting
) -> None:
    """Put what a cell says into its row, or note why it says nothing usable."""
    key = column.key
    value = reading.value
    if column.field == "job" and isinstance(value, str) and {value, fold(value)} & DITTO:
        return
    if isinstance(value, DayRange):
        row.values.setdefault("started", value.first)
        if value.last:
            row.values.setdefault("finished", value.last)
    elif isinstance(value, Stint):
        _put_stint(row, key, value)
    elif value is not None:
        row.values[key] = value
    if reading.rest and isinstance(value, int | Money) and table.kind == "jobs":
        _take_rest(table, column, row, reading, setting)
    if not reading.problem and not reading.note:
        return
    place = Place(row.place.file, row.place.sheet, row.place.row, column.heading)
    if reading.problem:
        if column.field == "area" and reading.code == "negative":
            row.bad = f"its area {reading.problem}"
            return
        if column.field == "hours":
            row.bad = reading.problem
            return
        setting.notes.add("set aside", place, reading.problem, cell_text(raw))
    else:
        setting.notes.add("understood", place, reading.note, cell_text(raw))


def _tells_crew(raws: Sequence[Raw], setting: Setting) -> bool:
    """Whether cells that say how long a job took also say how many worked."""
    per_day = setting.firm.hours_per_day
    stints = (read_stint(r, unit="days", hours_per_day=per_day) for r in raws if may_tell_crew(r))
    return any(one.value is not None and one.value.crew is not None for one in stints)


def _put_stint(row: Row, key: str, stint: Stint) -> None:
    """What one cell says of days and people, under the figures it fills; stated ones come first."""
    side, dot, measure = key.rpartition(".")
    if stint.site_days is not None or stint.low is not None:
        row.values[f"{side}{dot}site_days" if measure == "person_days" else key] = stint
    for name, figure in (("person_days", stint.person_days), ("crew", stint.crew)):
        if figure is not None:
            row.values.setdefault(f"{side}{dot}{name}", figure)


def _take_rest(
    table: Table, column: Column, row: Row, reading: Reading[Value], setting: Setting
) -> None:
    """Days that stand beside an amount in one cell ("14k, 8 days")."""
    firm = setting.firm
    stint = read_stint(
        reading.rest, unit=None, hours_per_day=firm.hours_per_day, people=firm.names
    ).value
    if stint is not None and not any(c.field in _OWN_DAYS for c in table.columns):
        _put_stint(row, "actual.days", stint)


def _constants(table: Table, rows: list[Row], setting: Setting) -> None:
    """Values the column map states for every row; a column of the file comes first."""
    for name, value in setting.chart.constants.items():
        how = reads_as(table.kind, name)
        if how is None:
            continue
        read = reader_of(table, Column(name, name, (0,)), [value], setting)
        reading = read(value)
        if reading.value is None:
            setting.notes.add(
                "set aside",
                Place(setting.chart.file, "", 0, f"constants.{name}"),
                reading.problem or f"'{value}' is no value",
                str(value),
            )
            continue
        for row in rows:
            row.values.setdefault(name, reading.value)
