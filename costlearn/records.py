"""The records of finished and running jobs: frozen, normalised, no input or output.

Two layers. *Entries* are what one row of one file says, already read into numbers and dates, with
the place it came from. A *Job* is what all entries about it say together, and a *History* is the
firm's jobs. ``costlearn.assembly`` makes jobs out of entries.

Units everywhere: money in cents, areas in square feet, time in working days, dates as
``datetime.date``. Missing is ``None``, never zero.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Annotated

from costlearn.errors import Place
from costlearn.fields import Cents, Days, Grade, Hours, People, Share, Shown, SquareFeet, Year
from costlearn.firm import Firm

COST_KINDS = ("labour", "material", "sub", "rental", "disposal", "permit")
"""The kinds of direct cost. Tax and overhead are recorded, but are never direct cost."""

STATES = ("finished", "running", "quoted")
CHANGE_STATES = ("approved", "declined", "verbal")


@dataclass(frozen=True, slots=True)
class Amounts:
    """Cost and time of a job or a phase, planned or actual; ``None`` where nobody wrote it down.

    ``cost`` is the direct cost as a whole; the six kinds are its parts where known. ``crew`` is the
    crew size, person-days over site days.
    """

    cost: Annotated[Cents | None, Shown("direct cost", sheet="cost")] = None
    labour: Cents | None = None
    material: Cents | None = None
    sub: Cents | None = None
    rental: Cents | None = None
    disposal: Cents | None = None
    permit: Cents | None = None
    person_days: Annotated[Days | None, Shown("person-days", sheet="person-days", width=12)] = None
    site_days: Annotated[Days | None, Shown("site days", sheet="site days", width=10)] = None
    wait_days: Annotated[Days | None, Shown("wait days")] = None
    elapsed_days: Annotated[Days | None, Shown("elapsed days")] = None
    crew: Annotated[People | None, Shown("crew size")] = None

    @property
    def parts(self) -> int | None:
        """The sum of the cost kinds that are known, or None if none is."""
        known = [v for k in COST_KINDS if (v := getattr(self, k)) is not None]
        return sum(known) if known else None

    @property
    def total(self) -> int | None:
        """The whole direct cost; kinds alone never stand in for it: some may not be on file."""
        return self.cost

    @property
    def empty(self) -> bool:
        """True if nothing at all is known."""
        return self == NOTHING


NOTHING = Amounts()

Notes = Annotated[str, Shown(sheet="Notes", width=30)]
JobName = Annotated[str, Shown(sheet="Job", choices="jobs", width=34)]
PhaseKey = Annotated[
    str, Shown(sheet="Phase", example="Tile and grout", choices="phases", width=34)
]
BooksClosed = Annotated[
    bool, Shown("books closed", sheet="Books closed", example="yes", choices="yes or no", width=9)
]
CallBack = Annotated[str, Shown(called="cause", sheet="Call-back of", choices="phases", width=34)]


@dataclass(frozen=True, slots=True)
class Span:
    """A figure its writer knows only roughly: from ``low`` to ``high``, in the figure's own unit.

    Both are equal for a figure that is only marked as rough ("about 18k").
    """

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class JobEntry:
    """One row about a job. ``job`` is the job as written there; ``scope`` maps item keys to sizes.

    A scope value is a quantity in the item's unit, 0.0 for "not in the job", or None for "not
    said". An item that is there with no size given has the quantity 1.0. ``rough`` holds what was
    written of figures known only roughly ("actual.cost" from 28,000 to 31,000); the figure itself
    is then the middle.
    """

    job: Annotated[str, Shown(sheet="Job", width=34)]
    place: Place
    kind: Annotated[str | None, Shown(sheet="Kind", example="bathroom", choices="job kinds")] = None
    state: Annotated[
        str | None,
        Shown(sheet="State", example="finished", choices="states", width=11, only=STATES),
    ] = None
    quoted_on: Annotated[
        date | None, Shown("date of the quote", sheet="Quoted on", example=date(2025, 2, 3))
    ] = None
    started: Annotated[date | None, Shown(sheet="Started", example=date(2025, 3, 3))] = None
    finished: Annotated[date | None, Shown(sheet="Finished", example=date(2025, 3, 21))] = None
    area_sqft: Annotated[
        SquareFeet | None,
        Shown("area in sq ft", called="area", sheet="Floor area", example=48, width=12),
    ] = None
    grade: Annotated[
        Grade | None, Shown(sheet="Grade", example="middle", choices="grades", width=10)
    ] = None
    house_year: Annotated[
        Year | None, Shown("year of the house", sheet="House built", example=1962, width=9)
    ] = None
    condo: bool | None = None
    price: Annotated[Cents | None, Shown(sheet="Quoted price", example=18400)] = None
    paid: Annotated[Cents | None, Shown(sheet="Price paid", example=19150)] = None
    plan: Annotated[Amounts, Shown(example={"cost": 13200, "site_days": 12})] = NOTHING
    actual: Annotated[Amounts, Shown(example={"cost": 14050, "site_days": 13.5})] = NOTHING
    books_closed: BooksClosed | None = None
    scope: Mapping[str, float | None] = field(default_factory=dict)
    notes: Notes = ""
    rough: Mapping[str, Span] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PhaseEntry:
    """One row (or block of columns) about one phase of one job; ``phase`` is a phase key.

    ``rough`` as in :class:`JobEntry`.
    """

    job: JobName
    phase: PhaseKey
    place: Place
    plan: Annotated[Amounts, Shown(example={"person_days": 4, "cost": 2600})] = NOTHING
    actual: Annotated[Amounts, Shown(example={"person_days": 5.5, "cost": 3150})] = NOTHING
    started: Annotated[date | None, Shown(sheet="Started", example=date(2025, 3, 12))] = None
    finished: Annotated[date | None, Shown(sheet="Finished", example=date(2025, 3, 18))] = None
    percent_complete: Annotated[Share | None, Shown("share complete")] = None
    books_closed: BooksClosed | None = None
    notes: Notes = ""
    rough: Mapping[str, Span] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HoursEntry:
    """Hours of one person on one day; ``waiting`` hours are paid but not worked.

    ``callback_of`` is the phase whose work had to be done again, ``"unassigned"`` where nobody says
    which, and None for all work that is no call-back.
    """

    job: JobName
    person: Annotated[str, Shown(sheet="Person", example="Ann", width=14)]
    day: Annotated[date | None, Shown(sheet="Day", example=date(2025, 3, 12))]
    hours: Annotated[Hours, Shown(sheet="Hours", example=6.5, width=9)]
    place: Place
    phase: PhaseKey | None = None
    waiting: Annotated[bool, Shown(sheet="Waiting", example="no", choices="yes or no", width=9)] = (
        False
    )
    notes: Notes = ""
    callback_of: CallBack | None = None


@dataclass(frozen=True, slots=True)
class CostEntry:
    """One cost line, ``net`` and ``tax`` in cents, credits negative. No job: it waits for one.

    ``callback_of`` as in :class:`HoursEntry`. ``on_statement`` says that a bank or a card wrote the
    line: it shows what was paid, and its reference is the bank's own.
    """

    job: JobName | None
    kind: Annotated[str, Shown(sheet="Kind", example="Materials", choices="cost kinds", width=16)]
    net: Annotated[Cents, Shown(called="amount", sheet="Amount before tax", example=612.4)]
    place: Place
    tax: Annotated[Cents | None, Shown(sheet="Tax", example=79.61, width=11)] = None
    currency: str | None = None
    day: Annotated[date | None, Shown(sheet="Day", example=date(2025, 3, 10))] = None
    phase: PhaseKey | None = None
    payee: Annotated[str, Shown(sheet="Payee", example="tile shop", width=20)] = ""
    document: Annotated[str, Shown(sheet="Document", example="A-1041", width=14)] = ""
    notes: Notes = ""
    callback_of: CallBack | None = None
    on_statement: bool = False

    @property
    def gross(self) -> int:
        """What was paid, tax included where it is stated; in cents."""
        return self.net + (self.tax or 0)


@dataclass(frozen=True, slots=True)
class ChangeEntry:
    """A change order: what it adds to price, cost and days, and whether the client approved it."""

    job: JobName
    label: Annotated[str, Shown(sheet="Change", example="second niche", width=30)]
    state: Annotated[
        str,
        Shown(
            sheet="State", example="approved", choices="change states", width=11, only=CHANGE_STATES
        ),
    ]
    place: Place
    price: Annotated[Cents | None, Shown(sheet="Price", example=750)] = None
    cost: Annotated[Cents | None, Shown(sheet="Cost", example=480)] = None
    days: Annotated[Days | None, Shown(sheet="Days", example=1, width=9)] = None
    phase: PhaseKey | None = None


Entry = JobEntry | PhaseEntry | HoursEntry | CostEntry | ChangeEntry


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a person should know about what was read.

    ``kind`` is one of ``"understood"`` (what a column or word was taken for), ``"proposed"`` (a
    close spelling taken, to be confirmed), ``"set aside"`` (a row or cell not used, kept here with
    its text), ``"asked"`` (only a person can say), ``"checked"`` (a total row agreed or did not).
    ``agrees`` says of something checked whether it did, ``slip`` that a word or a heading was
    misspelled by one letter, and read as the known one.
    """

    kind: str
    place: Place
    text: str
    raw: str = ""
    agrees: bool | None = None
    slip: bool | None = None


