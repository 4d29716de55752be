"""What is on file, as tables and plain data."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from costlearn.assembly import finish_unknown
from costlearn.cli.laying import GAP
from costlearn.firm import Firm
from costlearn.intake.targets import KINDS, MEASURES, SIDES, fields_of, own_fields
from costlearn.questions.answer import Table, plain_data
from costlearn.records import History, Job, Span
from costlearn.units import say_area, say_money
from costlearn.vocabulary import standard

SHORTEST = 12
"""Letters to which a job's name may be shortened; on a narrower screen each job is a list."""


def table(history: History, width: int) -> Table:
    """All jobs, a line each, oldest first; names are shortened to the width of the screen."""
    money, unit = history.firm.currency, history.firm.area_unit
    rows: list[tuple[str, ...]] = [
        (
            j.kind or "?",
            _when(j),
            say_area(j.area_sqft, unit).partition(" ")[0] if j.area_sqft else "?",
            "?"
            if (cost := j.actual.total) is None
            else rough_money(cost, j.rough.get("actual.cost"), money),
            "?" if (days := j.actual.site_days) is None else f"{days:.1f}",
            str(len(j.phases)) if j.phases else "",
            str(len(j.conflicts)) if j.conflicts else "",
        )
        for j in history.jobs
    ]
    size = "m²" if unit == "sqm" else "sq ft"
    heads: tuple[str, ...] = ("job", "kind", "when", size, "cost", "days", "phases", "differ")
    if not any(j.conflicts for j in history.jobs):
        heads, rows = heads[:-1], [row[:-1] for row in rows]
    taken = sum(max(map(len, cells)) + GAP for cells in zip(heads[1:], *rows, strict=True))
    room = width - taken - GAP - 1
    named = tuple((_short(j.name, room), *row) for j, row in zip(history.jobs, rows, strict=True))
    note = "A question mark: nobody wrote it down. Cost is direct cost, days are days on site."
    if heads[-1] == "differ":
        note += " 'differ' counts figures on which two records disagree, and sums they leave open."
    if any(finish_unknown(j) for j in history.jobs):
        note += " 'running?' has begun, and nobody said whether it is finished."
    return Table("Jobs on file", heads, named, note)


def rough_money(cents: int, span: Span | None, currency: str) -> str:
    """An amount in cents; a range, or about, where its writer knew no more."""
    if span is None:
        return _whole(cents, currency)
    if span.low == span.high:
        return f"~{_whole(cents, currency)}"
    return f"{_whole(round(span.low), currency)}-{span.high / 100:,.0f}"


def _short(name: str, room: int) -> str:
    return name if room < SHORTEST or len(name) <= room else name[: room - 3].rstrip() + "..."


def plain(job: Job) -> dict[str, Any]:
    """One job as plain data; money in cents as it is kept."""
    data: dict[str, Any] = plain_data(job)
    return data


def firm_values(firm: Firm) -> dict[str, Any]:
    """The firm's settings as plain data."""
    return asdict(firm)


def firm_table(firm: Firm) -> Table:
    """The firm's settings, a row each."""
    shown = [f.name for f in fields(firm) if not f.name.endswith("_said")]
    rows = tuple((name, _setting(getattr(firm, name))) for name in shown)
    usual = "currency, hours, order of dates, unit, tax and working days hold as shown until said"
    note = f"Unset figures are never guessed; {usual}."
    return Table("Your firm", ("setting", "value"), rows, note)


def word_values() -> dict[str, Any]:
    """Phases and items as plain data."""
    words = standard()
    return {
        "phases": [asdict(p) for p in words.phases],
        "items": [asdict(i) for i in words.items],
        "asked": {k: list(v) for k, v in words.ask.items()},
        "columns": {kind: list(fields_of(kind)) for kind in KINDS},
    }


def word_tables() -> tuple[Table, ...]:
    """Phases and items with their spellings."""
    words = standard()
    phases = tuple((p.key, p.name, ", ".join(p.words[:8])) for p in words.phases)
    items = tuple((i.name, i.unit, ", ".join(i.words)) for i in words.items)
    columns = tuple((kind, ", ".join(own_fields(kind))) for kind in KINDS)
    sides = (
        f"Jobs and phases also: {' or '.join(SIDES)}, a point, and one of {', '.join(MEASURES)}."
    )
    return (
        Table("Phases", ("key", "name", "also spelled"), phases),
        Table("Scope items", ("item", "unit", "also spelled"), items),
        Table("Columns a map may name", ("kind", "columns"), columns, sides),
    )


def map_values() -> dict[str, Any]:
    """The keys of a column map as plain data."""
    from costlearn.intake.columns import map_keys

    return {"keys": [{"key": key, "says": says, "example": text} for key, says, text in map_keys()]}


def map_table() -> Table:
    """The keys of a column map, each with what it says and an example."""
    from costlearn.intake.columns import map_keys

    note = "Write them into a file such as map.toml: costlearn import FILE --map map.toml"
    return Table("What a column map may say", ("key", "says", "example"), map_keys(), note)


def _when(job: Job) -> str:
    """The month of a finished job; else what state it is in."""
    if job.state != "finished":
        return "running?" if finish_unknown(job) else job.state
    if job.books_closed is False:
        return "books open"
    return f"{job.day:%Y-%m}" if job.day else "?"


def _whole(cents: int, currency: str) -> str:
    """An amount without its cents."""
    return say_money(round(cents / 100), currency, exact=True).removesuffix(".00")


def _setting(value: Any) -> str:
    if value is None or value in ({}, "", ()):
        return "not set"
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    if isinstance(value, dict):
        return ", ".join(f"{k}: {_setting(v)}" for k, v in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
