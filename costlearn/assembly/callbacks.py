"""Call-back work of a job, by the phase that caused it, apart from what the job itself took."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from costlearn.assembly.logs import CostSum, HoursSum, read_lines, say_lines
from costlearn.assembly.trail import MOST_PLACES, Trail
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Callback, CostEntry, HoursEntry
from costlearn.units import say_count


def settle_callbacks(
    hours: Iterable[HoursEntry],
    costs: Iterable[CostEntry],
    firm: Firm,
    trail: Trail,
    order: Mapping[str, int],
) -> tuple[Callback, ...]:
    """The call-back work of one job, a record a causing phase, in the order of the trade.

    Cost is known only if the hours have a price: with hours and no day rate it stays None, and
    the trail says so.

    Args:
        hours: the call-back hours of the job, and no others.
        costs: its call-back cost lines, and no others.
        firm: gives the hours of a day, the day rate and the rates of exchange.
        trail: where the sums say what they leave out.
        order: phase key to its place in the order of work.
    """
    worked: dict[str, HoursSum] = {}
    bought: dict[str, CostSum] = {}
    for entry in hours:
        worked.setdefault(entry.callback_of or "", HoursSum()).add(entry)
    for line, how in read_lines(costs, firm, trail, "call-back work"):
        bought.setdefault(line.callback_of or "", CostSum()).add(line, firm, how)
    names = sorted({*worked, *bought}, key=lambda name: (order.get(name, len(order)), name))
    return tuple(
        _record(name, worked.get(name), bought.get(name, CostSum()), firm, trail) for name in names
    )


def _record(
    phase: str, worked: HoursSum | None, bought: CostSum, firm: Firm, trail: Trail
) -> Callback:
    lines = sum(bought.rows.values())
    parts = [say_lines(lines)] if lines else []
    places: list[Place] = [place for listed in bought.places.values() for place in listed]
    cost: int | None = sum(bought.cents.values()) if lines else None
    days = None
    if worked is not None and worked.hours_paid:
        days = worked.hours_paid / firm.hours_per_day
        places += worked.places
        parts.append(say_count(worked.hours_paid, "hour"))
        labour = worked.labour(firm)
        if labour is None:
            cost = None
            trail.disagree(
                f"call-back work of {phase}: its cost is left open, for its hours have no price."
            )
        else:
            cost = (cost or 0) + int(labour.value)
            parts[-1] += f" at {worked.say_rates(firm)}"
    return Callback(phase, days, cost, " and ".join(parts), tuple(places[:MOST_PLACES]))
