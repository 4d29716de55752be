"""Every question put to a case: what is said, how wide it is, and whether the truth lies inside."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from attack.firms import ASKED, Case

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Answer
from costlearn.questions.crewing.crew import crew
from costlearn.questions.crewing.speedup import speedup
from costlearn.questions.estimate import estimate
from costlearn.questions.options import option_prices
from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.quoting.quote import check
from costlearn.questions.running.midjob import forecast
from costlearn.questions.trust import backtest

QUESTIONS = ("estimate", "check", "overruns", "crew", "forecast", "backtest", "options")


@dataclass(frozen=True)
class Cell:
    """One answer: ``width`` is upper over lower end of its 80 % range (the median of several).

    ``inside`` counts ranges that hold the truth of ``of``; ``wrong`` is what was claimed falsely.
    """

    answer: Answer
    width: float | None = None
    inside: int = 0
    of: int = 0
    wrong: tuple[str, ...] = ()


def ask(case: Case, question: str) -> Cell:
    """The answer to one question."""
    return _ASK[question](case)


def _one(answer: Answer, found: Interval | None, truth: float) -> Cell:
    if found is None:
        return Cell(answer)
    return Cell(answer, found.ratio, int(found.holds(truth)), 1)


def _estimate(case: Case) -> Cell:
    answer = estimate(case.history, case.new, on=ASKED)
    found = answer.target("cost")
    return _one(answer, found.main if found else None, case.truth.cost)


def _check(case: Case) -> Cell:
    answer = check(case.history, case.quote, on=ASKED)
    found = next((s for s in answer.standings if s.target == "cost"), None)
    return _one(answer, found.interval if found else None, case.truth.quoted)


def _overruns(case: Case) -> Cell:
    answer = overruns(case.history)
    costs = answer.of("cost")
    if not costs:
        return Cell(answer)
    held = [p.interval.holds(case.truth.over.get(p.phase, 1.0)) for p in costs]
    wrong = tuple(
        f"{p.phase} {p.verdict}"
        for p in costs
        if (p.verdict == "runs over" and case.truth.over.get(p.phase, 1.0) < 1.05)
        or (p.verdict == "runs under" and case.truth.over.get(p.phase, 1.0) > 0.95)
    )
    widths = sorted(p.interval.ratio for p in costs)
    return Cell(answer, widths[len(widths) // 2], sum(held), len(held), wrong)


def _crew(case: Case) -> Cell:
    answer = crew(case.history, case.new, on=ASKED)
    cell = _one(answer, answer.interval, case.truth.crew)
    found = speedup(case.history)
    if found and case.truth.crew >= 1 and found.whole.shown_below(1.0) >= 0.95:
        return Cell(answer, cell.width, cell.inside, cell.of, ("two are faster",))
    return cell


def _forecast(case: Case) -> Cell:
    answer = forecast(case.history, case.running, on=ASKED)
    found = answer.landing("cost")
    return _one(answer, found.main if found else None, case.truth.running)


def _backtest(case: Case) -> Cell:
    answer = backtest(case.history)
    first = next((t for t in answer.targets if t.target == "cost"), None)
    if first is None:
        return Cell(answer)
    held = next(c for c in first.coverage if c.level == 0.8)
    widths = sorted(t.high / t.low for t in first.tried)
    return Cell(answer, widths[len(widths) // 2], held.held, held.of)


def _options(case: Case) -> Cell:
    answer = option_prices(case.history, case.new, on=ASKED)
    held, widths = [], []
    for option in answer.options:
        step = option.cost
        if step is None or answer.base_cost is None:
            continue
        effect = sum(case.truth.items.get(k, 0.0) for k in option.items)
        # True middle of the base job is not on file; the effect is compared as a share of it.
        factor = exp(effect) - 1 if not option.inside else 1 - exp(-effect)
        held.append(step.low <= factor * answer.base_cost <= step.high)
        widths.append((step.high - step.low) / answer.base_cost)
    if not held:
        return Cell(answer)
    return Cell(answer, 1 + sorted(widths)[len(widths) // 2], sum(held), len(held))


_ASK = {
    "estimate": _estimate,
    "check": _check,
    "overruns": _overruns,
    "crew": _crew,
    "forecast": _forecast,
    "backtest": _backtest,
    "options": _options,
}
