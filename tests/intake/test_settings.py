"""Settings from a file, and a price index from a table beside it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from costlearn.errors import InputProblem, UnreadableFile
from costlearn.features.prices import PriceIndex
from costlearn.intake.settings import read_settings

SETTINGS = '[firm]\nprice_index = "index.csv"\nprice_index_share = 0.5\n'


def settings(folder: Path, table: str) -> Path:
    (folder / "firm.toml").write_text(SETTINGS, "utf-8")
    (folder / "index.csv").write_text(table, "utf-8")
    return folder / "firm.toml"


def test_an_index_typed_into_a_table_moves_its_share_of_a_cost(tmp_path: Path) -> None:
    """Levels of US CPI-U, annual averages (Bureau of Labor Statistics): 255.657 and 313.689."""
    path = settings(tmp_path, "Date,Level\n2019-01,255.657\n2024-01-01,313.689\n")
    firm = read_settings(path)
    assert firm.price_index == {"2019-01-01": 255.657, "2024-01-01": 313.689}
    whole = PriceIndex.of(firm.price_index)
    half = PriceIndex.of(firm.price_index, firm.price_index_share)
    assert whole and half
    then, now = date(2019, 1, 1), date(2024, 1, 1)
    assert whole.factor(then, now) == pytest.approx(1.22699, abs=1e-5)
    assert half.factor(then, now) == pytest.approx(1 + 0.22699 / 2, abs=1e-5)


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("Date,Level\n2019-01-01,255\n2020-01-01,soon\n", "row 3"),
        ("Date,Level\n", "no price index"),
        ("Date,Level\n2019-01-01,-4\n", "row 2"),
    ],
)
def test_a_slip_in_the_index_is_named(tmp_path: Path, table: str, said: str) -> None:
    with pytest.raises(InputProblem, match=said):
        read_settings(settings(tmp_path, table))


def test_an_index_that_is_not_there_is_said(tmp_path: Path) -> None:
    path = settings(tmp_path, "")
    (tmp_path / "index.csv").unlink()
    with pytest.raises(UnreadableFile):
        read_settings(path)


def test_a_share_above_one_is_refused(tmp_path: Path) -> None:
    path = settings(tmp_path, "2019-01-01,100\n2020-01-01,101\n")
    path.write_text("[firm]\nprice_index_share = 1.5\n", "utf-8")
    with pytest.raises(InputProblem, match="from 0 to 1"):
        read_settings(path)


@pytest.mark.parametrize("named", ["", " ", ".", "./", "../"])
def test_an_index_of_no_name_is_refused_where_it_is_named(tmp_path: Path, named: str) -> None:
    path = tmp_path / "firm.toml"
    path.write_text(f"[firm]\nprice_index = '{named}'\n", "utf-8")
    with pytest.raises(InputProblem, match=r"firm\.toml, entry 'firm\.price_index': found .*file"):
        read_settings(path)
