"""Reading a table given as text, for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import Batch


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Batch]:
    """Write a text to a file and read it; a firm that keeps Canadian dollars."""

    def reader(
        text: str, name: str = "table.csv", firm: Firm | None = None, **more: object
    ) -> Batch:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return read_file(path, firm or Firm(currency="CAD"), **more)  # type: ignore[arg-type]

    return reader
