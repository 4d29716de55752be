"""What earns most, in words: range first, then the middle, then the odds."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor

from costlearn.firm import Firm
from costlearn.questions.earning.against import Recovered, Unseen
from costlearn.questions.earning.takings import OWN, PLAIN, DayEarning, Mix, Pair, Taking
from costlearn.questions.wording import count_of, say_list
from costlearn.units import say_money

LIKELY, SURE = 0.9, 0.95
"""Odds from which one kind is said to earn more than another, probably and without a word."""
NO_CAUSE = (
    "What a day left hangs on price, season and luck as much as on the kind of job: look at the "
    "jobs behind a figure before you turn work away."
)


def sentence(mixes: Sequence[Mix], unseen: Unseen, against: Recovered | None, currency: str) -> str:
    """The answer in a few sentences."""
    parts = [_by_day(mixes[0], currency)]
    if len(mixes) > 1:
        parts.append(_own_day(mixes[1], currency))
    parts.append(_unseen(unseen, currency))
    parts.append(_against(against, currency))
    return " ".join(p for p in parts if p)


def nothing(found: Sequence[Taking]) -> str:
    """What is missing, where no kind of job can be told."""
    have = len(found)
    text = "Your records cannot tell what a day earns: "
    if have < 3:
        return (
            f"{text}{count_of(have, 'finished job')} with both a price and a direct cost "
            f"{'is' if have == 1 else 'are'} on file, and at least 3 are needed. Write down what "
            "each client paid."
        )
    return f"{text}fewer than 3 of these jobs say how many days were worked on site."


def notes(
    firm: Firm,
    found: Sequence[Taking],
    finished: int,
    own: Sequence[str],
    against: Recovered | None,
) -> tuple[str, ...]:
    """What the figures are made of and what is missing."""
    said = [
        "What is left is the price less direct cost; the day rate of all who worked is in it",
        "Ranges are of the average over many days, not of one job; a job far off counts less, so "
        "where losses like the worst on file come again the average is nearer the plain sum",
    ]
    quoted = sum(not t.how.startswith("price paid") for t in found)
    if quoted:
        said.append(
            f"{count_of(quoted, 'job')} with no amount paid on file: the quoted price with "
            "approved changes stands in"
        )
    if finished > len(found):
        said.append(
            f"{count_of(finished - len(found), 'finished job')} without a price or a direct cost "
            "left out"
        )
    said += own
    if against is None and firm.overhead_per_day is None:
        missing = "overhead_per_year" if firm.overhead_per_year is None else "working_days_per_year"
        said.append(f"Overhead is not compared: {missing} is not in your settings")
    elif against is not None:
        said.append(
            f"Overhead is that of your settings for all years, {against.working_days:,.0f} working "
            "days; the years before may have had less"
        )
    return tuple(said)


def chances(chance: float) -> str:
    """A chance of something that happens once: so many in ten, or in a hundred near the ends.

    >>> chances(0.82), chances(0.97), chances(1.0)
    ('8 in 10', '97 in 100', 'more than 99 in 100')
    """
    if chance < 0.005:
        return "fewer than 1 in 100"
    if chance >= 0.995:
        return "more than 99 in 100"
    whole = 100 if chance < 0.075 or chance > 0.925 else 10
    return f"{floor(chance * whole + 0.5)} in {whole}"


def _by_day(mix: Mix, currency: str) -> str:
    told = [e for e in mix.kinds if e.told]
    few = [f"{e.name} ({count_of(e.jobs, 'job')})" for e in mix.kinds if not e.told]
    rest = f" Too few to say of {say_list(few)}." if few else ""
    if not told:
        return f"No kind of job has 3 jobs that say what a {PLAIN[mix.measure]} left.{rest}"
    kinds = say_list([_one(e, currency) for e in told])
    return f"After direct cost a {PLAIN[mix.measure]} leaves on average {kinds}.{_pairs(mix)}{rest}"


def _one(e: DayEarning, currency: str) -> str:
    low, high = say_money(e.interval.low, currency), say_money(e.interval.high, currency)
    middle = say_money(e.middle, currency)
    return f"{low} to {high} on {e.name} (middle {middle}, {count_of(e.jobs, 'job')})"


def _pairs(mix: Mix) -> str:
    """Which kinds can be told apart; else that they cannot."""
    if not mix.pairs:
        return ""
    top: Pair = max(mix.pairs, key=lambda p: p.chance)
    odds = chances(top.chance)
    if top.chance >= LIKELY:
        verb = "earn" if top.chance >= SURE else "probably earn"
        return f" {top.one[:1].upper()}{top.one[1:]} {verb} more than {top.other}: odds {odds}."
    return (
        f" Which kind earns most cannot be told: the odds that {top.one} beat {top.other} are only "
        f"{odds}."
    )


def _own_day(mix: Mix, currency: str) -> str:
    best = next((e for e in mix.kinds if e.told), None)
    if best is None or mix.measure != OWN:
        return ""
    others = [e for e in mix.kinds if e.told and e is not best]
    text = f"For each day of your own, {best.name} leave {_span(best, currency)}"
    if others:
        text += f", {say_list([f'{e.name} {_span(e, currency)}' for e in others])}"
    return f"{text}."


def _span(e: DayEarning, currency: str) -> str:
    return f"{say_money(e.interval.low, currency)} to {say_money(e.interval.high, currency)}"


def _unseen(unseen: Unseen, currency: str) -> str:
    known = [
        (name, value)
        for name, value in (
            ("call-backs", unseen.callback_cost),
            ("extras nobody paid for", unseen.extras.cost),
        )
        if value
    ]
    if not known:
        return ""
    total = sum(v for _, v in known) * (unseen.share or 1.0)
    when = "a year" if unseen.share else "on the jobs on file"
    what = say_list([name for name, _ in known])
    return f"{what[:1].upper()}{what[1:]} came to about {say_money(total, currency)} {when}."


def _against(against: Recovered | None, currency: str) -> str:
    if against is None:
        return ""
    left, spent = say_money(against.left, currency), say_money(against.overhead, currency)
    over = say_money(abs(against.over), currency)
    ends = f"{against.first:%b %Y} to {against.last:%b %Y}"
    rest = f"{over} {'more' if against.over >= 0 else 'short'}"
    text = f"From {ends} the jobs left {left} against {spent} of overhead, {rest}"
    if against.uncounted:
        text += f", with {count_of(against.uncounted, 'job')} of which that is not known"
    return f"{text}."
