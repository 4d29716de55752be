"""What earns most as a table: a kind alone is compared with nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from costlearn.questions.earning.earnings import earnings
from costlearn.records import History
from tests.questions.earning.test_earnings import FIRM, done


@pytest.mark.parametrize("overhead", [None, 40_000.0])
def test_one_kind_alone_is_not_said_to_earn_most(overhead: float | None) -> None:
    firm = replace(FIRM, overhead_per_year=overhead)
    alone = tuple(done(i, "bathroom", 300.0 + 20 * (i % 3)) for i in range(6))
    others = tuple(done(6 + i, "kitchen", 400.0 + 20 * (i % 3)) for i in range(6))
    for jobs, said in ((alone, False), ((*alone, *others), True)):
        table = earnings(History(jobs=jobs, firm=firm)).tables()[0]
        assert ("earns most" in table.heads) is said
        assert ("carries overhead" in table.heads) is (overhead is not None)
        assert {len(row) for row in table.rows} == {len(table.heads)}
