"""The page of trust: the range each past job would have had, how ranges narrowed, what helps."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from costlearn.pages.charts import Scale
from costlearn.pages.curves import Spot, points_chart
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture, Remarks, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.records_worth import FieldWorth
from costlearn.questions.trust import WANTED_HALF_WIDTH, TargetTrust, Tried, Trust
from costlearn.questions.wording import PLAIN_TARGET, count_of, say
from costlearn.units import say_percent

QUESTION = "How far can these estimates be trusted?"
WHAT = {
    "cost": "Direct cost",
    "person_days": "Person-days",
    "elapsed_days": "Working days, first to last",
}
LOOKS = {True: ("circle", "main", "middling"), False: ("diamond", "signal", "missed")}
"""Held or not: shape and tone of the mark, form of the band."""
MARKS = {
    "cost": ("circle", "main", -0.25),
    "person_days": ("square", "signal", 0.0),
    "elapsed_days": ("triangle", "third", 0.25),
}
"""What is foretold: shape, tone and place in its row."""
ON_ONE_SHEET = 24
"""So many jobs fit on a sheet of paper; more are drawn in several pictures on one axis."""
MOST_DRAWN = 3 * ON_ONE_SHEET
"""Of more jobs than this the newest are drawn; the table of all stands further down."""
LETTERS = 17
"""Letters of a job's name beside its row; the rest is in the table."""
PITCH = 32
"""Pixels a job."""
FIELD_PITCH = 46
"""Pixels a thing written down, for up to three marks one under the other."""


def sheet(answer: Trust) -> Sheet:
    """What the page shows around the answer."""
    if not answer.known or not answer.targets:
        return Sheet(QUESTION)
    lead = answer.targets[0]
    pictures = (*_jobs(answer, lead), _narrowed(answer, lead), _fields(answer))
    return Sheet(
        QUESTION,
        f"{count_of(len(lead.tried), 'past job')}, {answer.grounds.span}",
        pictures=tuple(p for p in pictures if p is not None),
        remarks=(Remarks("Worth writing down", _advice(answer)),),
    )


def _advice(answer: Trust) -> tuple[str, ...]:
    """What the sentence has not said already."""
    return tuple(
        f"For {PLAIN_TARGET[t.target]}, {f.advice[:1].lower()}{f.advice[1:]}"
        for t in answer.targets
        for f in t.fields
        if f.advice and f.advice not in answer.sentence
    )


def _jobs(answer: Trust, lead: TargetTrust) -> list[Picture]:
    """The newest jobs in time order, in as few pictures of like length as fit on paper."""
    drawn = lead.tried[-MOST_DRAWN:]
    parts = ceil(len(drawn) / ON_ONE_SHEET)
    cuts = [round(k * len(drawn) / parts) for k in range(parts + 1)]
    ends = [v for t in drawn for v in (t.low / t.actual, t.high / t.actual)]
    return [_part(answer, lead, drawn[start:stop], ends, parts) for start, stop in pairwise(cuts)]


def _part(
    answer: Trust, lead: TargetTrust, part: Sequence[Tried], ends: Sequence[float], parts: int
) -> Picture:
    span = f"{part[0].day:%b %Y} to {part[-1].day:%b %Y}"
    count = len(lead.tried)
    share = "" if len(part) == count else f"{len(part)} of "
    older = "; older ones stand in the table further down" if count > MOST_DRAWN else ""
    thin = "" if all(t.held for t in part) else ", a thin line where it missed"
    scale = Scale("ratio", "against what the job came to", one="0 %")
    unit = f"{answer.grounds.currency}" if lead.target == "cost" else "days"
    return Picture(
        f"{WHAT[lead.target]}, job by job" + (f", {span}" if parts > 1 else ""),
        row_chart(
            [_row(t) for t in part], scale, ((1.0, "what it came to"),), ends=ends, pitch=PITCH
        ),
        f"{share}{count_of(count, 'past job')}, quoted {span}, each from as many jobs as stand "
        f"under its name; {unit}, against what the job came to; a band was to hold 8 jobs in 10"
        f"{older}.",
        _range_numbers(answer, lead, part),
        (
            *_held_keys(part, "middle, range held", "middle, range missed"),
            Key("middling", "middle", f"8-in-10 range{thin}"),
        ),
    )


def _row(t: Tried) -> Row:
    shape, tone, form = LOOKS[t.held]
    low, high = _against(t.low, t.actual), _against(t.high, t.actual)
    said = f"{t.job}: {low} to {high}, from {count_of(t.known, 'job')}"
    return Row(
        _short(t.job),
        f"{t.day:%b %Y}, {count_of(t.known, 'job')}",
        (Band(t.low / t.actual, t.high / t.actual, form),),
        (Mark(t.median / t.actual, shape, tone, says=said),),
    )


def _short(name: str) -> str:
    """The beginning of a name, so that a row stays thin."""
    if len(name) <= LETTERS:
        return name
    return name[: LETTERS - 1].rstrip(" ,;-") + "…"


