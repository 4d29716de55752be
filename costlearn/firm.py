"""What a firm says about itself: day rates, hours, currency, tax, dates, and words of its own.

Every figure here is stated by the user; none has a made-up default. Only conventions (hours in a
day, currency, units) have one, and each answer prints those it used.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from functools import cached_property
from typing import Any

from costlearn.deposits import Cap, checked_cap, read_cap
from costlearn.errors import InputProblem, Place
from costlearn.workdays import USUAL_WEEK, Workdays, read_holidays, read_week, workdays_of

DATE_ORDERS = ("month-first", "day-first")
AREA_UNITS = ("sqft", "sqm")
_SPELLED = {"sq ft": "sqft", "ft2": "sqft", "m2": "sqm", "m²": "sqm", "sq m": "sqm"}
"""Units of area as people write them, besides those they are kept as."""


@dataclass(frozen=True)
class Firm:
    """The settings of one firm.

    Money is in whole currency units, days are working days of ``hours_per_day`` hours.
    """

    name: str = ""
    currency: str = "USD"
    currency_said: bool = False
    """Whether the firm has named its currency; until then its records may."""
    hours_per_day: float = 8.0
    date_order: str = "month-first"
    date_order_said: bool = False
    """Whether the firm has said so; until then only cells that prove an order are read."""
    area_unit: str = "sqft"
    tax_recoverable: bool = True
    day_rate: float | None = None
    """Loaded cost of one person-day, used to price logged hours."""
    day_rates: Mapping[str, float] = field(default_factory=dict)
    """The same for people whose day costs something else, by the name the hours log has."""
    wanted_margin: float | None = None
    """Share of the price that should be left after direct cost, e.g. 0.25."""
    deposit_cap: str = ""
    """The most a deposit may be: "10%", "1/3", "1000" or "10% or 1000", the lesser of both."""
    holdback: float | None = None
    """Share of the price a client keeps back until the end."""
    supplier_terms_days: float | None = None
    """Calendar days after which bought material is paid for; paid at once where none is said."""
    overhead_per_year: float | None = None
    working_days_per_year: float | None = None
    helper_day_cost: float | None = None
    """What a second person costs a day, burden included."""
    helper_idle_days: float | None = None
    """Days a year a second person is paid without work, besides working days (holidays, sick)."""
    helper_ramp_up_weeks: float | None = None
    """Weeks until a new second person is fully up to speed."""
    helper_extra_per_year: float | None = None
    """What a second person all year costs besides: vehicle, insurance, tools."""
    contribution: float | None = None
    """What an average job leaves after materials, subs and other bought cost."""
    owner_day_cost: float | None = None
    """What the owner counts for a day of own work when jobs are compared."""
    owner: str = ""
    """The owner's name as the hours log has it, to tell own days from a helper's."""
    people: tuple[str, ...] = ()
    """The people who work for the firm, by the names or initials the records have."""
    rates: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """Own production rates: scope item to ``person_days`` and ``bought`` (money), for each unit of
    the item. A belief, used where finished jobs are few."""
    usual: Mapping[str, float] = field(default_factory=dict)
    """Usual ``cost``, ``person_days``, ``site_days``, ``elapsed_days`` for each unit of floor area
    (in ``area_unit``). A belief too."""
    belief_spread: float | None = None
    """How far off these beliefs may be: 0.3 says 8 jobs in 10 land within 30 % either way."""
    exchange: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """Rates of exchange: currency to dates to the firm's money for one unit of it. A rate holds
    from its date until the next; before the first there is none."""
    phase_words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    price_index_share: float = 1.0
    """Share of a job's cost that the price index applies to; the rest keeps its price."""
    price_index: Mapping[str, float] = field(default_factory=dict)
    """Date (ISO) to price level, if the user keeps an index."""
    working_days: tuple[str, ...] = USUAL_WEEK
    """The days of the week the firm works."""
    holidays: tuple[str, ...] = ()
    """Days nobody works: dates, or ranges such as 2026-12-21..2027-01-02."""

    @cached_property
    def workdays(self) -> Workdays:
        """The firm's working days, as all answers count them."""
        return workdays_of(self.working_days, self.holidays)

    @cached_property
    def _rates_by_name(self) -> dict[str, float]:
        return {name.casefold(): rate for name, rate in self.day_rates.items()}

    @property
    def names(self) -> tuple[str, ...]:
        """Everybody the settings name: the owner, the people, those with a day rate."""
        named = (self.owner, *self.people, *self.day_rates)
        return tuple(dict.fromkeys(name for name in named if name))

    def day_rate_of(self, person: str) -> float | None:
        """What a day of a person costs: their own rate, else that of all; None if neither is said.

        >>> Firm(day_rate=480.0, day_rates={"Kim": 240.0}).day_rate_of("kim")
        240.0
        """
        return self._rates_by_name.get(person.casefold(), self.day_rate)

    @property
    def cap_of_deposit(self) -> Cap | None:
        """The stated cap of the deposit; None if none is stated."""
        return read_cap(self.deposit_cap, Place()) if self.deposit_cap else None

    @property
    def overhead_per_day(self) -> float | None:
        """Overhead to be earned by each working day, if both its parts are stated."""
        if self.overhead_per_year is None or not self.working_days_per_year:
            return None
        return self.overhead_per_year / self.working_days_per_year

    def rate_on(self, currency: str, day: date | None) -> tuple[str, float] | None:
        """The rate of a currency on a day and the date it is from; None if there is none.

        >>> Firm(exchange={"USD": {"2025-01-01": 1.44}}).rate_on("USD", date(2025, 3, 4))
        ('2025-01-01', 1.44)
        """
        if day is None:
            return None
        known = [d for d in self.exchange.get(currency, {}) if d <= day.isoformat()]
        return (max(known), self.exchange[currency][max(known)]) if known else None

    def changed(self, values: Mapping[str, Any], *, place: Place | None = None) -> Firm:
        """A copy with some settings changed, each checked.

        Raises:
            InputProblem: an unknown setting, or a value of the wrong kind or out of range.
        """
        known = {f.name for f in fields(self)}
        clean: dict[str, Any] = {}
        for key, value in values.items():
            where = Place(
                place.file if place else "", place.sheet if place else "", 0, f"firm.{key}"
            )
            if key not in known:
                raise InputProblem(
                    f"'{key}' is no setting costlearn knows",
                    place=where,
                    expected="one of " + ", ".join(sorted(known)),
                )
            clean[key] = _checked(key, value, where)
        return replace(self, **clean)


