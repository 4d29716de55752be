"""The settings of the invented firm, the three quotes to check, and the scope to estimate."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from costlearn.demo.truth import (
    MARGIN,
    OVERRUN,
    TODAY,
    Scope,
    content_of,
    crew_change,
    day_rate,
    expected_waits,
    price_level,
)
from costlearn.vocabulary import standard

QUOTE_DAY = date(2026, 11, 2)

FIRM_TEXT = """\
# Settings of an invented firm. Every figure is invented.
[firm]
name = "Tern & Tallow Renovation"
currency = "USD"
hours_per_day = 8
date_order = "month-first"
area_unit = "sqft"
tax_recoverable = false
day_rate = {rate:.0f}
wanted_margin = 0.27
overhead_per_year = 46000
working_days_per_year = 205
helper_day_cost = 310
owner_day_cost = 420
owner = "Odrin"
"""

WALK_IN = {
    "gut_demo": 52.0,
    "tub_removal": 1.0,
    "tub_to_shower": 1.0,
    "shower_valve": 1.0,
    "tiled_shower_floor": 14.0,
    "wall_tile": 96.0,
    "floor_tile": 36.0,
    "niche": 1.0,
    "backer": 110.0,
    "membrane": 110.0,
    "shower_glass": 1.0,
    "insulation": 90.0,
    "drywall": 210.0,
    "toilet": 1.0,
    "vanity": 1.0,
    "lav_sink": 1.0,
    "faucet": 1.0,
    "mirror": 1.0,
    "accessories": 3.0,
    "lighting": 3.0,
    "outlet": 2.0,
    "bath_fan": 1.0,
    "paint": 175.0,
}
FORGOTTEN = ("membrane", "backer", "bath_fan", "shower_valve", "toilet")
"""What the second quote left out, although every shower of this firm has it."""

SPA = {
    "gut_demo": 640.0,
    "wall_tile": 1450.0,
    "floor_tile": 560.0,
    "mosaic": 220.0,
    "tiled_shower_floor": 90.0,
    "membrane": 1540.0,
    "backer": 1540.0,
    "niche": 8.0,
    "bench": 5.0,
    "curbless": 4.0,
    "wall_hung_toilet": 4.0,
    "freestanding_tub": 3.0,
    "shower_valve": 6.0,
    "shower_glass": 6.0,
    "lav_sink": 8.0,
    "faucet": 8.0,
    "move_drain": 14.0,
    "repipe": 18.0,
    "new_partition": 70.0,
    "lighting": 44.0,
    "new_circuit": 9.0,
    "heated_floor": 520.0,
    "bath_fan": 5.0,
    "drywall": 2600.0,
    "paint": 2400.0,
}

SANE = Scope("bathroom", "ensuite", 52.0, "middle", 1968, WALK_IN)
SHORT = Scope(
    "bathroom",
    "hall bath, walk-in shower",
    50.0,
    "middle",
    1974,
    {**{k: v for k, v in WALK_IN.items() if k not in FORGOTTEN}, "gut_demo": 50.0},
)
HUGE = Scope("bathroom", "shared washrooms", 640.0, "high", 1931, SPA)
NEW = Scope(
    "bathroom",
    "hall bath",
    46.0,
    "middle",
    1962,
    {
        **{k: v for k, v in WALK_IN.items() if k not in ("tub_to_shower", "shower_glass")},
        "gut_demo": 46.0,
        "tub_install": 1.0,
        "wall_tile": 72.0,
        "backer": 72.0,
        "membrane": 72.0,
        "floor_tile": 31.0,
        "paint": 155.0,
    },
)


@dataclass(frozen=True)
class Expected:
    """What a scope is to be expected to take at a date, overruns included, by phase."""

    days: Mapping[str, float]
    cost: Mapping[str, float]
    site_days: float
    wait_days: float


def expect(scope: Scope, day: date, crews: Mapping[str, int]) -> Expected:
    """What a scope usually takes in this firm, as the generator knows it.

    Args:
        scope: the scope.
        day: date of the work, for its prices.
        crews: people by phase; a phase not named is done alone.
    """
    days: dict[str, float] = {}
    cost: dict[str, float] = {}
    site = 0.0
    for phase, content in content_of(scope).items():
        crew, over = crews.get(phase, 1), OVERRUN.get(phase, 1.0)
        days[phase] = content.days * crew_change(phase, crew) * over
        site += days[phase] / crew
        goods = sum(content.goods.values()) * price_level(day) * over
        cost[phase] = days[phase] * day_rate(day) + goods
    return Expected(days, cost, site, sum(expected_waits(scope).values()))


def firm_text() -> str:
    """The text of firm.toml."""
    return FIRM_TEXT.format(rate=day_rate(TODAY))


def scope_text() -> str:
    """The text of scope_new.toml: a scope and nothing else."""
    kept = {k: v for k, v in NEW.items.items() if k != "tiled_shower_floor"}
    return "# A bathroom to be estimated.\n" + _scope(
        Scope(NEW.kind, NEW.title, NEW.area, NEW.grade, NEW.house_year, kept)
    )


def quote_texts() -> dict[str, str]:
    """File name to text of the three quotes: sane, with forgotten scope, far outside."""
    pairs = ("demo", "framing", "board", "tile", "paint", "cabs_trim")
    two = dict.fromkeys(pairs, 2)
    complete = Scope(SHORT.kind, SHORT.title, SHORT.area, SHORT.grade, SHORT.house_year, WALK_IN)
    huge = dict.fromkeys(content_of(HUGE), 2)
    return {
        "quote_sane.toml": _quote("Q-118 ensuite", SANE, expect(SANE, QUOTE_DAY, two), 1.0),
        "quote_forgotten.toml": _quote(
            "Q-119 hall bath", SHORT, expect(SHORT, QUOTE_DAY, two), _share(complete, SHORT) * 0.9
        ),
        "quote_far_outside.toml": _quote(
            "Q-120 shared washrooms", HUGE, expect(HUGE, QUOTE_DAY, huge), 1.0
        ),
    }


def _share(complete: Scope, short: Scope) -> float:
    """What the forgotten items cost, as the share of the short quote that is right."""
    full = sum(expect(complete, QUOTE_DAY, {}).cost.values())
    left = sum(expect(short, QUOTE_DAY, {}).cost.values())
    return math.sqrt(left / full)


def _quote(name: str, scope: Scope, expected: Expected, factor: float) -> str:
    cost = sum(expected.cost.values()) * factor
    person_days = sum(expected.days.values()) * factor
    site = expected.site_days * factor
    lines = [
        "# A quote to check. Everything in it is invented.",
        "[quote]",
        f'name = "{name}"',
        f"price = {round(cost / (1 - MARGIN), -2):.0f}",
        f"cost = {round(cost, -2):.0f}",
        f"person_days = {_half(person_days):g}",
        f"site_days = {_half(site):g}",
        f"elapsed_days = {math.ceil(site + expected.wait_days)}",
        f"date = {QUOTE_DAY.isoformat()}",
        "crew = 2",
        "",
        _scope(scope),
    ]
    for phase, days in expected.days.items():
        lines += [
            f"[plan.{phase}]",
            f"cost = {round(expected.cost[phase] * factor, -1):.0f}",
            f"person_days = {max(round(days * factor * 4) / 4, 0.25):g}",
            "",
        ]
    return "\n".join(lines)


def _scope(scope: Scope) -> str:
    items = ",\n".join(f'  "{text}"' for text in _items(scope))
    return (
        f'[scope]\nkind = "{scope.kind}"\narea = "{scope.area:g} sq ft"\n'
        f'grade = "{scope.grade}"\nhouse_year = {scope.house_year}\nitems = [\n{items},\n]\n'
    )


def _items(scope: Scope) -> Iterable[str]:
    words = standard()
    for key, size in scope.items.items():
        item = words.item(key)
        yield item.name if size == 1 and item.unit == "each" else f"{item.name} {size:g}"


def _half(days: float) -> float:
    return round(days * 2) / 2