def _against(value: float, actual: float) -> str:
    return say_percent(value / actual - 1, signed=True)


def _range_numbers(answer: Trust, lead: TargetTrust, part: Sequence[Tried]) -> Table:
    money = answer.grounds.currency
    rows = tuple(
        (
            t.job,
            f"{t.day:%b %Y}",
            str(t.known),
            f"{_against(t.low, t.actual)} to {_against(t.high, t.actual)}",
            _against(t.median, t.actual),
            say(t.actual, lead.target, money),
            "yes" if t.held else "no",
        )
        for t in part
    )
    heads = ("job", "quoted", "jobs known", "8 in 10", "middle", "came to", "held")
    return Table("The ranges drawn, against what each job came to", heads, rows)


def _held_keys(tried: Sequence[Tried], held: str, missed: str) -> tuple[Key, ...]:
    """Marks that occur: those of ranges that held, then of those that missed."""
    met = {t.held for t in tried}
    words = ((True, held), (False, missed))
    return tuple(Key(*LOOKS[kind][:2], said) for kind, said in words if kind in met)


def _narrowed(answer: Trust, lead: TargetTrust) -> Picture:
    spots = [
        Spot(
            t.known,
            t.half_width,
            *LOOKS[t.held][:2],
            says=f"{t.job}: {say_percent(t.half_width)} either way, from {t.known} jobs",
        )
        for t in lead.tried
    ]
    fewest, most = (f(t.known for t in lead.tried) for f in (min, max))
    fit = lead.narrowing
    curve = [(float(n), fit.at(n)) for n in range(fewest, most + 1)] if fit else []
    levels = (
        (WANTED_HALF_WIDTH, f"{say_percent(WANTED_HALF_WIDTH)} either way"),
        (lead.own.error, f"typical error {say_percent(lead.own.error)}"),
    )
    first, last = lead.tried[0].day, lead.tried[-1].day
    keys = _held_keys(lead.tried, "range that held", "range that missed")
    return Picture(
        f"{WHAT[lead.target]}: how the range narrowed as jobs were added",
        points_chart(
            spots,
            Scale("count", "finished jobs known when it was quoted"),
            Scale("share", "range, % either way"),
            curve=curve,
            levels=levels,
        ),
        f"{count_of(len(lead.tried), 'past job')}, quoted {first:%b %Y} to {last:%b %Y}; half the "
        "width of each 8-in-10 range as a share of its middle, one mark a job, no band"
        + "; typical error: the middle against what the job came to, half the jobs were nearer.",
        _narrowing_numbers(lead),
        (*keys, Key("line", "middle", "fall fitted to them")) if curve else keys,
    )


def _narrowing_numbers(lead: TargetTrust) -> Table:
    fit = lead.narrowing
    rows = tuple(
        (
            t.job,
            str(t.known),
            say_percent(t.half_width),
            say_percent(fit.at(t.known) if fit else None),
            "yes" if t.held else "no",
        )
        for t in lead.tried
    )
    return Table("The marks drawn", ("job", "jobs known", "either way", "fitted", "held"), rows)


def _fields(answer: Trust) -> Picture | None:
    """Every field on a row, with a mark for each target it was tried on."""
    tried = {t.target: {f.name: f for f in t.fields} for t in answer.targets if t.fields}
    if not tried:
        return None
    names = list(dict.fromkeys(n for found in tried.values() for n in found))
    rows = [_field_row(n, {t: f[n] for t, f in tried.items() if n in f}) for n in names]
    faint = any(not f.matters for found in tried.values() for f in found.values())
    grounds = answer.grounds
    jobs = max(f.jobs for found in tried.values() for f in found.values())
    return Picture(
        "What each thing you write down is worth",
        row_chart(
            rows,
            Scale("share", "how much wider without it"),
            ((0.0, "the same"),),
            pitch=FIELD_PITCH,
        ),
        f"Up to {count_of(jobs, 'past job')}: those of {grounds.span} and the first before them; "
        "% by which the range widens when the thing is left out of the records, one mark for each "
        "thing foretold, no band.",
        _field_numbers(names, tried),
        (
            *(Key(*MARKS[t][:2], WHAT[t].lower()) for t in tried),
            *((Key("circle", "muted", "hollow: tells next to nothing", True),) if faint else ()),
        ),
    )


def _field_row(name: str, by_target: dict[str, FieldWorth]) -> Row:
    return Row(
        name,
        marks=tuple(
            Mark(
                f.wider,
                *MARKS[target][:2],
                hollow=not f.matters,
                says=f"{WHAT[target]}: {say_percent(f.wider, signed=True)} without {name}",
                shift=MARKS[target][2],
            )
            for target, f in by_target.items()
        ),
    )


def _field_numbers(names: Sequence[str], tried: dict[str, dict[str, FieldWorth]]) -> Table:
    rows = tuple(
        (
            name,
            *(
                say_percent(found[name].wider if name in found else None, signed=True)
                for found in tried.values()
            ),
        )
        for name in names
    )
    return Table("How much wider without it", ("", *(WHAT[t].lower() for t in tried)), rows)
