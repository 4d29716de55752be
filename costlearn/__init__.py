"""costlearn learns cost, days and overruns from a small renovation firm's own finished jobs.

Everything a notebook needs to do what the command line does. Files become records, records answers,
an answer a page:

>>> from pathlib import Path
>>> from tempfile import TemporaryDirectory
>>> import costlearn
>>> folder = costlearn.demo_folder()
>>> firm = costlearn.read_settings(folder / "firm.toml")
>>> with costlearn.Book.in_memory() as book:
...     book.set_firm(firm)
...     for name in ("jobs_2022.csv", "jobs_2024.csv", "jobs_2025.csv"):
...         change = book.add(costlearn.read_file(folder / name, firm), folder / name)
...     history = book.history()
>>> len(history.usable)
24
>>> new = costlearn.read_asked(folder / "scope_new.toml", firm)
>>> answer = costlearn.estimate(history, new)
>>> cost = answer.target("cost").main
>>> cost.level, 0 < cost.low < answer.target("cost").median < cost.high
(0.8, True)
>>> frame = answer.to_frame().set_index("target")
>>> bool(frame.low_80["cost"] == cost.low), frame.unit["cost"]
(True, 'USD')
>>> answer.figure().layout.meta["title"]
'Direct cost'
>>> with TemporaryDirectory() as pages:
...     page = costlearn.write_page(answer, Path(pages) / "estimate.html")
...     page.stat().st_size > 10_000
True

Names are loaded when first used, so that ``import costlearn`` costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from costlearn.assembly.jobs import assemble
    from costlearn.book.store import Book
    from costlearn.demo.files import demo_folder
    from costlearn.errors import CostlearnError, InputProblem
    from costlearn.firm import Firm
    from costlearn.intake.asked import read_asked
    from costlearn.intake.columns import load_map
    from costlearn.intake.reader import read_file
    from costlearn.intake.settings import read_settings
    from costlearn.models.distribution import LogSpread, Predictive
    from costlearn.models.regression import PriorRegression, Term
    from costlearn.pages.write import write_page
    from costlearn.questions.crewing.crew import crew
    from costlearn.questions.crewing.year import YearTerms
    from costlearn.questions.earning.earnings import earnings
    from costlearn.questions.estimate import estimate
    from costlearn.questions.options import option_prices
    from costlearn.questions.overrun.overruns import overruns
    from costlearn.questions.planning.calendar import site_calendar
    from costlearn.questions.quoting.quote import check
    from costlearn.questions.quoting.versions import compare
    from costlearn.questions.running.midjob import forecast
    from costlearn.questions.trust import backtest
    from costlearn.records import Amounts, History, Job

    __version__: str

__all__ = [
    "Amounts",
    "Book",
    "CostlearnError",
    "Firm",
    "History",
    "InputProblem",
    "Job",
    "LogSpread",
    "Predictive",
    "PriorRegression",
    "Term",
    "YearTerms",
    "__version__",
    "assemble",
    "backtest",
    "check",
    "compare",
    "crew",
    "demo_folder",
    "earnings",
    "estimate",
    "forecast",
    "load_map",
    "option_prices",
    "overruns",
    "read_asked",
    "read_file",
    "read_settings",
    "site_calendar",
    "write_page",
]

_HOMES = {
    "Amounts": "records",
    "Book": "book.store",
    "CostlearnError": "errors",
    "Firm": "firm",
    "History": "records",
    "InputProblem": "errors",
    "Job": "records",
    "LogSpread": "models.distribution",
    "Predictive": "models.distribution",
    "PriorRegression": "models.regression",
    "Term": "models.regression",
    "YearTerms": "questions.crewing.year",
    "assemble": "assembly.jobs",
    "backtest": "questions.trust",
    "check": "questions.quoting.quote",
    "compare": "questions.quoting.versions",
    "crew": "questions.crewing.crew",
    "demo_folder": "demo.files",
    "earnings": "questions.earning.earnings",
    "estimate": "questions.estimate",
    "forecast": "questions.running.midjob",
    "load_map": "intake.columns",
    "option_prices": "questions.options",
    "overruns": "questions.overrun.overruns",
    "read_asked": "intake.asked",
    "read_file": "intake.reader",
    "read_settings": "intake.settings",
    "site_calendar": "questions.planning.calendar",
    "write_page": "pages.write",
}
"""The module each public name lives in (PEP 562)."""


if not TYPE_CHECKING:
    # Hidden from type checkers, which would take any misspelled name for a public one.

    def __getattr__(name: str) -> Any:
        """Load a public name when it is first used.

        Raises:
            AttributeError: there is no such name.
        """
        if name == "__version__":
            from importlib.metadata import version

            value = version("costlearn")
        elif name in _HOMES:
            from importlib import import_module

            value = getattr(import_module(f"costlearn.{_HOMES[name]}"), name)
            if _HOMES[name].startswith("questions."):
                # Questions know nothing of pages; this is where answers learn to show themselves.
                import_module("costlearn.pages.notebook")
        else:
            raise AttributeError(f"module 'costlearn' has no attribute '{name}'")
        globals()[name] = value
        return value


def __dir__() -> list[str]:
    """The public names."""
    return sorted(__all__)
