"""The short form of the kills: each state is wholly old or wholly new, and done means done."""

import signal
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import kills as bench

pytestmark = pytest.mark.skipif(
    not hasattr(signal, "SIGKILL"), reason="needs a system that can kill -9"
)


@pytest.mark.parametrize("kind", bench.WORK)
def test_short_form(kind: str) -> None:
    found = bench.kill_often(kind, bench.SHORT)
    states = {"old", "new"}
    # Three steps of version are three changes; forty pages move one after the other.
    states |= {"change of version": {"a whole step"}, "pages": {"whole pages of both"}}.get(
        kind, set()
    )
    assert sum(found.get(state, 0) for state in states) == bench.SHORT


def test_half_a_page_would_be_noticed(tmp_path: Path) -> None:
    bench.prepare_pages(tmp_path)
    page = tmp_path / "pages" / "page-3.html"
    page.write_text(page.read_text("utf-8")[:5_000], "utf-8")
    with pytest.raises(AssertionError):
        bench.state_of_pages(tmp_path)


def test_half_an_import_would_be_noticed(tmp_path: Path) -> None:
    import sqlite3
    from contextlib import closing

    bench.prepare_import(tmp_path)
    with closing(sqlite3.connect(tmp_path / "firm.book")) as db:
        db.execute("DELETE FROM hours_entry WHERE row > 100")
        db.commit()
    with pytest.raises(AssertionError):
        bench.state_of_import(tmp_path)
