"""Figures with a decimal comma that stand alone, with no column to tell how they are written.

A foot is 0.3048 m exactly (ISO 80000-3:2019), so a square metre is 10.763 91 square feet.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.asked import job_from, read_asked
from costlearn.records import Batch, JobEntry
from costlearn.vocabulary import standard

FIRM = Firm(currency="CAD", area_unit="sqm")


def floor(text: str, firm: Firm = FIRM) -> float | None:
    return job_from({"area": text}, {}, (), firm, standard()).area_sqft


@pytest.mark.parametrize(
    ("text", "sqm"),
    [("4,2 m2", 4.2), ("4,25 m²", 4.25), ("4,2", 4.2), ("4.2 m2", 4.2), ("2,1 x 2,4 m", 5.04)],
)
def test_a_floor_may_have_a_decimal_comma(text: str, sqm: float) -> None:
    assert floor(text) == pytest.approx(sqm * 10.76391)


def test_thousands_parted_by_a_comma_stay_thousands() -> None:
    assert floor("1,250 sf") == 1250
    with pytest.raises(InputProblem):
        floor("4,2,1 m2")


def test_a_scope_file_is_read_as_the_option_is(tmp_path: Path) -> None:
    path = tmp_path / "devis.toml"
    path.write_text('[scope]\narea = "4,2 m2"\nitems = ["heated floor 2,5 m2"]\n', "utf-8")
    job = read_asked(path, FIRM)
    assert job.area_sqft == pytest.approx(4.2 * 10.76391)
    assert job.scope["heated_floor"] == pytest.approx(2.5 * 10.76391)


def test_sizes_of_a_sheet_of_scope(read: Callable[..., Batch]) -> None:
    batch = read(
        "Job;Item;Size;Unit\nR-1;wall tile;11,5;m2\nR-1;heated floor;3,25;m2\nR-1;paint;1,250;sf\n",
        firm=FIRM,
    )
    sizes = {k: v for e in batch.entries if isinstance(e, JobEntry) for k, v in e.scope.items()}
    assert sizes["wall_tile"] == pytest.approx(11.5 * 10.76391)
    assert sizes["heated_floor"] == pytest.approx(3.25 * 10.76391)
    assert sizes["paint"] == 1250
