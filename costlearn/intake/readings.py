"""One column of a table read with one decimal mark, one date order and one unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import TypeVar

from costlearn.errors import Place
from costlearn.firm import DATE_ORDERS, Firm
from costlearn.intake.answers import LEAVE_OUT, LONGER, SHORTER, Answers, key_of
from costlearn.intake.columns import ColumnMap
from costlearn.intake.findings import MOST_SAMPLES, Notes
from costlearn.intake.row import Value
from costlearn.intake.scope import read_scope_cell
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.intake.targets import BOTH_HOURS, currency_in, fold_heading, headings, reads_as
from costlearn.intake.taxed_headings import BEFORE_TAX, WITH_TAX
from costlearn.intake.titles import with_year, year_around
from costlearn.intake.values.amounts import currencies_named
from costlearn.intake.values.cells import (
    Raw,
    Reading,
    is_missing,
    read_closed,
    read_count,
    read_number,
    read_yes_no,
    refused,
    says_thousands,
    vote_decimal,
)
from costlearn.intake.values.day_ranges import read_day_range
from costlearn.intake.values.days import read_day, vote_date_order
from costlearn.intake.values.gangs import read_crew, read_gang
from costlearn.intake.values.lengths import unit_for_bare_areas
from costlearn.intake.values.money import Money, read_money
from costlearn.intake.values.numerals import take_sign, tidy
from costlearn.intake.values.progress import progress_reader
from costlearn.intake.values.sizes import read_area, read_hours
from costlearn.intake.values.stints import Stint, may_tell_crew, read_stint, team_shown
from costlearn.intake.values.stretches import holds_stretches, read_stretch
from costlearn.intake.values.taxes import split_tax
from costlearn.records import Question
from costlearn.units import say_count
from costlearn.vocabulary import Vocabulary, fold
from costlearn.watch import Watch, unwatched

_STINTS = frozenset(("days", "site_days", "elapsed_days", "person_days"))
"""Measures of time whose cells may say how many worked."""
_BOTH = frozenset(("both", "together", "deux", "two"))
_TWO = 2
EITHER = "either"
"""The order of dates of a column of which nobody knows it."""
Read = Callable[[Raw], Reading[Value]]
T = TypeVar("T", bound=Value)

_HOURS = frozenset(("hours", "total", "regular", "overtime", "double"))
_ASKS_OPEN = {"open", "outstanding", "missing", "expected", "come", "ouvert", "ouverts", "venir"}
_OLDEST_HOUSE, _NEWEST_HOUSE = 1700, 2100


@dataclass(slots=True)
class Setting:
    """What holds for the reading of one table."""

    firm: Firm
    vocabulary: Vocabulary
    notes: Notes
    chart: ColumnMap = field(default_factory=ColumnMap)
    orders: dict[str, str] = field(default_factory=dict)
    """Field to the order of its dates."""
    watch: Watch = unwatched
    """Is told how far the reading of the table is."""
    phases: dict[str, str] = field(default_factory=dict)
    """Phase words met so far and their keys."""
    answers: Answers = field(default_factory=Answers)
    """What a person said to questions of earlier readings."""

    def ask(
        self,
        topic: str,
        about: Sequence[str],
        place: Place,
        text: str,
        choices: Sequence[str],
        *,
        found: str = "",
        waiting: int = 1,
        money: int = 0,
        holds: str = "",
        samples: Sequence[str] = (),
    ) -> None:
        """Put a question about a word, or about a sheet of a file.

        ``holds`` says what waits for the answer, ``money`` how many cents of it.
        """
        key = key_of(topic, *about)
        asked = Question(
            key, topic, place, found, text, tuple(choices), waiting, money, holds, tuple(samples)
        )
        self.notes.ask(asked)


def vote_dates(table: Table, lines: Sequence[int], setting: Setting) -> None:
    """Settle the order of day and month of every date column of a table.

    A column that proves nothing follows one that does, else the order the firm has said. Where
    nothing settles it, or cells contradict one another, dates that may be two days wait.
    """
    dated = [c for c in table.columns if reads_as(table.kind, c.field) == "date"]
    if setting.chart.date_order:
        setting.orders.update({c.field: setting.chart.date_order for c in dated})
        return
    firm = setting.firm
    preferred = firm.date_order
    told = firm.date_order_said or preferred != Firm().date_order
    open_columns: list[Column] = []
    proven: set[str] = set()
    year = year_around(table)
    for column in dated:
        index = column.indexes[0]
        said = setting.answers.get("dates", table.grid.file, table.grid.sheet, column.heading)
        if said:
            setting.orders[column.field] = said
            text = f"dates of column '{column.heading}' are read {said}, as you answered"
            setting.notes.add("understood", table.place(table.header, column.heading), text)
            continue
        raws = [with_year(table.grid.rows[i][index], year) for i in lines]
        vote = vote_date_order(raws, preferred)
        if vote.clash:
            one, other = (lines[i] for i in vote.clash)
            setting.orders[column.field] = EITHER
            setting.notes.add("asked", *_clash(table, column, one, other))
            _ask_order(table, column, lines, setting)
            continue
        if not vote.proven:
            open_columns.append(column)
        elif vote_date_order(raws, _other(preferred)).order == vote.order:
            # An order that stands whatever was preferred was proven by a cell.
            proven.add(vote.order)
        setting.orders[column.field] = vote.order
    shared = proven.pop() if len(proven) == 1 else None
    for column in open_columns:
        order = shared or (preferred if told else EITHER)
        setting.orders[column.field] = order
        if order == EITHER:
            _ask_order(table, column, lines, setting)
            continue
        why = "as another column of the sheet proves" if shared else "the firm's order"
        setting.notes.add(
            "understood",
            table.place(table.header, column.heading),
            f"no date in column '{column.heading}' proves whether the day or the month comes "
            f"first; read {order}, {why}",
        )


def _ask_order(table: Table, column: Column, lines: Sequence[int], setting: Setting) -> None:
    """Ask in which order the dates of a column are, showing one that may be two days."""
    year = year_around(table)
    raws = [with_year(table.grid.rows[i][column.indexes[0]], year) for i in lines]
    open_cells = [
        (i, raw)
        for i, raw in zip(lines, raws, strict=True)
        if not vote_date_order([raw], DATE_ORDERS[0]).proven
    ]
    if not open_cells:
        return
    first, _ = open_cells[0]
    samples = tuple(dict.fromkeys(cell_text(raw) for _, raw in open_cells))[:MOST_SAMPLES]
    setting.ask(
        "dates",
        (table.grid.file, table.grid.sheet, column.heading),
        table.place(first, column.heading),
        f"Does the month or the day come first in the dates of column '{column.heading}'?",
        DATE_ORDERS,
        found=cell_text(table.grid.rows[first][column.indexes[0]]),
        waiting=len(open_cells),
        holds=say_count(len(open_cells), "date"),
        samples=samples,
    )


def _other(order: str) -> str:
    return "day-first" if order == "month-first" else "month-first"


def _clash(table: Table, column: Column, one: int, other: int) -> tuple[Place, str]:
    """Where a column contradicts itself on the order of day and month, and how."""
    rows = sorted((one, other))
    texts = [cell_text(table.grid.rows[i][column.indexes[0]]) for i in rows]
    numbers = " and ".join(str(table.grid.first_row + i) for i in rows)
    text = (
        f"rows {numbers} contradict each other on which part is the month: '{texts[0]}' and "
        f"'{texts[1]}'; dates that may be two days wait"
    )
    return table.place(rows[0], column.heading), text


def reader_of(
    table: Table, column: Column, raws: Sequence[Raw], setting: Setting, mark: str = ""
) -> Read:
    """How the cells of a column are read, settled once from all its cells.

    ``mark`` is the decimal mark to read by; blank for the one most of the cells prove.
    """
    how = reads_as(table.kind, column.field) or "text"
    told = mark or setting.chart.decimal
    decimal = (
        "." if how in {"text", "date", "dates", "flag", "grade"} else told or vote_decimal(raws)
    )
    if how == "money":
        return _money_reader(table, column, raws, decimal, setting)
    if how in {"time", "area", "scope"}:
        return _size_reader(table, column, how, decimal, raws, setting)
    order = setting.orders.get(column.field, setting.firm.date_order)
    progress = progress_reader(raws if how == "percent" else (), decimal)
    plain: Mapping[str, Read] = {
        "date": _day_reader(table, column, order, setting),
        "dates": lambda raw: _widen(read_day_range(raw, order=order, year=year_around(table))),
        "number": lambda raw: _people(read_crew(raw, decimal=decimal)),
        "year": lambda raw: _year(read_count(raw)),
        "grade": _grade,
        "flag": _flag_reader(column),
        "percent": lambda raw: _widen(progress(raw)),
        "text": lambda raw: Reading(_lines(raw) if column.field == "scope" else cell_text(raw)),
    }
    return plain[how]


def _day_reader(table: Table, column: Column, order: str, setting: Setting) -> Read:
    """Dates; "3-Mar" gets the one year that the sheet, its titles or the file speak of, if any."""
    year = year_around(table)

    def read(raw: Raw) -> Reading[Value]:
        reading = _day(raw, order, None)
        if year is None or reading.code != "no year":
            return _widen(reading)
        again = _day(raw, order, year)
        if again.value is None:
            return _widen(reading)
        place = table.place(table.header, column.heading)
        text = (
            f"days without a year in column '{column.heading}' are taken to be of {year}, the only "
            "year the titles, the sheet and the file speak of"
        )
        setting.notes.once(("year", table.grid.sheet, column.heading), "proposed", place, text)
        return _widen(again)

    return read


def _day(raw: Raw, order: str, year: int | None) -> Reading[date]:
    """A date; in a column of which nobody knows the order only where both orders say the same."""
    if order != EITHER:
        return read_day(raw, order=order, year=year)
    one, other = (read_day(raw, order=order, year=year) for order in DATE_ORDERS)
    if one.value and other.value and one.value != other.value:
        return refused(
            cell_text(raw), "may be two days: nothing proves its order", "day or month first"
        )
    return one if one.value else other


def _flag_reader(column: Column) -> Read:
    """Yes or no; books may be open or closed, and their column may ask for either."""
    if column.field != "books_closed":
        return lambda raw: _widen(read_yes_no(raw))
    asks_open = bool(_ASKS_OPEN & set(fold(column.heading).split()))
    return lambda raw: _widen(read_closed(raw, asks_open=asks_open))


def _lines(raw: Raw) -> str:
    """A cell as text with its line ends kept: each line of a scope is an item."""
    lines = raw.splitlines() if isinstance(raw, str) else [raw]
    return "\n".join(text for line in lines if (text := cell_text(line)))


def _money_reader(
    table: Table, column: Column, raws: Sequence[Raw], decimal: str, setting: Setting
) -> Read:
    firm = setting.firm
    keep, is_job = table.kind in ("receipts", "statement"), table.kind == "jobs"
    net_only = firm.tax_recoverable or (not keep and column.field in {"price", "paid"})
    stated = setting.chart.units.get(column.field, column.unit)
    read = partial(
        read_money,
        decimal=decimal,
        tax_rate=tax_rate(raws, setting),
        firm_currency=firm.currency,
        ranges=is_job,
        unit=1000 if stated == "thousands" else None if is_job and says_thousands(raws) else 1,
        net_only=net_only,
    )
    mapped = setting.chart.constants.get("currency")
    said = currency_in(column.heading) or (str(mapped) if mapped else None)
    open_currency = is_job and not mapped and len(currencies_named(column.heading)) > 1
    wanted_net = firm.tax_recoverable or column.field in {"price", "paid"}
    if stated == BEFORE_TAX and not wanted_net:
        why = "is before tax, which the firm does not get back: the cost with it is not known"
        return lambda raw: refused(cell_text(raw), why, "tax unclear")
    within = _rate_within(table, column, raws, setting) if stated == WITH_TAX and wanted_net else 0
    if within is None:
        return lambda raw: refused(cell_text(raw), "has tax in it, of no known rate", "no tax rate")

    def whole(raw: Raw) -> Reading[Value]:
        reading = read(raw)
        if open_currency and reading.value is not None and not reading.value.currency:
            why = "does not say which of the currencies of its heading it is in"
            return refused(cell_text(raw), why, "two currencies")
        found = _money(raw, reading, firm, said, keep=keep, net_only=net_only)
        return _without_tax(found, within) if within else found

    return whole


def _rate_within(
    table: Table, column: Column, raws: Sequence[Raw], setting: Setting
) -> float | None:
    """The rate of the tax that a heading says is in its amounts; asked where nobody has said it."""
    stated = setting.chart.constants.get("tax_rate")
    if isinstance(stated, int | float):
        return float(stated)
    sheet = (table.grid.file, table.grid.sheet)
    said = setting.answers.get("tax", *sheet)
    if said is not None:
        return float(said)
    filled = [raw for raw in raws if not is_missing(raw)]
    setting.ask(
        "tax",
        sheet,
        table.place(table.header, column.heading),
        f"Which tax is in the amounts of '{column.heading}'? They wait for it.",
        ("a rate, such as 13 %", "none"),
        found=column.heading,
        waiting=max(len(filled), 1),
        holds=say_count(len(filled), "amount"),
        samples=tuple(cell_text(raw) for raw in filled[:MOST_SAMPLES]),
    )
    return None


def _without_tax(found: Reading[Value], rate: float) -> Reading[Value]:
    """An amount with the tax in it taken out."""
    value, part = found.value, 1 / (1 + rate)
    if isinstance(value, Money) and value.low is not None and value.high is not None:
        low, high = round(value.low * part), round(value.high * part)
        return replace(
            found, value=replace(value, cents=round(value.cents * part), low=low, high=high)
        )
    if isinstance(value, int) and not isinstance(value, bool):
        return replace(found, value=round(value * part))
    return found


def _size_reader(
    table: Table, column: Column, how: str, decimal: str, raws: Sequence[Raw], setting: Setting
) -> Read:
    unit = setting.chart.units.get(column.field, column.unit)
    firm = setting.firm
    if how == "area":
        around = None if unit else unit_for_bare_areas(raws)
        if around:
            text = f"bare figures in column '{column.heading}' are read as {around}, like the rest"
            place = table.place(table.header, column.heading)
            setting.notes.once(
                ("area unit", table.grid.sheet, column.heading), "proposed", place, text
            )
        unit = unit or around
        return lambda raw: _widen(
            read_area(raw, unit=unit, decimal=decimal, firm_unit=firm.area_unit)
        )
    if how == "scope":
        item = setting.vocabulary.item(column.field.removeprefix("scope."))
        return lambda raw: _widen(
            read_scope_cell(raw, item, unit=unit, area_unit=firm.area_unit, decimal=decimal)
        )
    if table.kind in ("jobs", "phases") and unit != "hours" and _measure(column) in _STINTS:
        return _stint_reader(column, raws, unit, decimal, firm)
    timed = _signed_time if table.kind == "changes" else _time
    if table.kind == "hours" and column.field == "hours" and holds_stretches(raws):
        return lambda raw: (
            _widen(_told_stretch(stretch, raw, table, column, setting))
            if (stretch := read_stretch(raw))
            else timed(raw, column.field, unit, firm, decimal)
        )
    return lambda raw: timed(raw, column.field, unit, firm, decimal)


def _told_stretch(
    found: Reading[float], raw: Raw, table: Table, column: Column, setting: Setting
) -> Reading[float]:
    """Hours between times of day; where they may be two lengths, as a person said, once for all."""
    if len(found.choices) != _TWO:
        return found
    said = setting.answers.get("stretch", column.heading)
    if said is not None:
        longer = said == LONGER
        return found if said == LEAVE_OUT else Reading(found.choices[longer])
    short, long = (f"{hours:g}" for hours in found.choices)
    setting.ask(
        "stretch",
        (column.heading,),
        table.place(table.body - 1, column.heading),
        f"'{cell_text(raw)}' may be {short} or {long} hours: which? Such rows wait.",
        (SHORTER, LONGER, LEAVE_OUT),
        found=cell_text(raw),
        holds="hours of jobs",
        samples=(cell_text(raw),),
    )
    return found


def _measure(column: Column) -> str:
    return column.field.rpartition(".")[2]


def _stint_reader(
    column: Column, raws: Sequence[Raw], unit: str | None, decimal: str, firm: Firm
) -> Read:
    """Days of a job or phase with the people that the cell, or the whole column, speaks of."""
    words = set(fold_heading(column.heading).split())
    both = 2 if words & _BOTH else None
    stated = "person-days" if _measure(column) == "person_days" else unit or "days"
    if {"x", "guys", "people", "men", "crew"} & words and "days" in words:
        stated = "days x people"
    team = both or (len(firm.names) if len(firm.names) == _TWO else None)

    def read_by(raw: Raw, team: int | None) -> Reading[Stint]:
        return read_stint(
            raw,
            unit=stated,
            hours_per_day=firm.hours_per_day,
            people=firm.names,
            team=team,
            decimal=decimal,
        )

    team = team or team_shown(read_by(raw, None) for raw in set(raws) if may_tell_crew(raw))

    def read(raw: Raw) -> Reading[Value]:
        reading = read_by(raw, team)
        stint = reading.value
        if stint is None:
            again = _time(raw, column.field, None, firm, decimal)
            return again if again.value is not None else _widen(reading)
        if stint.crew is None and both and not reading.note and stint.site_days:
            stint = replace(stint, crew=2.0, person_days=2 * stint.site_days)
        plain = stint.crew is None and stint.low is None and stint.person_days is None
        return _widen(reading, stint.site_days if plain else stint)

    return read


def tax_rate(raws: Sequence[Raw], setting: Setting) -> float | None:
    """The one tax rate that cells of a column state, for those that speak of tax without one."""
    stated = setting.chart.constants.get("tax_rate")
    if isinstance(stated, int | float):
        return float(stated)
    rates: set[float] = set()
    for raw in raws:
        if isinstance(raw, str) and "%" in raw:
            _, tail = split_tax(raw)
            for word in tail.replace("%", " % ").split():
                figure = read_number(word).value if word[0].isdigit() else None
                if figure is not None:
                    rates.add(round(figure / 100, 6))
    return rates.pop() if len(rates) == 1 else None


def _widen(reading: Reading[T], value: Value | None = None) -> Reading[Value]:
    value = reading.value if value is None else value
    told = (reading.problem, reading.note, reading.code, reading.rest, reading.choices)
    return Reading(value, *told)


def _money(
    raw: Raw,
    reading: Reading[Money],
    firm: Firm,
    said: str | None,
    *,
    keep: bool,
    net_only: bool,
) -> Reading[Value]:
    """Money in cents; a receipt keeps its tax apart and may be in a foreign currency.

    ``said`` is the currency the column's heading states for amounts that state none.
    """
    money = reading.value
    if money is not None and said and not money.currency:
        money = replace(money, currency=said)
    if money is None or keep:
        return _widen(reading, money)
    if money.currency and money.currency != firm.currency:
        return refused(
            cell_text(raw),
            f"is in {money.currency}, the firm's jobs are kept in {firm.currency}; currencies are "
            "not added without a dated rate",
            "foreign",
        )
    whole = money if net_only else money.with_tax()
    return _widen(reading, whole.cents if whole.low is None else whole)


def _time(raw: Raw, field: str, unit: str | None, firm: Firm, decimal: str) -> Reading[Value]:
    """Hours for ``hours`` and ``person_hours``, days for every other measure of time."""
    in_hours = measured_in_hours(field)
    default = "hours" if in_hours else "days"
    known = unit if unit in ("hours", "days") else default
    reading = read_hours(raw, unit=known, hours_per_day=firm.hours_per_day, decimal=decimal)
    value = reading.value
    gang = read_gang(raw) if value is None and field == "hours" else None
    if gang is not None:
        return Reading(gang.total)
    if value is None:
        return _widen(reading)
    if value < 0:
        return refused(cell_text(raw), "is negative, which no time can be", "negative")
    return Reading(value if in_hours else round(value / firm.hours_per_day, 9), note=reading.note)


def measured_in_hours(field: str) -> bool:
    """Whether a field of time is kept in hours; every other one is in days."""
    spread = field.startswith(("on.", "at.", "by.", "for."))
    return spread or field in _HOURS or field.endswith(("person_hours", BOTH_HOURS))


def _signed_time(
    raw: Raw, field: str, unit: str | None, firm: Firm, decimal: str
) -> Reading[Value]:
    """Time that a change adds or, with a minus, takes away."""
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        return _time(raw, field, unit, firm, decimal)
    signed = take_sign(tidy(str(raw)))
    if not signed.minuses:
        return _time(raw, field, unit, firm, decimal)
    without: Raw = signed.text if isinstance(raw, str) else -raw
    reading = _time(without, field, unit, firm, decimal)
    if isinstance(reading.value, int | float):
        return Reading(-reading.value, note=reading.note)
    return reading


def _people(reading: Reading[float]) -> Reading[Value]:
    if reading.value is not None and not 0 < reading.value <= 100:
        return Reading(problem=f"{reading.value:g} is no number of people", code="unreadable")
    return _widen(reading)


def _year(reading: Reading[int]) -> Reading[Value]:
    if reading.value is not None and not _OLDEST_HOUSE <= reading.value <= _NEWEST_HOUSE:
        return Reading(problem=f"{reading.value} is no year of a house", code="unreadable")
    return _widen(reading)


def _grade(raw: Raw) -> Reading[Value]:
    text = cell_text(raw)
    grade = headings().grades.get(fold(text))
    if grade is None:
        return refused(text, "is no finish grade (basic, middle, high)")
    return Reading(float(grade))
