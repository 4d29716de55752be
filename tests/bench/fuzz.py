"""Files made of nonsense, given to every reader: each ends in a reading or in one sentence.

Run by hand, with the number of files and a seed: ``python tests/bench/fuzz.py 3000 1``. A watchdog
gives each file a bounded time, and the process has bounded room. The short form runs in the suite.
"""

from __future__ import annotations

import faulthandler
import random
import sys
import tempfile
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from costlearn.errors import CostlearnError
from costlearn.firm import Firm
from costlearn.intake.answer_sheet import HEADINGS as ANSWER_HEADINGS
from costlearn.intake.answer_sheet import read_sheet
from costlearn.intake.asked import read_asked
from costlearn.intake.asked_sheet import read_asked_sheet
from costlearn.intake.columns import load_map
from costlearn.intake.day_sheet import HEADINGS as DAY_HEADINGS
from costlearn.intake.day_sheet import gather
from costlearn.intake.reader import read_file
from costlearn.intake.settings import read_index, read_settings
from costlearn.tidy import KINDS, headings
from costlearn.vocabulary import standard

ROOM = 4 * 2**30
PATIENCE = 60
"""Seconds a file may take before the watchdog ends the run with the place it hangs at."""
LONGEST_SENTENCE = 3_000
UNSEEN = ("Cc", "Cs", "Zl", "Zp")
"""Categories of letters that no sentence holds (The Unicode Standard, 4.5): controls, half letters,
ends of lines."""
FIRM = Firm()

PIECES = (
    "", " ", "0", "-0", "1", "nan", "inf", "1e308", "1e-300", "-1", "9" * 400, "9" * 5000, "1,2,3",
    "007", "١٢٣", "１２", "½", "1900-02-29", "1900-01-01", "0001-01-01", "9999-12-31",
    "2025-02-29", "2024-02-29", "45719", "=1+1", "+1", "-1+1", "@A1", "\t=1", "\x1b[31m", "\x07",
    "\u202e", "\u200b", "\x00", "\ufeff", "'", '"', '"""', "[", "]", "[[", "{", "}", "=", "#", ".",
    "..", ",", ";", "|", "\r", "\n", "\r\n", "(" * 3000, "a." * 500, "a" * 100_000, "../../x",
    "/dev/zero", "CON", "<b>", "&amp;", "0xffffffffffffffffffffff", "true", "sep=;", "tile",
    "niche", "Job", "Phase", "Cost", "Hours", "Date", "removed", "record id", "half day", "2d 4h",
    "$1,250.00", "50%", "incl HST 13%", "12'6\" x 5'", "J-01",
)  # fmt: skip
TOML = (
    "[firm]", "[scope]", "[quote]", "[plan.tile]", "[columns]", "[phases]", "[constants]", "[only]",
    "[units]", "day_rate", "holidays", "price_index", "rates", "usual", "exchange", "phase_words",
    "working_days", "deposit_cap", "kind", "area", "items", "price", "date", "crew", "sheet",
    "header_row", "missing", "job",
)  # fmt: skip
SEEDS = (
    "[firm]\nday_rate = 480\nholidays = ['2026-12-25']\nusual = { cost = 260 }\n",
    "[scope]\narea = '52 sq ft'\nitems = ['niche', 'wall tile 96']\n[quote]\nprice = 20000\n",
    "kind = 'phases'\n[columns]\njob = 'Project'\n'plan.cost' = 'Budget'\n",
)

Reader = Callable[[Path], object]
TEXT_READERS: tuple[Reader, ...] = (
    lambda p: read_file(p, FIRM),
    read_sheet,
    gather,
    read_index,
    lambda p: read_asked_sheet(p, FIRM, standard()),
)
TOML_READERS: tuple[Reader, ...] = (
    read_settings,
    lambda p: read_asked(p, FIRM),
    load_map,
)


