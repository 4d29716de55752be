"""The sheet of option prices: its tables whole, set tight for paper, no picture."""

import page_making as making
from page_reading import Page

from costlearn.pages.options import sheet
from costlearn.pages.write import page_html


def test_every_option_stands_on_the_sheet():
    answer = making.priced(making.EVIL)
    page = Page(page_html(answer))
    cells = page.of("th")
    assert answer.options
    assert all(o.name in cells for o in answer.options)
    assert page.of("figure") == []
    assert page.by_class("subject")[0].startswith(making.EVIL)


def test_only_this_sheet_is_set_tight():
    assert sheet(making.priced()).dense
    assert 'class="page-head dense"' in page_html(making.priced())
    assert 'class="page-head"' in page_html(making.estimated())
