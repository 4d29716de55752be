"""What is on file of one job, where each figure comes from, and what follows from them."""

from __future__ import annotations

from dataclasses import dataclass

from costlearn.assembly import finish_unknown
from costlearn.questions.answer import Answer, Grounds, Table
from costlearn.questions.onfile.figures import (
    callbacks_table,
    changes_table,
    figures_table,
    phases_table,
    scope_table,
    traced_figures,
)
from costlearn.questions.onfile.sources import sources_table
from costlearn.questions.wording import count_of, say_list
from costlearn.records import COST_KINDS, History, Job
from costlearn.units import SQFT_PER_SQM, say_area, say_days, say_money, say_percent


@dataclass(frozen=True, slots=True)
class Derived:
    """A figure made out of others of the job: what it is, its value as said, out of what."""

    name: str
    value: str
    how: str


@dataclass(frozen=True)
class JobOnFile(Answer):
    """One job: what its records say together, and where each figure came from.

    ``derived`` are figures made out of the job's own; ``traced`` holds the tables that name the
    source of every figure.
    """

    job: Job
    derived: tuple[Derived, ...] = ()
    traced: tuple[Table, ...] = ()

    def tables(self) -> tuple[Table, ...]:
        """Figures with their sources, phases, scope, changes, what follows, disagreements."""
        found = [*self.traced]
        if self.derived:
            rows = tuple((d.name, d.value, d.how) for d in self.derived)
            found.insert(1, Table("What follows from them", ("figure", "value", "how"), rows))
        if self.job.conflicts:
            said = tuple((c,) for c in self.job.conflicts)
            found.append(Table("Where records disagree or leave a sum open", ("",), said))
        return tuple(found)


def job_on_file(history: History, job: Job) -> JobOnFile:
    """What is on file of a job, each figure with the rows it came from.

    Args:
        history: the firm's jobs; its firm gives currency and units.
        job: one of them.
    """
    money, unit = history.firm.currency, history.firm.area_unit
    traced = [
        figures_table(job, money, unit),
        phases_table(job, money),
        scope_table(job, unit),
        changes_table(job, money),
        callbacks_table(job, money),
        sources_table(job, traced_figures(job)),
    ]
    return JobOnFile(
        _sentence(job, money, unit),
        Grounds(
            int(job.state == "finished"),
            job.started or job.day,
            job.finished or job.day,
            money,
            unit,
            "as written down, of the job's own time",
            _notes(job),
        ),
        job,
        derived_of(job, money, unit),
        tuple(t for t in traced if t is not None),
    )


def derived_of(job: Job, currency: str, unit: str) -> tuple[Derived, ...]:
    """The figures that follow from a job's own: what it left, against plan, by area and day."""
    cost, plan = job.actual.total, job.plan.total
    found = [*_agreed(job, currency)]
    if cost is None:
        return tuple(found)
    if plan:
        planned = plan + job.changed_cost
        changes = " with approved changes" if job.changed_cost else ""
        found.append(
            Derived(
                "direct cost against plan",
                say_percent(cost / planned - 1, signed=True) if planned > 0 else "no plan left",
                f"actual direct cost over planned{changes}, {_exact(planned, currency)}",
            )
        )
    if job.area_sqft:
        found.append(_by_area(cost, job.area_sqft, currency, unit))
    if job.state == "finished":
        found += _left(job, cost, currency)
    return tuple(found)


def price_of(job: Job) -> tuple[int, str] | None:
    """What the client paid in cents and in which words that is known; None where nobody says.

    Without a paid amount the quoted price with approved changes stands in.
    """
    if job.paid is not None:
        return job.paid, "price paid"
    agreed = job.agreed_price
    if agreed is None:
        return None
    return agreed, "price quoted" + (" with approved changes" if job.changed_price else "")


def _agreed(job: Job, currency: str) -> list[Derived]:
    """The price with approved changes, and with those the client has only spoken of."""
    agreed = job.agreed_price
    if agreed is None or not job.changes:
        return []
    found = [
        Derived(
            "price with approved changes",
            _exact(agreed, currency),
            f"price quoted and {_exact(job.changed_price, currency)} of approved changes",
        )
    ]
    if job.verbal_price:
        found.append(
            Derived(
                "price if verbal changes are approved",
                _exact(agreed + job.verbal_price, currency),
                f"{_exact(job.verbal_price, currency)} more, of which no approval is on file",
            )
        )
    return found