def table(rng: random.Random) -> bytes:
    """A table as text: headings of a kind that is known, cells of pieces, any encoding."""
    known = [ANSWER_HEADINGS, DAY_HEADINGS, *(headings(kind) for kind in KINDS)]
    heads = list(rng.choice([*known, rng.sample(PIECES, 6)]))
    mark = rng.choice(",;\t|")
    rows = [heads] + [
        ["".join(rng.choices(PIECES, k=rng.choice((0, 1, 1, 2)))) for _ in heads]
        for _ in range(rng.randint(0, 5))
    ]
    text = "\n".join(mark.join(f'"{c}"' if rng.random() < 0.3 else c for c in r) for r in rows)
    return text.encode(rng.choice(("utf-8", "utf-8-sig", "utf-16", "utf-32", "cp1252")), "replace")


def settings(rng: random.Random) -> bytes:
    """Something like TOML: a good file changed, or keys and pieces in any order."""
    if rng.random() < 0.5:
        lines = [
            rng.choice(TOML)
            + rng.choice((" = ", "\n", ".", " = [", " = {a="))
            + rng.choice(("", "'", '"'))
            + rng.choice(PIECES)
            for _ in range(rng.randint(1, 5))
        ]
        return "\n".join(lines).encode()
    text = list(rng.choice(SEEDS))
    for _ in range(rng.randint(1, 4)):
        text[rng.randrange(len(text))] = rng.choice(PIECES)
    return "".join(text).encode()


def broken(rng: random.Random, good: bytes) -> bytes:
    """The bytes of a file that reads well, some changed, perhaps cut short."""
    data = bytearray(good)
    for _ in range(rng.randint(1, 25)):
        data[rng.randrange(len(data))] = rng.randrange(256)
    return bytes(data[: rng.randint(1, len(data))] if rng.random() < 0.2 else data)


def attack(cases: int, seed: int, good: tuple[bytes, ...] = ()) -> Counter[str]:
    """Give so many files to every reader that may meet them; how many were read and refused.

    Raises:
        AssertionError: a refusal that is no single sentence. What a reader raises but a
            CostlearnError goes through.
    """
    rng = random.Random(seed)
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(cases):
            toml = number % 3 == 0
            data = settings(rng) if toml else table(rng)
            if good and number % 3 == 2:
                data = broken(rng, rng.choice(good))
            path = Path(folder, "case.toml" if toml else "case.csv")
            path.write_bytes(data)
            with watched(path, number):
                for read in TOML_READERS if toml else TEXT_READERS:
                    counts[outcome(read, path)] += 1
    return counts


@contextmanager
def watched(path: Path, number: int) -> Iterator[None]:
    """Give a file a bounded time; where it ends in anything but a sentence, keep it to look at."""
    faulthandler.dump_traceback_later(PATIENCE, exit=True)
    try:
        yield
    except BaseException:
        kept = Path(tempfile.gettempdir(), f"fuzz-{number}-{path.name}")
        kept.write_bytes(path.read_bytes())
        print(f"file {number} of this run is kept as {kept}", file=sys.stderr)
        raise
    finally:
        faulthandler.cancel_dump_traceback_later()


def outcome(read: Reader, path: Path) -> str:
    """Whether a reader read a file or refused it.

    Raises:
        AssertionError: it refused it in other than one sentence.
    """
    try:
        read(path)
    except CostlearnError as problem:
        said = str(problem)
        acts = any(unicodedata.category(letter) in UNSEEN for letter in said)
        one = said.endswith(".") and not acts and len(said) <= LONGEST_SENTENCE
        assert one, f"no single sentence: {said[:300]!r}"
        return "refused"
    return "read"


def bound_room() -> None:
    """Bound the room of this process where the system can bound it."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM))
    except ImportError:
        print("no bound on room here")


if __name__ == "__main__":
    bound_room()
    print(dict(attack(int(sys.argv[1]), int(sys.argv[2]))))
