"""The day sheet guards each text exactly as every other export does."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

from costlearn import tidy

if TYPE_CHECKING:
    from playwright.sync_api import Browser

LEADS = (
    "", " ", "\u00a0", '"', "'", "“", "`", "\u200b", "a", "a;", 'a;"', "a; ", "a\n", "a;;",
    "_x0041_", "\\u0041", "a\n\n",
)  # fmt: skip
SIGNS = (*"=+-@\t\r＝＋－＠1", "- 2", "x; - 3", "\u2028")


def test_the_day_sheet_guards_as_every_export_does(browser: Browser) -> None:
    records = (
        files("costlearn.pages").joinpath("templates", "daysheet_records.js").read_text("utf-8")
    )
    texts = [f"{lead}{sign}1+1" for lead in LEADS for sign in SIGNS]
    page = browser.new_page()
    page.add_script_tag(content=records)
    guarded = page.evaluate("(texts) => texts.map(guard)", texts)
    page.close()
    assert dict(zip(texts, guarded, strict=True)) == {text: tidy.guard(text) for text in texts}
    assert sum(one.startswith("'") for one in guarded) > 100
