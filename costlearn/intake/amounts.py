"""Cost and time of a row: person-days from hours or crew-days, elapsed days from dates."""

from __future__ import annotations

import re
from datetime import date

from costlearn.errors import Place
from costlearn.intake.answers import PERSON_DAYS
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.tables import Table
from costlearn.intake.targets import BOTH_HOURS, BOUGHT
from costlearn.records import COST_KINDS, Amounts

_IN_PERSON_DAYS = re.compile(
    r"\bdays? *(?:=|:|is|are|means?|count(?:s|ed)? as|in) *(?:(?:one|1|a) )?"
    r"(?:(?:person|man)[- ]?days?|(?:person|man|guy)[, ]+(?:for )?(?:one|1|a) day)\b",
    re.IGNORECASE,
)
"""In a line above a table: its days are those of one person, "days = one person one day"."""
_DAYS = ("person_days", "site_days", "wait_days", "elapsed_days")


def amounts(
    table: Table, row: Row, side: str, setting: Setting, *, prefix: str = "", keep_credit: bool
) -> Amounts:
    """The planned or actual amounts of a row (or of a phase's columns in it).

    Money in cents, time in days. A planned 0 is not planned; ``keep_credit`` keeps an actual cost
    below zero.
    """
    start = f"{prefix}{side}."
    values: dict[str, float | None] = {m: row.number(start + m) for m in _DAYS}
    hours = row.number(f"{start}person_hours")
    each = row.number(f"{start}{BOTH_HOURS}")
    if hours is None and each is not None:
        hours = 2 * each
    if values["person_days"] is None and hours is not None:
        values["person_days"] = hours / setting.firm.hours_per_day
    bare = row.number(f"{start}days")
    if values["site_days"] is None:
        values["site_days"] = bare
    crew = _crew(table, row, start, values, setting)
    if values["person_days"] is None and values["site_days"] is not None:
        if crew is not None:
            values["person_days"] = values["site_days"] * crew
        elif bare is not None:
            crew = _told_crew(table, row, start, values, setting)
    money: dict[str, int | None] = {k: row.cents(start + k) for k in ("cost", *COST_KINDS)}
    _add_bought(money, row.cents(f"{start}{BOUGHT}"))
    _drop(table, row, start, values, money, setting, keep_credit=keep_credit)
    return Amounts(
        **money,
        crew=crew,
        person_days=_tidy(values["person_days"]),
        site_days=_tidy(values["site_days"]),
        wait_days=_tidy(values["wait_days"]),
        elapsed_days=_tidy(values["elapsed_days"]),
    )


def _add_bought(money: dict[str, int | None], bought: int | None) -> None:
    """Put what was bought, of whatever kind, where it belongs.

    With the labour it is the whole cost, where no whole stands beside it; without, it is kept as
    material.
    """
    if bought is None or money["cost"] is not None:
        return
    if money["labour"] is not None:
        money["cost"] = money["labour"] + bought
    elif money["material"] is None:
        money["material"] = bought


def dates(table: Table, row: Row, setting: Setting) -> tuple[date | None, date | None]:
    """First and last day of a row; both are set aside if the last comes before the first."""
    first, last = row.day("started"), row.day("finished")
    if first and last and last < first:
        text = (
            f"it ends on {last.isoformat()}, before it starts on {first.isoformat()}; "
            "neither date is used"
        )
        setting.notes.add("set aside", row.place, text, f"{first} / {last}")
        row.put("started", None)
        row.put("finished", None)
        return None, None
    return first, last


def put_elapsed(table: Table, row: Row, setting: Setting) -> None:
    """Give a row the elapsed days its dates imply, planned and actual, where none are stated."""
    first = row.day("started")
    if first is None:
        return
    for side, last in (("actual", row.day("finished")), ("plan", row.day("plan.finished"))):
        key = f"{side}.elapsed_days"
        if last is None or key in row.values:
            continue
        if last < first:
            text = (
                f"its planned finish {last.isoformat()} comes before its start "
                f"{first.isoformat()}; the planned finish is not used"
            )
            setting.notes.add("set aside", _at(row, table, "plan.finished"), text, str(last))
            continue
        days = setting.firm.workdays.count(first, last)
        if days:
            row.put(key, float(days))
            what = "planned" if side == "plan" else "actual"
            setting.notes.once(
                (key, table.grid.sheet),
                "understood",
                table.place(table.header),
                f"{what} elapsed days are the working days ({setting.firm.workdays.said}) from "
                f"start to "
                f"{'planned ' if side == 'plan' else ''}finish, both counted",
            )


