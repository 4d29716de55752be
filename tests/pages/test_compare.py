"""The page of two versions: the differences drawn about nothing, the versions named."""

from dataclasses import replace

import page_making as making
from page_reading import Page

from costlearn.pages.compare import sheet
from costlearn.pages.write import page_html
from costlearn.questions.quoting.versions import Versions, compare


def compared(name: str = "walk-in", **more: float) -> Versions:
    first = replace(making.quoted("tub"), plan=making.quoted().plan)
    second = replace(first, name=name, scope={**first.scope, **more})
    return compare(making.history(), first, second)


def test_money_and_days_are_drawn_with_their_numbers():
    answer = compared(heated_floor=20.0)
    pictures = sheet(answer).pictures
    assert [p.title.rsplit(" ", 1)[1] for p in pictures] == ["money", "days"]
    cost = answer.difference("cost")
    assert cost is not None
    page = Page(page_html(answer))
    assert len(page.figures()) == 2
    assert len(page.of("figcaption")) == 2
    drawn = str(page.figures()[0])
    assert str(cost.interval.low) in drawn
    assert str(cost.interval.high) in drawn
    assert page.by_class("subject")[0] == "walk-in against tub"


def test_what_changes_is_told():
    asked = dict(sheet(compared(heated_floor=20.0)).asked)
    assert asked["What changes"] == "heated floor 20 sq ft added"
    assert dict(sheet(compared()).asked)["What changes"] == "nothing"


def test_alike_versions_have_no_picture():
    assert sheet(compared()).pictures == ()
    assert "no difference" in page_html(compared())


def test_names_stay_text():
    html = page_html(compared(making.EVIL, heated_floor=20.0))
    assert "<script>document.title" not in html
    assert making.EVIL in Page(html).by_class("subject")[0]
