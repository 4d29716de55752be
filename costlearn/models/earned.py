"""Where a running job ends by the standard index arithmetic of earned value.

Budget at completion (BAC), value planned by now (PV), value earned (EV: the budget of what is
done), actual cost (AC); indices CPI = EV / AC and SPI = EV / PV. Three estimates at completion and
the index the rest must reach. An index of nothing (nothing spent, nothing planned) is None.

Source: Practice Standard for Earned Value Management (2nd ed., 2011; title from memory); printed
worked examples in ``tests/outside/test_earned_value_published.py``. That indices settle early is
said of large contracts; on short jobs ``costlearn.models.midjob`` foretells better
(``tests/bench/midjob.py``), so these stand beside it as a yardstick only.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Earned:
    """A running job in four figures of one unit (money or days); ``planned`` may be unknown."""

    budget: float
    earned: float
    spent: float
    planned: float | None = None

    @property
    def cost_variance(self) -> float:
        """EV - AC: below zero, more was spent than earned."""
        return self.earned - self.spent

    @property
    def schedule_variance(self) -> float | None:
        """EV - PV: below zero, less was done than planned by now."""
        return None if self.planned is None else self.earned - self.planned

    @property
    def cost_index(self) -> float | None:
        """CPI = EV / AC; None before anything is spent."""
        return _over(self.earned, self.spent)

    @property
    def schedule_index(self) -> float | None:
        """SPI = EV / PV; None where nothing was planned by now, or nobody knows."""
        return None if self.planned is None else _over(self.earned, self.planned)

    @property
    def at_index(self) -> float | None:
        """AC + (BAC - EV) / CPI: the rest goes as the work so far; None before any is earned."""
        index = self.cost_index
        return self.spent + (self.budget - self.earned) / index if index else None

    @property
    def at_plan(self) -> float:
        """AC + (BAC - EV): the rest goes as planned."""
        return self.spent + self.budget - self.earned

    @property
    def at_both(self) -> float | None:
        """AC + (BAC - EV) / (CPI x SPI): the rest pays for cost and for lost time."""
        cost, schedule = self.cost_index, self.schedule_index
        if not cost or not schedule:
            return None
        return self.spent + (self.budget - self.earned) / (cost * schedule)

    @property
    def to_complete(self) -> float | None:
        """ETC = EAC - AC, by the cost index."""
        end = self.at_index
        return None if end is None else end - self.spent

    @property
    def variance_at_end(self) -> float | None:
        """VAC = BAC - EAC, by the cost index."""
        end = self.at_index
        return None if end is None else self.budget - end

    @property
    def needed_for_budget(self) -> float | None:
        """TCPI = (BAC - EV) / (BAC - AC); None where the budget is spent already."""
        left = self.budget - self.spent
        return (self.budget - self.earned) / left if left > 0 else None

    @property
    def needed_for_end(self) -> float | None:
        """TCPI = (BAC - EV) / (EAC - AC), by the cost index; None where nothing is left."""
        left = self.to_complete
        return (self.budget - self.earned) / left if left else None


def _over(value: float, by: float) -> float | None:
    return value / by if by > 0 else None
