"""What a phone needs to answer for a scope at the client's house: the fitted models, no names.

The sheet computes what :func:`costlearn.questions.estimate.estimate` does. So it carries what each
finished job held (as figures, without its name), the priors, and what the models learned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.features import measures as ms
from costlearn.features.beliefs import MIN_COVERED, known_rates
from costlearn.features.likeness import FEW, NEAR_FACTOR
from costlearn.models.carried import CarriedTable, carried_table
from costlearn.models.distribution import LEVELS
from costlearn.models.mixture import belief_alone
from costlearn.models.regression import GRID
from costlearn.questions import cautions, doubts, learning
from costlearn.questions.answer import Answer
from costlearn.questions.estimate import NO_PRICE
from costlearn.questions.options import middle_job
from costlearn.questions.pocket_fits import CarriedTarget, carried_target
from costlearn.questions.withheld import GUESS, MOST_TOLD
from costlearn.questions.wording import count_of, is_are
from costlearn.records import History, Job
from costlearn.units import FT_PER_M, SQFT_PER_SQM, SYMBOLS, say_money
from costlearn.vocabulary import standard

SIZED = ("wall_tile",)
"""Items whose size enters the models, besides those of which the pieces are counted."""
CHOICES = (0.0, 1.0, 2.0)
"""Finish grades that can be chosen: basic, middle, high."""


@dataclass(frozen=True)
class CarriedItem:
    """A scope item on offer; ``jobs`` of the finished ones had it."""

    key: str
    name: str
    unit: str
    enters: str
    jobs: int


@dataclass(frozen=True)
class CarriedKind:
    """A kind of job; ``jobs`` of the finished ones were of it."""

    key: str
    name: str
    jobs: int


@dataclass(frozen=True)
class CarriedJob:
    """A finished job in figures: what the models measure of it, the year and cost it is shown by.

    ``day`` is an ordinal (1 is 1 January of the year 1); ``scope`` pairs numbers of items with
    their size, None where it is not said; ``old`` is 1 for an old house.
    """

    kind: str | None
    area: float | None
    grade: float | None
    old: int | None
    condo: int | None
    crew: float | None
    steady: float | None
    day: int | None
    scoped: bool
    scope: tuple[tuple[int, float | None], ...]
    year: int | None
    cost: str


@dataclass(frozen=True)
class CarriedBelief:
    """What the firm states: rates by item number (person-days, bought), usual figures per area."""

    rates: tuple[tuple[int, float, float], ...]
    day_rate: float | None
    usual: dict[str, float]
    covered: float
    scale: float
    table: CarriedTable


@dataclass(frozen=True)
class Start:
    """A scope to start from: the middle of the firm's jobs of a kind."""

    kind: str
    area: float | None
    grade: float | None
    crew: float | None
    scope: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class Constants:
    """Numbers and words of the house that the sheet needs."""

    levels: tuple[float, ...] = tuple(LEVELS.tolist())
    grid: tuple[float, ...] = GRID
    wall_unit: float = ms.WALL_UNIT
    old_house: int = ms.OLD_HOUSE
    near_factor: float = NEAR_FACTOR
    few: int = FEW
    min_jobs: int = learning.MIN_JOBS
    mostly_assumed: int = learning.MOSTLY_ASSUMED
    too_wide: float = learning.TOO_WIDE
    no_price: float = NO_PRICE
    most_told: float = MOST_TOLD
    guess: str = GUESS
    outside_wider: float = learning.OUTSIDE_WIDER
    far_leverage: float = learning.FAR_LEVERAGE
    kind_sd: float = doubts.KIND_SD
    kind_sd_mixed: float = doubts.KIND_SD_QUOTED
    sqft_per_sqm: float = SQFT_PER_SQM
    ft_per_m: float = FT_PER_M
    unlike: str = learning.UNLIKE
    unlike_each_other: str = learning.UNLIKE_EACH_OTHER


@dataclass(frozen=True)
class Pocket(Answer):
    """The fitted models as plain data, ready to be carried.

    ``dated`` is True where a price index fixes costs to the day the sheet is made. The cautions of
    a scope stand in ``by_scope``.
    """

    made: date | None = None
    margin: float | None = None
    sign: str = "$"
    dated: bool = False
    items: tuple[CarriedItem, ...] = ()
    kinds: tuple[CarriedKind, ...] = ()
    jobs: tuple[CarriedJob, ...] = ()
    targets: tuple[CarriedTarget, ...] = ()
    belief: CarriedBelief | None = None
    starts: tuple[Start, ...] = ()
    by_scope: tuple[cautions.Rule, ...] = ()
    constants: Constants = Constants()