_TEXT = {"name", "currency", "date_order", "area_unit", "owner"}
_CHOICES = {"date_order": DATE_ORDERS, "area_unit": AREA_UNITS}
_RANGES = {
    "hours_per_day": (1.0, 24.0),
    "wanted_margin": (0.0, 0.95),
    "holdback": (0.0, 0.95),
    "supplier_terms_days": (0.0, 365.0),
    "working_days_per_year": (1.0, 366.0),
    "belief_spread": (0.02, 5.0),
    "price_index_share": (0.0, 1.0),
    "helper_idle_days": (0.0, 366.0),
    "helper_ramp_up_weeks": (0.0, 52.0),
}
USUAL = ("cost", "person_days", "site_days", "elapsed_days")
RATE = ("person_days", "bought")


def _checked(key: str, value: Any, where: Place) -> Any:
    """One setting's value, or a sentence saying why it cannot be used."""
    if key in _TEXT:
        return _checked_text(key, value, where)
    check = _CHECKS.get(key)
    if check:
        return check(value, where)
    low, high = _RANGES.get(key, (0.0, 1e9))
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise InputProblem(
            f"found {value!r}", place=where, expected=f"a number from {low:g} to {high:g}"
        )
    return float(value)


def _checked_text(key: str, value: Any, where: Place) -> str:
    if not isinstance(value, str):
        raise InputProblem(f"found {value!r}", place=where, expected="a text in quotes")
    text: str = _SPELLED.get(value, value) if key == "area_unit" else value
    choices = _CHOICES.get(key)
    if choices and text not in choices:
        raise InputProblem(
            f"found '{text}'", place=where, expected=" or ".join(f"'{c}'" for c in choices)
        )
    if key == "currency" and not (len(text) == 3 and text.isalpha() and text.isupper()):
        raise InputProblem(
            f"found '{text}'", place=where, expected="three capital letters such as 'USD'"
        )
    return text


def _checked_words(value: Any, where: Place) -> dict[str, tuple[str, ...]]:
    if not isinstance(value, Mapping) or not all(
        isinstance(words, list | tuple) and all(isinstance(w, str) for w in words)
        for words in value.values()
    ):
        raise InputProblem(
            f"found {value!r}", place=where, expected='lists of words, such as tile = ["tilework"]'
        )
    return {str(k): tuple(v) for k, v in value.items()}


