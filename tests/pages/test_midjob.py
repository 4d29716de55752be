"""The pages of running jobs draw what the answers hold."""

from dataclasses import replace

import page_making as making
import pytest
from page_reading import Page

from costlearn.pages.midjob import sheet, trust_sheet
from costlearn.pages.write import page_html


def drawn(picture, color_of: str) -> list[float]:
    """The places of the marks of a plotly symbol."""
    return [x for d in picture.figure.data if d.mode == "markers" and d.marker.symbol == color_of
            for x in d.x]  # fmt: skip


def test_cost_days_and_phases_are_drawn():
    answer = making.foretold()
    cost, days, phases = sheet(answer).pictures
    landing = answer.landing("cost")
    assert landing is not None
    assert answer.index is not None
    assert drawn(cost, "line-ns") == [landing.median]
    assert drawn(cost, "diamond") == [pytest.approx(answer.index.at_index)]
    assert drawn(cost, "square") == []  # what is spent so far would squeeze the ends together
    assert len(drawn(days, "square")) == len(answer.landings) - 1
    ahead = [p for p in answer.phases if p.done < 1]
    assert drawn(phases, "circle") == [p.to_come for p in ahead]
    assert drawn(phases, "triangle-up") == [pytest.approx((p.planned or 0) * (1 - p.done)) for p in
                                            ahead if p.planned is not None]  # fmt: skip


def test_a_key_names_only_what_is_drawn():
    answer = making.foretold()
    cost = sheet(replace(answer, index=None)).pictures[0]
    assert "by the standard index" not in [k.text for k in cost.key]
    without = replace(answer, landings=answer.landings[:1])
    assert [p.title for p in sheet(without).pictures] == [
        "Direct cost at the end",
        "What is still to come, and where it is open",
    ]


def test_what_was_asked_stands_on_the_page():
    answer = making.foretold(making.EVIL)
    page = Page(page_html(answer))
    assert page.by_class("subject")[0].startswith(making.EVIL)
    asked = dict(sheet(answer).asked)
    assert set(asked) >= {"Started", "Agreed price"}


def test_the_backtest_draws_a_band_a_stage():
    answer = making.stopped()
    (picture,) = trust_sheet(answer).pictures
    rows = answer.of("cost")
    (band,) = [d for d in picture.figure.data if d.mode == "lines"]
    widths = [b - a for a, b in zip(band.x[::3], band.x[1::3], strict=True)]
    assert widths == pytest.approx([r.width for r in rows])
    assert [r[0] for r in picture.numbers.rows] == [str(r.phases) for r in rows]
    assert "held" in page_html(answer)
