"""What each scope item adds in cost and person-days: the sheet for the talk about options."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import median

from costlearn.features.likeness import FEW, items_of
from costlearn.features.measures import crew_of
from costlearn.questions import cautions
from costlearn.questions.answer import Answer, Table
from costlearn.questions.doubts import why_few
from costlearn.questions.learning import (
    MIN_JOBS,
    MOSTLY_ASSUMED,
    Prediction,
    grounds_of,
    known_totals,
    latest,
    predict,
)
from costlearn.questions.withheld import say_withheld, withheld
from costlearn.questions.wording import count_of, is_are, say_list
from costlearn.questions.worth import ItemGroup, item_groups, put_on, taken_off
from costlearn.records import NOTHING, Amounts, History, Job
from costlearn.units import say_money, say_percent
from costlearn.vocabulary import standard

TARGETS = ("cost", "person_days")
TOO_FEW = "too few to say"
USUALLY = 0.5
"""An item in more than this part of the jobs of a kind belongs to their middle job."""


@dataclass(frozen=True)
class Step:
    """What an item adds to one target, or leaving it out takes off: 80 % range and middle."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class OptionPrice:
    """One option, or several items that always came together, against the base scope.

    ``inside`` says the base holds it, so that the figures are what leaving it out takes off. With
    fewer than three jobs behind it, or none that tells it apart, there are no figures.
    """

    items: tuple[str, ...]
    name: str
    inside: bool
    jobs: int
    cost: Step | None
    person_days: Step | None


@dataclass(frozen=True)
class Options(Answer):
    """What options add to a base scope."""

    base: Job
    base_cost: float | None = None
    base_days: float | None = None
    options: tuple[OptionPrice, ...] = ()
    margin: float | None = None
    asked_on: date | None = None

    def tables(self) -> tuple[Table, ...]:
        """What adding costs, and what leaving out saves."""
        adding = [o for o in self.options if not o.inside]
        leaving = [o for o in self.options if o.inside]
        found = []
        if adding:
            found.append(self._table("What it adds", adding))
        if leaving:
            found.append(self._table("What leaving it out takes off", leaving))
        return tuple(found)

    def _table(self, caption: str, options: Sequence[OptionPrice]) -> Table:
        heads = ["item", "direct cost, 8 in 10", "middle", "person-days, 8 in 10", "jobs with it"]
        note = "Each on its own, at the base scope. Direct cost is not the price."
        if self.margin is not None:
            heads.insert(3, "in the price")
            note += f" In the price: the middle at a margin of {say_percent(self.margin)}."
        return Table(caption, tuple(heads), tuple(self._row(o) for o in options), note)

    def _row(self, option: OptionPrice) -> tuple[str, ...]:
        money, cost, days = self.grounds.currency, option.cost, option.person_days
        few = option.jobs < FEW
        none = TOO_FEW if few else "not known"
        cells = [
            option.name,
            none
            if cost is None
            else f"{say_money(cost.low, money)} to {say_money(cost.high, money)}",
            "" if cost is None else say_money(cost.middle, money),
            ("" if few else none) if days is None else f"{days.low:z.1f} to {days.high:z.1f}",
            str(option.jobs),
        ]
        if self.margin is not None:
            price = "" if cost is None else say_money(cost.middle / (1 - self.margin), money)
            cells.insert(3, price)
        return tuple(cells)


def option_prices(
    history: History,
    base: Job | None = None,
    *,
    kind: str | None = None,
    on: date | None = None,
    margin: float | None = None,
) -> Options:
    """What each item on file adds in cost and person-days, at the prices of a date.

    Args:
        history: the firm's jobs.
        base: the scope it is added to; default the middle of the firm's jobs of a kind.
        kind: that kind; default the most frequent one.
        on: the date at whose prices it is asked; default the newest on file.
        margin: share of the price to be left, for the price column; default the firm's own.

    Source: effects of ``costlearn.models.regression``, the base scope's middle times what the
    history says of an item's columns, 80 % of its t distribution.
    """
    day = on or (base.day if base else None) or latest(history.usable)
    scope = base or middle_job(history, kind)
    if scope is None:
        return _nothing(history, Job("base", "No base scope", kind=kind, state="quoted"), day)
    scope = replace(scope, quoted_on=day, started=None, finished=None)
    full = _with_everything(scope, history)
    found = {t: p for t in TARGETS if (p := predict(history, full, t)) is not None}
    lead = found.get("cost")
    if lead is None or lead.model is None or len(lead.jobs) < MIN_JOBS:
        return _nothing(history, scope, day)
    if withheld(lead.spread):
        return replace(_nothing(history, scope, day), sentence=say_withheld())
    middles = {t: p.spread.median for t in found if (p := predict(history, scope, t)) is not None}
    options = tuple(
        sorted(
            (_option(g, scope, found, middles) for g in item_groups(lead, full)),
            key=lambda o: (o.cost is None, -(o.cost.middle if o.cost else 0.0), o.name),
        )
    )
    wanted = history.firm.wanted_margin if margin is None else margin
    return Options(
        _sentence(scope, options, middles.get("cost"), lead, history.firm.currency),
        grounds_of(history, lead.jobs, _notes(full, options, base is None, scope)),
        scope,
        middles.get("cost"),
        middles.get("person_days"),
        options,
        wanted,
        day,
        cautions=(cautions.UNKNOWN, cautions.TAX),
    )


