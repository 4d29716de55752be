"""What is on file, as tables and plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, fields
from typing import Any

from costlearn.assembly.trail import WORDS
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.questions.answer import Table, plain_data
from costlearn.records import COST_KINDS, Amounts, History, Job
from costlearn.units import say_area, say_days, say_money, say_percent
from costlearn.vocabulary import standard

PLACES = 3
MOST_NAMES = 16
GRADES = {0.0: "basic", 1.0: "middle", 2.0: "high"}


def table(history: History) -> Table:
    """All jobs, a row each, oldest first."""
    money, unit = history.firm.currency, history.firm.area_unit
    rows = tuple(
        (
            j.name,
            j.kind or "?",
            _when(j),
            say_area(j.area_sqft, unit) if j.area_sqft else "?",
            "?" if (cost := j.actual.total) is None else _whole(cost, money),
            "?" if (days := j.actual.site_days) is None else f"{days:.1f}",
            str(len(j.phases)) if j.phases else "",
            str(len(j.conflicts)) if j.conflicts else "",
        )
        for j in history.jobs
    )
    heads = ("job", "kind", "when", "floor", "cost", "days", "phases", "differ")
    note = (
        "A question mark: nobody wrote it down. Cost is direct cost, days are days on site; "
        "'differ' counts figures on which two records disagree."
    )
    return Table("Jobs on file", heads, rows, note)


def whole(job: Job, currency: str, unit: str) -> tuple[Table, ...]:
    """One job: its figures, phases, scope, changes, where figures came from, disagreements."""
    found = [
        _about(job, currency, unit),
        _phases(job, currency),
        _scope(job),
        _changes(job, currency),
        _callbacks(job, currency),
        _origins(job),
    ]
    if job.conflicts:
        rows = tuple((c,) for c in job.conflicts)
        found.append(Table("Where records disagree", ("",), rows))
    return tuple(t for t in found if t is not None)


def plain(job: Job) -> dict[str, Any]:
    """One job as plain data; money in cents as it is kept."""
    data: dict[str, Any] = plain_data(job)
    return data


def firm_values(firm: Firm) -> dict[str, Any]:
    """The firm's settings as plain data."""
    return asdict(firm)


def firm_table(firm: Firm) -> Table:
    """The firm's settings, a row each."""
    rows = tuple((f.name, _setting(getattr(firm, f.name))) for f in fields(firm))
    return Table("Your firm", ("setting", "value"), rows, "Unset figures are never guessed.")


def word_values() -> dict[str, Any]:
    """Phases and items as plain data."""
    words = standard()
    return {
        "phases": [asdict(p) for p in words.phases],
        "items": [asdict(i) for i in words.items],
        "asked": {k: list(v) for k, v in words.ask.items()},
    }


def word_tables() -> tuple[Table, ...]:
    """Phases and items with their spellings."""
    words = standard()
    phases = tuple((p.key, p.name, ", ".join(p.words[:8])) for p in words.phases)
    items = tuple((i.name, i.unit, ", ".join(i.words)) for i in words.items)
    return (
        Table("Phases", ("key", "name", "also spelled"), phases),
        Table("Scope items", ("item", "unit", "also spelled"), items),
    )


def _about(job: Job, currency: str, unit: str) -> Table:
    rows = [
        ("kind", job.kind or "?"),
        ("state", job.state),
        ("books closed", {True: "yes", False: "no", None: "not said"}[job.books_closed]),
        ("started", str(job.started or "?")),
        ("finished", str(job.finished or "?")),
        ("floor", say_area(job.area_sqft, unit)),
        *_told("grade", None if job.grade is None else GRADES.get(job.grade, f"{job.grade:g}")),
        *_told("house built", job.house_year),
        *_told("quoted on", job.quoted_on),
        ("price quoted", _money(job.price, currency)),
        *_changed(job, currency),
        *_told("price paid", None if job.paid is None else _money(job.paid, currency)),
        *_amounts("planned", job.plan, currency),
        *_amounts("actual", job.actual, currency),
    ]
    if job.notes:
        rows.append(("notes", job.notes))
    return Table(job.name, ("", ""), tuple(rows))


def _changed(job: Job, currency: str) -> list[tuple[str, str]]:
    """The price with approved changes, and with those the client has only spoken of."""
    agreed = job.agreed_price
    if agreed is None or not job.changes:
        return []
    rows = [("price with approved changes", _money(agreed, currency))]
    if job.verbal_price:
        both = _money(agreed + job.verbal_price, currency)
        rows.append(("price if verbal changes are approved", both))
    return rows


def _told(name: str, value: object) -> list[tuple[str, str]]:
    """A line for what is known, none for what is not."""
    return [] if value is None else [(name, str(value))]


def _amounts(word: str, amounts: Amounts, currency: str) -> list[tuple[str, str]]:
    rows = [(f"{word} direct cost", _money(amounts.total, currency))]
    rows += [
        (f"{word} {kind}", _money(v, currency))
        for kind in COST_KINDS
        if (v := getattr(amounts, kind)) is not None
    ]
    for name in ("person_days", "site_days", "wait_days", "elapsed_days"):
        days = getattr(amounts, name)
        if days is not None:
            rows.append((f"{word} {name.replace('_', ' ')}", say_days(days)))
    if amounts.crew is not None:
        rows.append((f"{word} crew size", f"{amounts.crew:.2g}"))
    return rows