def pocket(history: History, *, on: date) -> Pocket:
    """The fitted models of a history, to answer for scopes away from the book.

    Not known where no target has three finished jobs and the firm states no beliefs.

    Args:
        history: the firm's jobs; jobs with open books are left out.
        on: the day it is made. A price index brings costs to this day, and no further.

    Raises:
        InputProblem: the firm states a rate for an item nobody knows.
    """
    firm = history.firm
    stated = bool(firm.rates or firm.usual)
    every = (carried_target(history, name, on, stated=stated) for name in ms.TARGETS)
    found = tuple(t for t in every if t is not None)
    if not found:
        return _nothing(history, on)
    indexed = learning.index_of(history) is not None
    lead = [history.usable[i] for i in found[0].jobs]
    return Pocket(
        f"{count_of(len(lead), 'finished job')} {is_are(len(lead))} on the sheet, without their "
        "names: it answers for a scope away from the book.",
        learning.grounds_of(history, lead, _notes(history, indexed)),
        made=on,
        margin=firm.wanted_margin,
        sign=SYMBOLS.get(firm.currency, firm.currency + " "),
        dated=indexed,
        items=_items(history.usable),
        kinds=_kinds(history.usable),
        jobs=tuple(_job(j, firm.currency) for j in history.usable),
        targets=found,
        belief=_belief(history) if stated else None,
        starts=_starts(history),
        by_scope=cautions.rules(),
        cautions=(cautions.TAX,),
    )


def _nothing(history: History, on: date) -> Pocket:
    have = len(learning.known_totals(history, "cost", on)[0])
    return Pocket(
        f"There is nothing to carry yet: {count_of(have, 'finished job')} with a known direct cost "
        f"{is_are(have)} on file, and at least {learning.MIN_JOBS} are needed, or your own rates "
        "or usual cost per floor area in the settings.",
        learning.grounds_of(history, history.usable),
        known=False,
    )


def _notes(history: History, indexed: bool) -> tuple[str, ...]:
    notes = ["Each range is a prediction interval: where the next job lands, not the average one"]
    if indexed:
        notes.append("Costs stand at the level of your price index on the day the sheet was made")
    if history.firm.rates or history.firm.usual:
        notes.append("What you stated as your rates or usual figures is on the sheet too")
    return tuple(notes)


def _items(jobs: Sequence[Job]) -> tuple[CarriedItem, ...]:
    had = Counter(k for j in jobs for k, v in j.scope.items() if v)
    return tuple(CarriedItem(i.key, i.name, i.unit, i.enters, had[i.key]) for i in standard().items)


def _kinds(jobs: Sequence[Job]) -> tuple[CarriedKind, ...]:
    done = Counter(j.kind for j in jobs)
    return tuple(CarriedKind(k.key, k.name, done[k.key]) for k in standard().job_kinds)


def _job(job: Job, currency: str) -> CarriedJob:
    crew, steady = ms.crew_of(job), ms.steady_crew(job)
    day, year = job.day, job.finished or job.day
    return CarriedJob(
        job.kind,
        job.area_sqft,
        job.grade,
        None if job.house_year is None else int(job.house_year < ms.OLD_HOUSE),
        None if job.condo is None else int(job.condo),
        crew,
        steady,
        day.toordinal() if day else None,
        bool(job.scope),
        tuple(
            (n, None if size is None else size if _counted(i.key, i.enters) else 1)
            for n, i in enumerate(standard().items)
            if (size := job.scope.get(i.key, 0.0)) is None or size
        ),
        year.year if year else None,
        say_money(ms.observed(job, "cost"), currency),
    )


def _counted(key: str, enters: str) -> bool:
    """True if the models look at how much there is of an item, not only whether it is there."""
    return key in SIZED or enters != "yes"


def _belief(history: History) -> CarriedBelief:
    firm = history.firm
    keys = [i.key for i in standard().items]
    rates = known_rates(firm, standard())
    alone = belief_alone(1.0, learning.spread_of_belief(firm))
    return CarriedBelief(
        tuple((keys.index(k), days or 0.0, bought or 0.0) for k, (days, bought) in rates.items()),
        firm.day_rate,
        dict(firm.usual),
        MIN_COVERED,
        alone.scale,
        carried_table(alone.multipliers),
    )


def _starts(history: History) -> tuple[Start, ...]:
    """The middle jobs of the kinds done, most frequent first; a client's house year is not ours."""
    keys = [i.key for i in standard().items]
    kinds = Counter(j.kind for j in history.usable if j.kind and j.scope)
    found = []
    for kind, _ in kinds.most_common():
        job = middle_job(history, kind)
        if job is not None:
            scope = tuple((keys.index(k), float(v or 1.0)) for k, v in job.scope.items())
            grade = job.grade if job.grade in CHOICES else None
            crew = job.plan.crew
            whole = crew if crew is not None and crew.is_integer() else None
            found.append(Start(kind, job.area_sqft, grade, whole, scope))
    return tuple(found)
