"""What is asked about: a scope or a quote, from TOML or from words, as a job in state "quoted".

The file has a ``[scope]`` (kind, area, grade, house_year, condo, crew, items), and for a quote also
``[quote]`` (name, price, cost, person_days, site_days, elapsed_days, crew, date) and one
``[plan.PHASE]`` (cost, person_days, site_days, crew) for each planned phase.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from costlearn.errors import InputProblem, Place, UnreadableFile
from costlearn.firm import Firm
from costlearn.intake.scope import read_scope
from costlearn.intake.sizes import read_area
from costlearn.records import Amounts, Job, PhaseRecord, job_key
from costlearn.units import to_cents
from costlearn.vocabulary import Vocabulary, fold, standard

GRADES = {"basic": 0.0, "middle": 1.0, "high": 2.0}
LARGEST = 1e9
OLDEST_HOUSE, NEWEST_HOUSE = 1600, 2100

_SCOPE = ("kind", "area", "grade", "house_year", "condo", "crew", "items")
_QUOTE = ("name", "price", "cost", "person_days", "site_days", "elapsed_days", "crew", "date")
_PLAN = ("cost", "person_days", "site_days", "crew")


def read_asked(path: Path, firm: Firm, vocabulary: Vocabulary | None = None) -> Job:
    """The scope or quote a TOML file holds, as a job in state "quoted".

    Raises:
        UnreadableFile: no such file, or not TOML.
        InputProblem: an unknown key, a value of the wrong kind, a word nobody knows.
    """
    raw = _load(path)
    words = vocabulary or standard().with_phases(firm.phase_words)
    known = {"scope", "quote", "plan"}
    for key in raw:
        if key not in known:
            raise InputProblem(
                f"the part '{key}' is unknown",
                place=Place(path.name),
                expected="[scope], [quote] and [plan.PHASE]",
            )
    quote = _part(raw, "quote", _QUOTE, path.name)
    scope = _part(raw, "scope", _SCOPE, path.name)
    if not scope and not quote:
        raise InputProblem("there is no [scope] in it", place=Place(path.name))
    return job_from(scope, quote, _plans(raw, words, path.name), firm, words, path.name)


def job_from(
    scope: Mapping[str, Any],
    quote: Mapping[str, Any],
    plans: Sequence[PhaseRecord],
    firm: Firm,
    words: Vocabulary,
    file: str = "",
) -> Job:
    """A job in state "quoted" from stated values.

    Raises:
        InputProblem: a value of the wrong kind or out of range, or a word nobody knows.
    """
    see = _Reader({**scope, **quote}, file)
    name = see.text("name") or (Path(file).stem if file else "this job")
    return Job(
        job_key(name) or "asked",
        name,
        kind=_kind(see, words),
        state="quoted",
        quoted_on=see.day("date"),
        area_sqft=_area(see, firm),
        grade=_grade(see),
        house_year=_house_year(see),
        condo=see.flag("condo"),
        price=see.cents("price"),
        plan=_amounts(see),
        scope=_items(see, firm, words),
        phases=tuple(plans),
    )


class _Reader:
    """Values of a table of a file, each checked when it is asked for."""

    def __init__(self, values: Mapping[str, Any], file: str, part: str = "") -> None:
        self.values = values
        self.file = file
        self.part = part

    def place(self, key: str) -> Place:
        return Place(self.file, "", 0, f"{self.part}{key}")

    def refuse(self, key: str, expected: str) -> InputProblem:
        return InputProblem(f"found {self.values[key]!r}", place=self.place(key), expected=expected)

    def text(self, key: str) -> str | None:
        value = self.values.get(key)
        if value is not None and not isinstance(value, str):
            raise self.refuse(key, "a text in quotes")
        return value

    def number(self, key: str, *, above: float = 0.0) -> float | None:
        value = self.values.get(key)
        if value is None:
            return None
        plain = isinstance(value, int | float) and not isinstance(value, bool)
        if not plain or not above < value < LARGEST:
            raise self.refuse(key, "a number above zero")
        return float(value)

    def cents(self, key: str) -> int | None:
        value = self.number(key)
        return None if value is None else to_cents(value)

    def flag(self, key: str) -> bool | None:
        value = self.values.get(key)
        if value is not None and not isinstance(value, bool):
            raise self.refuse(key, "true or false")
        return value

    def day(self, key: str) -> date | None:
        value = self.values.get(key)
        if isinstance(value, datetime):
            return value.date()
        if isinstance(value, str):
            try:
                return date.fromisoformat(value)
            except ValueError as problem:
                raise self.refuse(key, "a date such as 2026-11-02") from problem
        if value is not None and not isinstance(value, date):
            raise self.refuse(key, "a date such as 2026-11-02")
        return value


def _load(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8-sig"))
    except FileNotFoundError as problem:
        raise UnreadableFile("there is no such file", place=Place(str(path))) from problem
    except (OSError, UnicodeDecodeError) as problem:
        raise UnreadableFile("it cannot be read as text", place=Place(str(path))) from problem
    except tomllib.TOMLDecodeError as problem:
        raise UnreadableFile(f"it is not valid TOML: {problem}", place=Place(path.name)) from None


def _part(raw: Mapping[str, Any], name: str, known: Sequence[str], file: str) -> dict[str, Any]:
    part = raw.get(name, {})
    if not isinstance(part, dict):
        raise InputProblem(f"found {part!r}", place=Place(file, "", 0, name), expected=f"[{name}]")
    for key in part:
        if key not in known:
            raise InputProblem(
                f"'{key}' is unknown",
                place=Place(file, "", 0, f"{name}.{key}"),
                expected="one of " + ", ".join(known),
            )
    return part


def _plans(raw: Mapping[str, Any], words: Vocabulary, file: str) -> list[PhaseRecord]:
    plans = raw.get("plan", {})
    found = []
    for word in plans if isinstance(plans, dict) else ():
        values = _part(plans, word, _PLAN, file)
        key = word if word in words.phase_order else _known(words.find_phase, word, file)
        found.append(PhaseRecord(key, plan=_amounts(_Reader(values, file, f"plan.{word}."))))
    return found


def _known(find: Callable[[str], str], word: str, file: str) -> str:
    try:
        return find(word)
    except InputProblem as problem:
        raise InputProblem(
            problem.found, place=Place(file), expected=problem.expected, hint=problem.hint
        ) from None


def _amounts(see: _Reader) -> Amounts:
    return Amounts(
        cost=see.cents("cost"),
        person_days=see.number("person_days"),
        site_days=see.number("site_days"),
        elapsed_days=see.number("elapsed_days"),
        crew=see.number("crew"),
    )


def _kind(see: _Reader, words: Vocabulary) -> str | None:
    text = see.text("kind")
    if text is None:
        return None
    kind = words.job_words.get(fold(text))
    if kind is None:
        raise see.refuse("kind", "one of " + ", ".join(k.key for k in words.job_kinds))
    return kind


def _area(see: _Reader, firm: Firm) -> float | None:
    value = see.values.get("area")
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise see.refuse("area", 'a floor area such as "52 sq ft"')
    reading = read_area(value, unit=firm.area_unit)
    if reading.value is None or reading.value <= 0:
        raise InputProblem(
            reading.problem or f"found {value!r}",
            place=see.place("area"),
            expected='a floor area such as "52 sq ft" or "4.8 m2"',
        )
    return reading.value


def _grade(see: _Reader) -> float | None:
    value = see.values.get("grade")
    if value is None:
        return None
    if isinstance(value, str) and fold(value) in GRADES:
        return GRADES[fold(value)]
    if value in (0, 1, 2) and not isinstance(value, bool):
        return float(value)
    raise see.refuse("grade", "basic, middle or high")


def _house_year(see: _Reader) -> int | None:
    value = see.values.get("house_year")
    if value is None:
        return None
    plain = isinstance(value, int) and not isinstance(value, bool)
    if not plain or not OLDEST_HOUSE <= value <= NEWEST_HOUSE:
        raise see.refuse("house_year", "the year the house was built, such as 1968")
    return int(value)


def _items(see: _Reader, firm: Firm, words: Vocabulary) -> dict[str, float | None]:
    stated = see.values.get("items", [])
    listed = [stated] if isinstance(stated, str) else stated
    if not isinstance(listed, list | tuple) or not all(isinstance(i, str) for i in listed):
        raise see.refuse("items", 'a list of texts such as ["wall tile 96", "shower niche"]')
    found: dict[str, float | None] = {}
    for text in listed:
        reading = read_scope(text, words, area_unit=firm.area_unit)
        for part, near in reading.unknown:
            raise InputProblem(
                f"'{part}' is no scope item costlearn knows",
                place=see.place("items"),
                expected=("such as " + ", ".join(near)) if near else "",
                hint="see the list with 'costlearn words'",
            )
        found.update(reading.items)
    return found
