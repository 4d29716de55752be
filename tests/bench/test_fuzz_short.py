"""A few of the nonsense files of ``fuzz.py`` and ``fuzz_books.py``; the benches give thousands."""

import sys
from pathlib import Path

import openpyxl
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import fuzz
import fuzz_books


def test_nonsense_is_read_or_refused_in_one_sentence(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in [["Job", "Phase", "Hours", "Cost"], ["J-1", "tile", 8, 1020.5]]:
        book.active.append(row)
    book.save(tmp_path / "good.xlsx")
    good = ((tmp_path / "good.xlsx").read_bytes(),)
    counts = fuzz.attack(120, 7, good)
    assert counts.total() == 40 * len(fuzz.TOML_READERS) + 80 * len(fuzz.TEXT_READERS)
    assert counts["read"] >= 10
    assert counts["refused"] >= 100


def test_changed_workbooks_are_read_or_refused_in_one_sentence(
    capfd: pytest.CaptureFixture[str],
) -> None:
    counts = fuzz_books.attack(60, 8)
    assert counts.total() == 60 * len(fuzz_books.READERS)
    for kind in ("xlsx", "xls", "ods"):
        assert counts[f"{kind} read"] >= 2
        assert counts[f"{kind} refused"] >= 6
    # The reader of workbooks tells a breakdown there, in its own words.
    assert capfd.readouterr().err == ""
