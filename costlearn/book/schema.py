"""The tables of the job book: constraints, and the numbered changes that lead to them.

A step that has been released is never edited; a change of the tables is a new step at the end.
Money is in cents, areas in square feet, time in days, dates and moments as ISO text.
"""

from __future__ import annotations

import sqlite3

APPLICATION_ID = 0x436C7242
"""Marks an SQLite file as a job book (bytes 68-71 of the file, "ClrB")."""


def _amounts(side: str) -> str:
    """The columns of planned or actual cost and time, as step 1 created them."""
    money = ("cost", "labour", "material", "sub", "rental", "disposal", "permit")
    time = ("person_days", "site_days", "wait_days", "elapsed_days", "crew")
    columns = [f"{side}_{name} INTEGER" for name in money]
    columns += [f"{side}_{name} REAL" for name in time]
    return ", ".join(columns)


def _day(name: str) -> str:
    """A column that holds an ISO date or nothing."""
    return f"{name} TEXT CHECK ({name} IS date({name}))"


def _flag(name: str) -> str:
    """A column that holds yes, no or nothing."""
    return f"{name} INTEGER CHECK ({name} IN (0, 1))"


_WHERE = """
    id INTEGER PRIMARY KEY,
    file_id INTEGER NOT NULL REFERENCES source_file (id) ON DELETE CASCADE,
    seq INTEGER NOT NULL CHECK (seq >= 0),
    place_file TEXT,
    sheet TEXT NOT NULL,
    row INTEGER NOT NULL CHECK (row >= 0),
    col TEXT NOT NULL,
"""
"""Columns every entry has. ``seq`` is its rank in its file; ``place_file`` is filled only where the
entry names another file than the one it came with."""

_STEP_1 = (
    """CREATE TABLE source_file (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE CHECK (name <> ''),
    folder TEXT NOT NULL,
    digest TEXT NOT NULL,
    imported_at TEXT NOT NULL
) STRICT""",
    f"""CREATE TABLE job_entry ({_WHERE}
    job TEXT NOT NULL, kind TEXT,
    state TEXT CHECK (state IN ('finished', 'running', 'quoted')),
    {_day("quoted_on")}, {_day("started")}, {_day("finished")},
    area_sqft REAL CHECK (area_sqft >= 0), grade REAL, house_year INTEGER, {_flag("condo")},
    price INTEGER, paid INTEGER, {_amounts("plan")}, {_amounts("actual")},
    {_flag("books_closed")}, notes TEXT NOT NULL,
    UNIQUE (file_id, seq)
) STRICT""",
    """CREATE TABLE scope (
    job_entry_id INTEGER NOT NULL REFERENCES job_entry (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    item TEXT NOT NULL,
    quantity REAL CHECK (quantity >= 0),
    PRIMARY KEY (job_entry_id, position),
    UNIQUE (job_entry_id, item)
) STRICT, WITHOUT ROWID""",
    f"""CREATE TABLE phase_entry ({_WHERE}
    job TEXT NOT NULL, phase TEXT NOT NULL, {_amounts("plan")}, {_amounts("actual")},
    {_day("started")}, {_day("finished")}, percent_complete REAL CHECK (percent_complete >= 0),
    {_flag("books_closed")}, notes TEXT NOT NULL,
    UNIQUE (file_id, seq)
) STRICT""",
    f"""CREATE TABLE hours_entry ({_WHERE}
    job TEXT NOT NULL, person TEXT NOT NULL, {_day("day")}, hours REAL NOT NULL, phase TEXT,
    waiting INTEGER NOT NULL CHECK (waiting IN (0, 1)), notes TEXT NOT NULL,
    UNIQUE (file_id, seq)
) STRICT""",
    f"""CREATE TABLE cost_entry ({_WHERE}
    job TEXT, kind TEXT NOT NULL, net INTEGER NOT NULL, tax INTEGER, currency TEXT,
    {_day("day")}, phase TEXT, payee TEXT NOT NULL, document TEXT NOT NULL, notes TEXT NOT NULL,
    UNIQUE (file_id, seq)
) STRICT""",
    f"""CREATE TABLE change_entry ({_WHERE}
    job TEXT NOT NULL, label TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('approved', 'declined', 'verbal')),
    price INTEGER, cost INTEGER, days REAL, phase TEXT,
    UNIQUE (file_id, seq)
) STRICT""",
    f"""CREATE TABLE finding ({_WHERE}
    kind TEXT NOT NULL
        CHECK (kind IN ('understood', 'proposed', 'set aside', 'asked', 'checked')),
    text TEXT NOT NULL, raw TEXT NOT NULL,
    UNIQUE (file_id, seq)
) STRICT""",
    """CREATE TABLE setting (
    key TEXT PRIMARY KEY,
    value TEXT NOT NULL CHECK (json_valid(value))
) STRICT, WITHOUT ROWID""",
    """CREATE TABLE change_log (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    file TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('new', 'changed', 'removed')),
    digest TEXT NOT NULL
) STRICT""",
    """CREATE TABLE change_count (
    change_id INTEGER NOT NULL REFERENCES change_log (id) ON DELETE CASCADE,
    entry TEXT NOT NULL,
    added INTEGER NOT NULL CHECK (added >= 0),
    removed INTEGER NOT NULL CHECK (removed >= 0),
    changed INTEGER NOT NULL CHECK (changed >= 0),
    PRIMARY KEY (change_id, entry)
) STRICT, WITHOUT ROWID""",
)