FINDING_KINDS = ("understood", "proposed", "set aside", "asked", "checked")


@dataclass(frozen=True, slots=True)
class Question:
    """Something about the records that only a person can say, and how many rows wait for it.

    ``key`` names it and stays the same from one reading to the next; ``topic`` says which sort of
    answer it takes; ``found`` is the text that was met; ``choices`` are answers that would do.
    ``holds`` says in a few words what waits for the answer ("3 jobs without a cost"), ``money`` how
    many cents of it, and ``samples`` shows up to three cells as they were written.
    """

    key: str
    topic: str
    place: Place
    found: str
    text: str
    choices: tuple[str, ...] = ()
    rows_waiting: int = 1
    money: int = 0
    holds: str = ""
    samples: tuple[str, ...] = ()


@dataclass(frozen=True)
class Batch:
    """All that one file gave: its entries, and the findings about what was read and not read.

    ``currency`` is the only one its jobs name, where the firm has not named its own.
    """

    file: str
    digest: str
    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...]
    questions: tuple[Question, ...] = ()
    currency: str | None = None

    def count(self, kind: str) -> int:
        """How many findings of a kind there are."""
        return sum(1 for f in self.findings if f.kind == kind)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a figure of a job came from, and how it was derived from there."""

    figure: str
    how: str
    places: tuple[Place, ...]


@dataclass(frozen=True)
class PhaseRecord:
    """One phase of one job, all entries together."""

    phase: str
    plan: Amounts = NOTHING
    actual: Amounts = NOTHING
    percent_complete: float | None = None
    books_closed: bool | None = None


@dataclass(frozen=True, slots=True)
class Callback:
    """Call-back work of a job for one causing phase: kept apart from what the job itself took.

    ``phase`` is ``"unassigned"`` where nobody says what caused it. Person-days are worked and
    waited; ``cost`` is the cost lines and, with a day rate, the priced hours, in cents.
    """

    phase: str
    person_days: float | None = None
    cost: int | None = None
    how: str = ""
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Twin:
    """One purchase that stands in two tables, a receipt and a card line say; it counts once.

    A purchase is all cost lines of one row, or of one document. ``first`` is what counts, with what
    only ``second`` says of job, kind and phase filled in. ``differ`` names what the two disagree on
    ("job", "kind"); where it is not ``sure`` that they are one, a person is asked.
    """

    first: tuple[CostEntry, ...]
    second: tuple[CostEntry, ...]
    sure: bool = True
    differ: tuple[str, ...] = ()

    @property
    def counted(self) -> Place:
        """Where the one that counts stands."""
        return self.first[0].place


@dataclass(frozen=True)
class Job:
    """One contract at one place, all entries together.

    ``plan`` is the quote; :attr:`changed_cost` and :attr:`changed_days` are the approved changes on
    top of it. ``callbacks`` are in none of the other figures. ``origins`` says where each figure
    came from; ``conflicts`` lists where two records of the same figure disagree, in plain
    sentences. ``rough`` as in :class:`JobEntry`, by the same names.
    """

    key: str
    name: str
    kind: str | None = None
    state: str = "finished"
    quoted_on: date | None = None
    started: date | None = None
    finished: date | None = None
    area_sqft: float | None = None
    grade: float | None = None
    house_year: int | None = None
    condo: bool | None = None
    price: int | None = None
    paid: int | None = None
    plan: Amounts = NOTHING
    actual: Amounts = NOTHING
    books_closed: bool | None = None
    scope: Mapping[str, float | None] = field(default_factory=dict)
    rough: Mapping[str, Span] = field(default_factory=dict)
    phases: tuple[PhaseRecord, ...] = ()
    changes: tuple[ChangeEntry, ...] = ()
    callbacks: tuple[Callback, ...] = ()
    notes: str = ""
    origins: tuple[Origin, ...] = ()
    conflicts: tuple[str, ...] = ()

    @property
    def day(self) -> date | None:
        """The date whose prices the job was built at: start, else finish, else the quote's date."""
        return self.started or self.finished or self.quoted_on

    @property
    def usable(self) -> bool:
        """True if the job is finished and its books are not known to be open."""
        return self.state == "finished" and self.books_closed is not False

    @property
    def imprint(self) -> object:
        """What no two jobs share: all actual figures; with few or round ones the dates besides."""
        odd = self.actual.person_days and self.area_sqft and (self.actual.cost or 0) % 10_000
        if self.actual.cost is None or not (odd or self.started):
            return self.key
        dates = None if odd else (self.started, self.finished)
        return self.kind, self.area_sqft, self.actual, tuple(p.actual for p in self.phases), dates

    @property
    def changed_cost(self) -> int:
        """Cost added by approved changes, in cents."""
        return sum(c.cost or 0 for c in self.changes if c.state == "approved")

    @property
    def changed_price(self) -> int:
        """Price added by approved changes, in cents."""
        return sum(c.price or 0 for c in self.changes if c.state == "approved")

    @property
    def verbal_price(self) -> int:
        """Price of changes the client has only spoken of, in cents; in none of the other sums."""
        return sum(c.price or 0 for c in self.changes if c.state == "verbal")

    @property
    def agreed_price(self) -> int | None:
        """The quoted price with the approved changes, in cents; None without a quoted price."""
        return None if self.price is None else self.price + self.changed_price

    @property
    def changed_days(self) -> float:
        """Person-days added by approved changes."""
        return sum(c.days or 0.0 for c in self.changes if c.state == "approved")

    def phase(self, key: str) -> PhaseRecord | None:
        """The record of a phase, if the job has one."""
        return next((p for p in self.phases if p.phase == key), None)


