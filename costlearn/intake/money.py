"""One cell to an amount of money in cents, or the reason it is none."""

from __future__ import annotations

from dataclasses import dataclass

from costlearn.intake.cells import Raw, Reading


@dataclass(frozen=True, slots=True)
class Money:
    """An amount; ``cents`` is net of tax where ``tax`` (cents) is stated."""

    cents: int
    currency: str | None = None
    tax: int | None = None


def read_money(
    raw: Raw, *, decimal: str = ".", tax_rate: float | None = None
) -> Reading[Money]:
    """An amount of money; ``tax_rate`` is a share (0.13)."""
    raise NotImplementedError