def middle_job(history: History, kind: str | None = None) -> Job | None:
    """A job in the middle of the firm's finished ones of a kind; None if there is none of it."""
    kinds = Counter(j.kind for j in history.usable if j.kind)
    wanted = kind or (kinds.most_common(1)[0][0] if kinds else None)
    jobs = [j for j in history.usable if wanted is None or j.kind == wanted]
    if not jobs:
        return None
    scoped = [j for j in jobs if j.scope]
    held = Counter(k for j in scoped for k in items_of(j))
    name = next((k.name for k in standard().job_kinds if k.key == wanted), wanted or "job")
    return Job(
        "base",
        f"a middle {name} of yours",
        kind=wanted,
        state="quoted",
        area_sqft=_middle([j.area_sqft for j in jobs]),
        grade=_middle([j.grade for j in jobs]),
        house_year=_whole(_middle([j.house_year for j in jobs])),
        plan=Amounts(crew=crew) if (crew := _middle([crew_of(j) for j in jobs])) else NOTHING,
        scope={k: usual_size(scoped, k) for k in sorted(held) if held[k] > USUALLY * len(scoped)},
    )


def usual_size(jobs: Sequence[Job], item: str) -> float:
    """The middle size of an item among jobs that had it; 1 where none says."""
    return _middle([v for j in jobs if (v := j.scope.get(item))]) or 1.0


def _with_everything(base: Job, history: History) -> Job:
    """The base with every item that its kind of job, or any where no kind is said, ever had."""
    alike = [j for j in history.usable if j.scope and base.kind in (None, j.kind)]
    jobs = alike or [j for j in history.usable if j.scope]
    ever = sorted({k for j in jobs for k in items_of(j)})
    more = {k: usual_size(jobs, k) for k in ever if not base.scope.get(k)}
    return replace(base, scope={**base.scope, **more})


def _option(
    group: ItemGroup, base: Job, found: dict[str, Prediction], middles: dict[str, float]
) -> OptionPrice:
    inside = any(base.scope.get(k) for k in group.items)
    steps: dict[str, Step | None] = dict.fromkeys(TARGETS)
    if group.jobs >= FEW:
        for target, prediction in found.items():
            known = {c.name for c in prediction.measures.columns}
            if prediction.model is not None and known.issuperset(group.columns):
                effect = prediction.worth(group.columns)
                measure = taken_off if inside else put_on
                steps[target] = Step(*measure(effect, middles[target]))
    return OptionPrice(
        group.items, group.name, inside, group.jobs, steps["cost"], steps["person_days"]
    )


def _sentence(
    base: Job,
    options: Sequence[OptionPrice],
    middle: float | None,
    lead: Prediction,
    currency: str,
) -> str:
    priced = [o for o in options if o.cost is not None and not o.inside]
    start = f"On top of {base.name}"
    if middle is not None:
        start += f" (middle {say_money(middle, currency)} direct cost)"
    if not priced:
        text = f"{start}, no option has enough jobs behind it to be priced."
    else:
        text = f"{start}, {_dearest(priced, currency)}"
    few = sum(o.cost is None for o in options)
    if few:
        text += f" {count_of(few, 'item')} too seldom done to be priced."
    if len(lead.jobs) < MOSTLY_ASSUMED:
        text += f" With {count_of(len(lead.jobs), 'job')} on file this is mostly assumptions."
    return text


def _dearest(priced: Sequence[OptionPrice], currency: str) -> str:
    """The dearest options, of those whose range is clear of zero; the others name no order."""
    clear = [(o.name, o.cost) for o in priced if o.cost is not None and o.cost.low > 0]
    open_ = len(priced) - len(clear)
    if not clear:
        return (
            f"nothing sure can be said of what {count_of(open_, 'option')} would add: zero lies in "
            f"{'its range' if open_ == 1 else 'each of their ranges'}."
        )
    top = [
        f"{name} {say_money(cost.low, currency)} to {say_money(cost.high, currency)}"
        for name, cost in clear[:3]
    ]
    those = (
        "the dearest options add"
        if not open_
        else "of those that clearly add cost, the dearest add"
    )
    rest = f"; {count_of(open_, 'other')} may add nothing" if open_ else ""
    return f"{those}: {'; '.join(top)} (8 times in 10){rest}."


def _notes(full: Job, options: Sequence[OptionPrice], own: bool, base: Job) -> tuple[str, ...]:
    words = standard()
    held = [words.item(k).name for k in base.scope if base.scope.get(k)]
    notes = [
        "Ranges are of the item's lasting effect on jobs like this base, not of the next job alone"
    ]
    if own:
        has = say_list(held) if held else "no item, for most of them say none"
        notes.append(f"The base is the middle of your jobs of its kind; it has {has}")
    shown = {k for o in options for k in o.items}
    rest = sorted(
        words.item(k).name
        for k in full.scope
        if k not in shown and any(i.key == k and i.enters == "yes" for i in words.items)
    )
    if rest:
        notes.append(f"In all jobs on file alike, so no price of its own: {say_list(rest)}")
    notes.append("Items that always came together stand in one row; rows are not to be added up")
    return tuple(notes)


def _nothing(history: History, base: Job, day: date | None) -> Options:
    have = len(known_totals(history, "cost", day)[0])
    text = "Your records cannot price options yet: "
    if have >= MIN_JOBS and base.kind:
        text += "no finished job of this kind is on file. Give a scope to add the options to."
    else:
        text += f"{count_of(have, 'finished job')} with a known direct cost {is_are(have)} on file "
        text += f"and at least {MIN_JOBS} are needed, with their scope." + why_few(history)
    return Options(
        text,
        grounds_of(history, history.usable),
        base,
        asked_on=day,
        known=False,
    )


def _middle(values: Sequence[float | None]) -> float | None:
    known = [float(v) for v in values if v is not None]
    return float(median(known)) if known else None


def _whole(value: float | None) -> int | None:
    return None if value is None else round(value)
