"""How far some work is: "45 %", "half", "done", "not started"; several cells settle what 1 is."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import lru_cache

from costlearn.intake.values.cells import Raw, Reading, read_number, read_percent, refused
from costlearn.intake.values.numerals import tidy
from costlearn.intake.values.tokens import lex, lexicon

_WORDS = lexicon(
    **{
        "1": "done|all done|complete|completed|finished|all|fini|termine|complet",
        "0": "not started|not begun|not done|none|nothing|nothing yet|to do|not yet|pas commence",
        "0.5": "half|half done|half way|halfway|about half done|moitie|a moitie",
        "0.25": "quarter|a quarter|one quarter",
        "0.75": "three quarters|three quarter|3/4",
        "rough": "about|around|approx|approximately|roughly|~|environ|say|maybe",
    }
)
_ALL = 100.0


def read_progress(raw: Raw, *, decimal: str = ".") -> Reading[float]:
    """A share of the work from 0 to 1, in figures or in words.

    >>> read_progress("about half").value, read_progress("not started").value
    (0.5, 0.0)
    >>> read_progress("70?").problem
    "'70?' is no percentage"
    """
    if not isinstance(raw, str):
        return read_percent(raw, decimal=decimal)
    text = tidy(raw)
    tokens = lex(text, decimal, _WORDS)
    rough = [token for token in tokens if token.kind == "rough"]
    left = [token for token in tokens if token.kind != "rough"]
    note = f"'{text}' is rough" if rough else ""
    if len(left) == 1 and left[0].kind[0].isdigit():
        return Reading(float(left[0].kind), note=note)
    bare = text[left[0].start :] if rough and left and tokens[0] is rough[0] else text
    reading = read_percent(bare, decimal=decimal)
    if reading.value is None:
        return reading if bare == text else refused(raw, "is no percentage")
    return replace(reading, note="; ".join(filter(None, (note, reading.note))))


def progress_reader(raws: Iterable[Raw], decimal: str) -> Callable[[Raw], Reading[float]]:
    """How the cells of a column of progress are read; beside a 50 nobody knows what 1 is."""
    bare = [read_number(raw, decimal=decimal).value for raw in raws if not _marked(raw)]
    percents = any(value is not None and value > 1 for value in bare)

    def read(raw: Raw) -> Reading[float]:
        reading = read_progress(raw, decimal=decimal)
        if percents and not _marked(raw) and reading.value is not None:
            figure = read_number(raw, decimal=decimal).value
            if figure is not None and 0 < figure <= 1:
                return refused(raw, "may be 1 % or all of it, beside percentages")
        return reading

    return read


@lru_cache(maxsize=1 << 10, typed=True)
def says_progress(raw: Raw) -> bool:
    """Whether a cell can only say how far something is: a percent sign, or words."""
    return (
        isinstance(raw, str)
        and (raw.strip().endswith("%") or not any(c.isdigit() for c in raw))
        and read_progress(raw).value is not None
    )


@lru_cache(maxsize=1 << 10, typed=True)
def may_say_progress(raw: Raw) -> bool:
    """Whether a cell may say how far something is: also a figure to 100, or one that is doubted."""
    if isinstance(raw, str):
        raw = raw.strip().removesuffix("?")
    value = read_progress(raw).value
    return value is not None


def _marked(raw: Raw) -> bool:
    return isinstance(raw, str) and "%" in raw