def _by_area(cost: int, area: float, currency: str, unit: str) -> Derived:
    each = "m²" if unit == "sqm" else "sq ft"
    size = area / SQFT_PER_SQM if unit == "sqm" else area
    return Derived(
        f"direct cost for each {each} of floor",
        say_money(cost / 100 / size, currency),
        f"actual direct cost over {say_area(area, unit)}",
    )


def _left(job: Job, cost: int, currency: str) -> list[Derived]:
    """What a finished job left after direct cost, of the price and for each day on site."""
    known = price_of(job)
    if known is None:
        return []
    price, words = known
    left = price - cost
    found = [
        Derived(
            "left after direct cost", _exact(left, currency), f"{words} less actual direct cost"
        )
    ]
    if price > 0:
        share = say_percent(left / price)
        found.append(Derived("margin", share, f"what is left over the {words}"))
    days = job.actual.site_days
    if days:
        found.append(
            Derived(
                "left for each day on site",
                say_money(left / 100 / days, currency),
                f"what is left over {say_days(days)} on site",
            )
        )
    return found


def _sentence(job: Job, currency: str, unit: str) -> str:
    cost, days = job.actual.total, job.actual.site_days
    spent = _spent(job, currency)
    time = None if days is None else f"{say_days(days)} on site"
    parts = [p for p in (spent, time) if p]
    if job.state == "quoted":
        text = f"This job is quoted{_at_price(job, currency)}; nothing says it has begun."
    elif job.state == "running":
        unsaid = finish_unknown(job)
        text = "Nobody said whether this job is finished" if unsaid else "This job is running"
        text += (
            f": {' and '.join(parts)} so far." if parts else "; no cost or days are on file yet."
        )
        if unsaid:
            text += " A finish date or a state in your list of jobs would say it."
    elif not parts:
        text = "This job is finished, but neither its direct cost nor its days are on file."
    else:
        text = f"This job took {' and '.join(parts)}{_against_plan(job)}."
        if cost is None:
            text += " Its direct cost is not on file."
        text += _what_it_left(job, currency)
    return text + _doubts(job)


def _spent(job: Job, currency: str) -> str | None:
    """The direct cost; where it is left open, the kinds that are on file, named as such."""
    if job.actual.total is not None:
        return f"{say_money(job.actual.total / 100, currency)} in direct cost"
    if job.actual.parts is None:
        return None
    kinds = [k for k in COST_KINDS if getattr(job.actual, k) is not None]
    return f"{say_money(job.actual.parts / 100, currency)} in {say_list(kinds)}"


def _at_price(job: Job, currency: str) -> str:
    return "" if job.price is None else f" at {say_money(job.price / 100, currency)}"


def _against_plan(job: Job) -> str:
    cost, plan = job.actual.total, job.plan.total
    planned = None if plan is None else plan + job.changed_cost
    if cost is None or not planned or planned < 0:
        return ""
    off = say_percent(abs(cost / planned - 1))
    return f", {off} {'over' if cost > planned else 'under'} plan" if off != "0 %" else ", on plan"


def _what_it_left(job: Job, currency: str) -> str:
    known, cost = price_of(job), job.actual.total
    if known is None or cost is None or known[0] <= 0:
        return ""
    price, words = known
    left = price - cost
    share = say_percent(left / price)
    said = say_money(price / 100, currency)
    if left < 0:
        return (
            f" Of the {words} of {said} nothing was left: {say_money(-left / 100, currency)} lost."
        )
    return f" Of the {words} of {said} it left {say_money(left / 100, currency)}, {share}."


def _doubts(job: Job) -> str:
    """Open books and disagreements: what keeps the figures from being the last word."""
    text = ""
    if job.state == "finished" and job.books_closed is False:
        text += " Its books are open: more bills are expected, so nothing is learned from it yet."
    if job.conflicts:
        text += (
            f" In {count_of(len(job.conflicts), 'place')}, listed below, records disagree or leave "
            "a sum open."
        )
    return text


def _notes(job: Job) -> tuple[str, ...]:
    if job.callbacks:
        return ("Call-back work is kept apart from what the job itself took",)
    return ()


def _exact(cents: int, currency: str) -> str:
    return say_money(cents / 100, currency, exact=True)