def _phases(job: Job, currency: str) -> Table | None:
    if not job.phases:
        return None
    words = standard()
    rows = tuple(
        (
            words.phase_name(p.phase),
            _money(p.plan.total, currency),
            _money(p.actual.total, currency),
            _ratio(p.plan.total, p.actual.total),
            _days(p.plan.person_days),
            _days(p.actual.person_days),
            f"{p.actual.crew:.2g}" if p.actual.crew else "?",
        )
        for p in job.phases
    )
    heads = (
        "phase", "planned cost", "actual cost", "over plan", "planned work", "actual work", "crew",
    )  # fmt: skip
    return Table("Phases", heads, rows, "Work in person-days.")


def _scope(job: Job) -> Table | None:
    if not job.scope:
        return None
    words = standard()
    known = {i.key: i for i in words.items}
    rows = tuple(
        (known[k].name if k in known else k, _size(v, known[k].unit if k in known else ""))
        for k, v in job.scope.items()
        if v is None or v > 0
    )
    return Table("Scope", ("item", "size"), rows)


def _changes(job: Job, currency: str) -> Table | None:
    if not job.changes:
        return None
    rows = tuple((c.label, c.state, _money(c.price, currency), _days(c.days)) for c in job.changes)
    return Table("Change orders", ("change", "state", "price", "days"), rows)


def _callbacks(job: Job, currency: str) -> Table | None:
    """Call-back work by the phase that caused it; none of it is in the job's other figures."""
    if not job.callbacks:
        return None
    words = standard()
    rows = tuple(
        (words.phase_name(b.phase), _money(b.cost, currency), _days(b.person_days), b.how)
        for b in job.callbacks
    )
    heads = ("caused by", "cost", "work", "how")
    note = "Kept apart: it is in none of the figures above."
    return Table("Call-backs", heads, rows, note)


def _origins(job: Job) -> Table | None:
    """Where figures came from; figures with one origin stand on one line."""
    groups: dict[tuple[str, str, tuple[Place, ...]], list[str]] = {}
    for one in job.origins:
        about, name = _figure_words(one.figure)
        groups.setdefault((about, one.how, one.places), []).append(name)
    rows = tuple(
        (f"{about}: {_listed(names)}" if about else _listed(names), how, _where(places))
        for (about, how, places), names in groups.items()
    )
    return Table("Where each figure came from", ("figure", "how", "where"), rows) if rows else None


def _listed(names: Sequence[str]) -> str:
    """Names of figures; of a long list of scope items the first few."""
    if len(names) <= MOST_NAMES:
        return ", ".join(names)
    return f"{', '.join(names[:PLACES])} and {len(names) - PLACES} more"


def _figure_words(figure: str) -> tuple[str, str]:
    """What a figure is about (a phase, the scope, or the job: ""), and its name in words."""
    about, _, name = figure.rpartition(": ")
    if figure.startswith("scope "):
        key = figure.removeprefix("scope ")
        return "scope", next((i.name for i in standard().items if i.key == key), key)
    side, _, measure = name.rpartition(".")
    said = {"plan": "planned ", "actual": "actual "}.get(side, "")
    words = said + WORDS.get(measure, measure.replace("_", " "))
    return (standard().phase_name(about.removeprefix("phase ")) if about else ""), words


def _where(places: Sequence[Place]) -> str:
    """Some places, rows of one sheet together, the first three rows named."""
    sheets: dict[str, list[str]] = {}
    for place in places[:PLACES]:
        sheets.setdefault(str(Place(place.file, place.sheet)), []).append(str(place.row))
    if len(places) == 1:
        return str(places[0])
    told = "; ".join(
        f"{sheet}, row{'s' if len(rows) > 1 else ''} {', '.join(rows)}"
        for sheet, rows in sheets.items()
    )
    return told + (f" and {len(places) - PLACES} more" if len(places) > PLACES else "")


def _when(job: Job) -> str:
    """The month of a finished job; else what state it is in."""
    if job.state != "finished":
        return job.state
    if job.books_closed is False:
        return "books open"
    return f"{job.day:%Y-%m}" if job.day else "?"


def _whole(cents: int, currency: str) -> str:
    """An amount without its cents."""
    return say_money(round(cents / 100), currency, exact=True).removesuffix(".00")


def _money(cents: int | None, currency: str) -> str:
    return "?" if cents is None else say_money(cents / 100, currency, exact=True)


def _days(days: float | None) -> str:
    return "?" if days is None else say_days(days)


def _ratio(plan: int | None, actual: int | None) -> str:
    return say_percent(actual / plan - 1, signed=True) if plan and actual is not None else "?"


def _size(value: float | None, unit: str) -> str:
    if value is None:
        return "not said"
    if value == 1 and unit != "each":
        return "yes, no size given"
    return f"{value:g} {'' if unit == 'each' else unit}".strip()


def _setting(value: Any) -> str:
    if value is None or value in ({}, ""):
        return "not set"
    if isinstance(value, dict):
        return ", ".join(f"{k}: {v}" for k, v in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
