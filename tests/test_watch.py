"""Long work can be watched, and need not be."""

from __future__ import annotations

from costlearn.firm import Firm
from costlearn.intake.findings import Notes
from costlearn.intake.readings import Setting
from costlearn.vocabulary import standard
from costlearn.watch import Watch, unwatched


def test_work_that_nobody_watches_tells_nobody() -> None:
    setting = Setting(Firm(), standard(), Notes())
    assert setting.watch is unwatched
    assert setting.watch("reading column 'Hours'", 0.5) is None  # type: ignore[func-returns-value]


def test_whoever_watches_is_told() -> None:
    told: list[tuple[str, float]] = []

    def watch(doing: str, share: float) -> None:
        told.append((doing, share))

    watching: Watch = watch
    Setting(Firm(), standard(), Notes(), watch=watching).watch("keeping", 1.0)
    assert told == [("keeping", 1.0)]
