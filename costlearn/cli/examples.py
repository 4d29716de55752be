"""One or two examples for each command, shown under its help; a test runs every one of them.

They name files of the invented firm: run them beside its files, or put your own in their place.
"""

from __future__ import annotations

EXAMPLES: dict[str, tuple[str, ...]] = {
    "import": (
        "costlearn import jobs_2025.csv phases.xlsx --settings firm.toml",
        "costlearn import . --details",
        "costlearn import --list",
    ),
    "add": (
        'costlearn add "Fir Lane ensuite, 76 sq ft, niche, 25 days 2 men, 33-35k all in, finished '
        '12 Feb 2026"',
        "costlearn add --list",
    ),
    "jobs": ("costlearn jobs --look", 'costlearn jobs "B25-02"'),
    "questions": ("costlearn questions --write answers.csv",),
    "answer": ("costlearn answer answers.csv", "costlearn answer --list"),
    "template": ("costlearn template my-records.xlsx",),
    "daysheet": ("costlearn daysheet --to daysheet.html",),
    "settings": ("costlearn settings firm.toml", "costlearn settings"),
    "words": ("costlearn words",),
    "estimate": (
        'costlearn estimate "hall bath, 46 sq ft, gut, niche, 3 lights"',
        "costlearn estimate scope_new.toml",
        'costlearn estimate --area "46 sq ft" --kind bathroom --items "gut; niche; 3 lights"',
    ),
    "check": (
        "costlearn check quote_sane.toml",
        'costlearn check "hall bath, 46 sq ft, gut, niche, 3 lights, price 24,500"',
        'costlearn check quote_sane.toml --margin 0.25 --deposit-cap "10% or 1000"',
    ),
    "compare": ('costlearn compare scope_new.toml --with "heated floor 30" --without niche',),
    "overruns": ("costlearn overruns", "costlearn overruns --html overruns.html"),
    "crew": ("costlearn crew scope_new.toml --backlog 10-16",),
    "earnings": ("costlearn earnings",),
    "forecast": (
        "costlearn forecast",
        'costlearn forecast B26-08 --left "tile 12 h; paint 1.5 d"',
    ),
    "options": ("costlearn options --kind bathroom",),
    "calendar": (
        "costlearn calendar quote_sane.toml --start 2027-01-11 --ics plan.ics",
        "costlearn calendar --job B26-08",
    ),
    "pocket": ("costlearn pocket --to pocket.html",),
    "backtest": ("costlearn backtest --json",),
    "pages": ("costlearn pages quote_sane.toml --to my-pages --backlog 14",),
    "demo": ("costlearn demo",),
}


def below_help(command: str) -> str:
    """The examples of a command as its help ends with them, each on its own line."""
    # The mark keeps the lines that follow it from being joined to a paragraph.
    return "\n".join(("\b", "For example:", *(f"  {line}" for line in EXAMPLES[command])))
