"""The tables of one job: its figures with their sources, phases, scope, changes, call-backs."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.assembly.trail import WORDS
from costlearn.questions.answer import Table
from costlearn.questions.onfile.sources import SCOPE, origin_of, say_rows_of
from costlearn.records import COST_KINDS, Amounts, Job, Span
from costlearn.units import (
    FT_PER_M,
    SQFT_PER_SQM,
    say_area,
    say_days,
    say_money,
    say_percent,
)
from costlearn.vocabulary import standard

GRADES = {0.0: "basic", 1.0: "middle", 2.0: "high"}
UNKNOWN = "?"
DAYS = ("person_days", "site_days", "wait_days", "elapsed_days")
TRACED = ("figure", "value", "how", "where")

Traced = tuple[str, str, str, str]
"""A figure as a row: its name, its value, how it was made, where it stands."""


def figures_table(job: Job, currency: str, unit: str) -> Table:
    """What is known of the whole job, each figure with how it was made and where it stands."""
    rows: list[Traced] = [
        _row(job, "kind", job.kind or UNKNOWN),
        _row(job, "state", job.state),
        _row(job, "books_closed", {True: "yes", False: "no", None: "not said"}[job.books_closed]),
        _row(job, "started", str(job.started or UNKNOWN)),
        _row(job, "finished", str(job.finished or UNKNOWN)),
        _row(job, "area_sqft", say_area(job.area_sqft, unit), "floor"),
        *_told(job, "grade", None if job.grade is None else _grade(job.grade)),
        *_told(job, "house_year", job.house_year),
        *_told(job, "condo", None if job.condo is None else ("yes" if job.condo else "no")),
        *_told(job, "quoted_on", job.quoted_on),
        _row(job, "price", _money(job.price, currency), "price quoted"),
        *_told(job, "paid", _known_money(job.paid, currency), "price paid"),
        *_amounts(job, "planned", "plan.", job.plan, currency),
        *_amounts(job, "actual", "actual.", job.actual, currency),
    ]
    if any(o.figure == "name" for o in job.origins):
        rows.insert(0, _row(job, "name", job.name))
    if job.notes:
        rows.append(("notes", job.notes, "", ""))
    return Table(job.name, TRACED, tuple(rows), "A question mark: nobody wrote it down.")


def traced_figures(job: Job) -> frozenset[str]:
    """The figures whose sources stand beside them, so that they are not listed again."""
    return frozenset(o.figure for o in job.origins if ": " not in o.figure)


def phases_table(job: Job, currency: str) -> Table | None:
    """Each phase, planned and actual."""
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
            f"{p.actual.crew:.2g}" if p.actual.crew else UNKNOWN,
        )
        for p in job.phases
    )
    heads = (
        "phase", "planned cost", "actual cost", "over plan", "planned work", "actual work", "crew",
    )  # fmt: skip
    return Table("Phases", heads, rows, "Work in person-days.")


def scope_table(job: Job, unit: str) -> Table | None:
    """What is in the job, how much of it in the firm's unit, and where that stands."""
    if not job.scope:
        return None
    known = {i.key: i for i in standard().items}
    rows = tuple(
        (
            known[k].name if k in known else k,
            _size(v, known[k].unit if k in known else "", unit),
            origin_of(job, SCOPE + k)[1],
        )
        for k, v in job.scope.items()
        if v is None or v > 0
    )
    return Table("Scope", ("item", "size", "where"), rows)


def changes_table(job: Job, currency: str) -> Table | None:
    """The change orders, each with its row."""
    if not job.changes:
        return None
    rows = tuple(
        (c.label, c.state, _money(c.price, currency), _days(c.days), str(c.place))
        for c in job.changes
    )
    return Table("Change orders", ("change", "state", "price", "days", "where"), rows)


def callbacks_table(job: Job, currency: str) -> Table | None:
    """Call-back work by the phase that caused it; none of it is in the job's other figures."""
    if not job.callbacks:
        return None
    words = standard()
    rows = tuple(
        (
            words.phase_name(b.phase),
            _money(b.cost, currency),
            _days(b.person_days),
            b.how,
            say_rows_of(b.places),
        )
        for b in job.callbacks
    )
    heads = ("caused by", "cost", "work", "how", "where")
    note = "Kept apart: it is in none of the figures above."
    return Table("Call-backs", heads, rows, note)


def _row(job: Job, figure: str, value: str, name: str = "") -> Traced:
    """A figure with its source; its name in words unless another one is given."""
    how, where = origin_of(job, figure)
    if figure in job.rough:
        value = say_span(job.rough[figure], value)
    return (name or WORDS.get(figure, figure.replace("_", " ")), value, how, where)


def say_span(span: Span, middle: str) -> str:
    """A figure its writer knew only roughly, in the words of its middle.

    >>> say_span(Span(1_800_000, 1_800_000), "$18,000")
    'about $18,000'
    """
    if span.low == span.high:
        return f"about {middle}"
    if not any(c.isalpha() for c in middle):
        sign = middle[: len(middle) - len(middle.lstrip("$€£"))]
        return f"{sign}{span.low / 100:,.0f} to {sign}{span.high / 100:,.0f}, middle {middle}"
    return f"{span.low:.4g} to {span.high:.4g} days, middle {middle}"


def _told(job: Job, figure: str, value: object, name: str = "") -> list[Traced]:
    """A line for what is known, none for what is not."""
    return [] if value is None else [_row(job, figure, str(value), name)]


def _amounts(job: Job, word: str, prefix: str, amounts: Amounts, currency: str) -> Sequence[Traced]:
    rows = [_row(job, prefix + "cost", _money(amounts.total, currency), f"{word} direct cost")]
    for kind in COST_KINDS:
        rows += _told(
            job, prefix + kind, _known_money(getattr(amounts, kind), currency), f"{word} {kind}"
        )
    for name in DAYS:
        days = getattr(amounts, name)
        said = None if days is None else f"{days:.4g} day{'' if days == 1 else 's'}"
        rows += _told(job, prefix + name, said, f"{word} {WORDS[name]}")
    size = None if amounts.crew is None else f"{amounts.crew:.2g}"
    return [*rows, *_told(job, prefix + "crew", size, f"{word} crew size")]


def _grade(grade: float) -> str:
    return GRADES.get(grade, f"{grade:g}")


def _known_money(cents: int | None, currency: str) -> str | None:
    return None if cents is None else _money(cents, currency)


def _money(cents: int | None, currency: str) -> str:
    return UNKNOWN if cents is None else say_money(cents / 100, currency, exact=True)


def _days(days: float | None) -> str:
    return UNKNOWN if days is None else say_days(days)


def _ratio(plan: int | None, actual: int | None) -> str:
    return say_percent(actual / plan - 1, signed=True) if plan and actual is not None else UNKNOWN


def _size(value: float | None, measured: str, unit: str) -> str:
    """A size as it was written down: nothing of it is rounded away."""
    if value is None:
        return "not said"
    if value == 1 and measured != "each":
        return "yes, no size given"
    if measured == "sqft":
        return f"{round(value / SQFT_PER_SQM, 3):g} m²" if unit == "sqm" else f"{value:g} sq ft"
    if measured == "lnft":
        return f"{round(value / FT_PER_M, 3):g} m" if unit == "sqm" else f"{value:g} ft"
    return f"{value:g}"