def _checked_people(value: Any, where: Place) -> tuple[str, ...]:
    if not isinstance(value, list | tuple) or not all(isinstance(n, str) and n for n in value):
        raise InputProblem(
            f"found {value!r}", place=where, expected='names in quotes, such as ["Mo", "Kay"]'
        )
    return tuple(value)


def _checked_flag(value: Any, where: Place) -> bool:
    if not isinstance(value, bool):
        raise InputProblem(f"found {value!r}", place=where, expected="true or false")
    return value


def _checked_usual(value: Any, where: Place) -> dict[str, float]:
    return _checked_figures(value, USUAL, where)


def _checked_day_rates(value: Any, where: Place) -> dict[str, float]:
    """People with what a day of each costs; a name stands once, however it is spelled."""
    if not isinstance(value, Mapping):
        raise InputProblem(
            f"found {value!r}", place=where, expected="names with day rates, such as Kim = 240"
        )
    names = [str(name).casefold() for name in value]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputProblem(f"'{twice}' stands there twice", place=where, expected="each name once")
    return _checked_figures(value, tuple(map(str, value)), where) if value else {}


def _checked_rates(value: Any, where: Place) -> dict[str, dict[str, float]]:
    if not isinstance(value, Mapping):
        raise InputProblem(
            f"found {value!r}",
            place=where,
            expected='items with their rates, such as "wall tile" = { person_days = 0.06 }',
        )
    return {
        str(item): _checked_figures(
            rate, RATE, Place(where.file, where.sheet, where.row, f"{where.column}.{item}")
        )
        for item, rate in value.items()
    }


def _checked_figures(value: Any, known: tuple[str, ...], where: Place) -> dict[str, float]:
    """Named figures, each zero or more."""
    if not isinstance(value, Mapping) or not value:
        raise InputProblem(f"found {value!r}", place=where, expected="one of " + ", ".join(known))
    for key, figure in value.items():
        plain = isinstance(figure, int | float) and not isinstance(figure, bool)
        if key not in known:
            raise InputProblem(
                f"'{key}' is unknown", place=where, expected="one of " + ", ".join(known)
            )
        if not plain or not 0 <= figure < 1e9:
            raise InputProblem(
                f"{key} is {figure!r}", place=where, expected="a number of zero or more"
            )
    return {str(k): float(v) for k, v in value.items()}


def _checked_index(value: Any, where: Place) -> dict[str, float]:
    if not isinstance(value, Mapping) or not all(
        _is_day(day)
        and isinstance(level, int | float)
        and not isinstance(level, bool)
        and 0 < level < 1e9
        for day, level in value.items()
    ):
        raise InputProblem(
            f"found {value!r}", place=where, expected='dates with levels, "2024-01-01" = 104.2'
        )
    return {str(k): float(v) for k, v in sorted(value.items())}


def _checked_exchange(value: Any, where: Place) -> dict[str, dict[str, float]]:
    if not isinstance(value, Mapping) or not all(
        isinstance(rates, Mapping) and rates for rates in value.values()
    ):
        raise InputProblem(
            f"found {value!r}",
            place=where,
            expected='currencies with dated rates, such as USD = { "2025-01-01" = 1.44 }',
        )
    for currency in value:
        if not (len(currency) == 3 and currency.isascii() and currency.isupper()):
            raise InputProblem(
                f"found '{currency}'", place=where, expected="three capital letters such as 'USD'"
            )
    dated = {
        str(currency): _checked_index(
            rates, Place(where.file, where.sheet, where.row, f"{where.column}.{currency}")
        )
        for currency, rates in value.items()
    }
    # Days are compared as texts later on: each is written the same way.
    return {
        currency: {date.fromisoformat(day).isoformat(): rate for day, rate in rates.items()}
        for currency, rates in dated.items()
    }


def _is_day(text: Any) -> bool:
    """Whether a text is a date written as 2024-01-01."""
    try:
        date.fromisoformat(text)
    except (TypeError, ValueError):
        return False
    return True


_CHECKS: dict[str, Callable[[Any, Place], Any]] = {
    "tax_recoverable": _checked_flag,
    "currency_said": _checked_flag,
    "date_order_said": _checked_flag,
    "deposit_cap": checked_cap,
    "phase_words": _checked_words,
    "price_index": _checked_index,
    "usual": _checked_usual,
    "day_rates": _checked_day_rates,
    "rates": _checked_rates,
    "exchange": _checked_exchange,
    "people": _checked_people,
    "working_days": read_week,
    "holidays": read_holidays,
}