def _tidy(days: float | None) -> float | None:
    """Days without the dust of a division."""
    return None if days is None else round(days, 9)


def _at(row: Row, table: Table, field: str) -> Place:
    column = table.column(field)
    heading = column.heading if column else field
    return Place(row.place.file, row.place.sheet, row.place.row, heading)


def _crew(
    table: Table, row: Row, start: str, values: dict[str, float | None], setting: Setting
) -> float | None:
    """Crew size of a side; a column that just says "Crew" holds for the actual side.

    It is proposed for planned days too, where the plan names no crew of its own.
    """
    own = row.number(f"{start}crew")
    shared = row.number("crew")
    if own is not None or shared is None:
        return own
    measured = any(values[k] is not None for k in ("person_days", "site_days"))
    if "actual." in start:
        return shared if measured or not start.startswith("phase.") else None
    if values["site_days"] is None or values["person_days"] is not None:
        return None
    setting.notes.once(
        ("plan crew", table.grid.sheet),
        "proposed",
        _at(row, table, "crew"),
        "the crew is taken to hold for the planned days as well",
    )
    return shared


def _told_crew(
    table: Table, row: Row, start: str, values: dict[str, float | None], setting: Setting
) -> float | None:
    """The crew a person named for the days of a sheet that give none; asked if nobody did.

    Days that are person-days already are put where they belong.
    """
    sheet = (table.grid.file, table.grid.sheet)
    heading = _at(row, table, f"{start}days")
    said = setting.answers.get("crew", *sheet)
    if said is None and (told := next(filter(_IN_PERSON_DAYS.search, table.titles), "")):
        setting.notes.once(("crew told", table.grid.sheet), "understood", heading, "days are "
                           "person-days, as the lines above the table say", told)  # fmt: skip
        values["person_days"], values["site_days"] = values["site_days"], None
        return None
    if said is None:
        _ask_crew(table, row, start, setting)
        text = (
            "How many people worked on these days? No crew size is given, so they may be days on "
            "site or person-days; kept as days on site so far."
        )
        choices = ("a number of people, such as 2", PERSON_DAYS)
        found = f"{values['site_days']:g} days"
        setting.ask("crew", sheet, heading, text, choices, found=found)
        return None
    told = "person-days" if said == PERSON_DAYS else f"days of a crew of {said}"
    text = f"days with no crew size are taken for {told}, as you answered"
    setting.notes.once(("crew told", table.grid.sheet), "understood", heading, text)
    if said == PERSON_DAYS:
        values["person_days"], values["site_days"] = values["site_days"], None
        return None
    values["person_days"] = (values["site_days"] or 0.0) * float(said)
    return float(said)


def _ask_crew(table: Table, row: Row, start: str, setting: Setting) -> None:
    heading = _at(row, table, f"{start}days")
    text = "these days may be crew-days or person-days: no crew size is given; kept as site days"
    if table.column("crew") or table.column(f"{start}crew"):
        setting.notes.add("asked", heading, text, f"{row.number(f'{start}days'):g} days")
    else:
        key = ("crew", table.grid.sheet, start)
        setting.notes.once(key, "asked", heading, text + " (a column 'Crew' would settle it)")


def _drop(
    table: Table,
    row: Row,
    start: str,
    values: dict[str, float | None],
    money: dict[str, int | None],
    setting: Setting,
    *,
    keep_credit: bool,
) -> None:
    """Take out what is no plan (0) and what cannot be (a cost below zero)."""
    planned = "plan." in start
    for name, cents in money.items():
        if cents is None:
            continue
        field = start + name
        if planned and cents == 0:
            text = f"planned {name} is 0, which is taken as not planned"
            setting.notes.add("set aside", _at(row, table, field), text, "0")
            money[name] = None
        elif cents < 0 and (planned or not keep_credit):
            text = f"{'planned ' if planned else ''}{name} is below zero"
            raw = f"{cents / 100:,.2f}"
            setting.notes.add("set aside", _at(row, table, field), text, raw)
            money[name] = None
    if not planned:
        return
    for name, days in values.items():
        if days == 0 and name != "wait_days":
            text = f"planned {name.replace('_', '-')} are 0, which is taken as not planned"
            setting.notes.add("set aside", _at(row, table, start + name), text, "0")
            values[name] = None