@dataclass(frozen=True)
class History:
    """A firm and all its jobs, oldest first; ``twins`` are purchases on file twice."""

    firm: Firm = field(default_factory=Firm)
    jobs: tuple[Job, ...] = ()
    loose_costs: tuple[CostEntry, ...] = ()
    twins: tuple[Twin, ...] = ()

    @cached_property
    def usable(self) -> tuple[Job, ...]:
        """Finished jobs whose books are not known to be open; one on file twice counts once."""
        firsts: dict[int | None, Job] = {}
        kept: dict[object, Job] = {}
        for job in (j for j in self.jobs if j.usable):
            # Only jobs of one cost can be one job: the others need no closer look.
            first = firsts.setdefault(job.actual.cost, job)
            same = first is job or job.imprint == first.imprint
            kept.setdefault(first.key if same else job.imprint, job)
        return tuple(kept.values())

    @property
    def open_books(self) -> tuple[Job, ...]:
        """Finished jobs for which more bills are expected."""
        return tuple(j for j in self.jobs if j.state == "finished" and j.books_closed is False)

    @property
    def running(self) -> tuple[Job, ...]:
        """Jobs being built now."""
        return tuple(j for j in self.jobs if j.state == "running")

    def job(self, name: str) -> Job | None:
        """The job of a name or key, or of the only name that starts so; None if there is none."""
        wanted = job_key(name)
        exact = next((j for j in self.jobs if j.key == wanted), None)
        starts = [j for j in self.jobs if wanted and j.key.startswith(wanted)]
        return exact or (starts[0] if len(starts) == 1 else None)


def job_key(name: str) -> str:
    """The key two spellings of one job share: letters and digits, lower case.

    >>> job_key("J-07  Hall bath") == job_key("j 07 hall Bath")
    True
    """
    return "".join(c for c in name.casefold() if c.isalnum())