_STEP_2 = (
    f"""CREATE TABLE question ({_WHERE}
    key TEXT NOT NULL, topic TEXT NOT NULL, found TEXT NOT NULL, text TEXT NOT NULL,
    choices TEXT NOT NULL, rows_waiting INTEGER NOT NULL CHECK (rows_waiting > 0),
    UNIQUE (file_id, seq)
) STRICT""",
    """CREATE TABLE source (
    file_id INTEGER PRIMARY KEY REFERENCES source_file (id) ON DELETE CASCADE,
    file TEXT NOT NULL CHECK (file <> ''),
    packed BLOB NOT NULL,
    map_name TEXT NOT NULL,
    map_text TEXT NOT NULL
) STRICT""",
    """CREATE TABLE answer (
    key TEXT PRIMARY KEY,
    topic TEXT NOT NULL,
    found TEXT NOT NULL,
    text TEXT NOT NULL,
    choices TEXT NOT NULL,
    said TEXT NOT NULL CHECK (said <> ''),
    at TEXT NOT NULL
) STRICT, WITHOUT ROWID""",
)
"""What only a person can say, what was answered, and each file as it came (compressed) with the
column map it was read with: answers are applied by reading the files anew."""

_STEP_3 = (
    "ALTER TABLE hours_entry ADD COLUMN callback_of TEXT",
    "ALTER TABLE cost_entry ADD COLUMN callback_of TEXT",
)
"""Call-back work: the phase whose work had to be done again, or 'unassigned'."""

_STEP_4 = (
    "ALTER TABLE job_entry ADD COLUMN rough TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE phase_entry ADD COLUMN rough TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE question ADD COLUMN money INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE question ADD COLUMN holds TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE question ADD COLUMN samples TEXT NOT NULL DEFAULT ''",
)
"""Ranges as their writer gave them; what a question holds up, and the cells it is about."""

_STEP_5 = (
    "ALTER TABLE cost_entry ADD COLUMN on_statement INTEGER NOT NULL DEFAULT 0",
    f"ALTER TABLE finding ADD COLUMN {_flag('agrees')}",
    f"ALTER TABLE finding ADD COLUMN {_flag('slip')}",
    "ALTER TABLE answer ADD COLUMN insisted INTEGER NOT NULL DEFAULT 0 CHECK (insisted IN (0, 1))",
)
"""Whether a bank or a card wrote a cost line, whether a checked sum agrees, words with a letter
wrong that were read as known ones, and answers kept although a figure looks absurd by them."""

STEPS: tuple[tuple[str, ...], ...] = (_STEP_1, _STEP_2, _STEP_3, _STEP_4, _STEP_5)
"""Step n turns a book of version n - 1 into one of version n."""


def newest() -> int:
    """The version of a book with all steps done."""
    return len(STEPS)


def version_of(connection: sqlite3.Connection) -> int:
    """The version a book has now; 0 for one without tables."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def bring_up_to_date(connection: sqlite3.Connection) -> None:
    """Do the steps a book still lacks, each in a transaction of its own.

    A step that fails or is interrupted leaves the book at the version before it.

    Raises:
        sqlite3.Error: a step could not be done; that step is undone.
    """
    while version_of(connection) < newest():
        connection.execute("BEGIN IMMEDIATE")
        try:
            # Read again under the lock: another process may have done the step meanwhile.
            version = version_of(connection)
            for statement in STEPS[version] if version < newest() else ():
                connection.execute(statement)
            if version < newest():
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.execute(f"PRAGMA user_version = {version + 1}")
            connection.execute("COMMIT")
        except BaseException:
            # A full disk has undone the transaction already.
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
