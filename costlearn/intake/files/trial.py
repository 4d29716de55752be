"""Whether an old workbook can be opened at all, found out in a process of its own.

The reader of workbooks can end the whole process on some damaged files of the old binary kind
(about one in a hundred with random bytes changed; the packed kinds are checked before). So such a
file is opened once where that does no harm.
"""

from __future__ import annotations

import subprocess
import sys

_SECONDS = 120
_OPEN_ALL = """
import io, sys
try:
    import python_calamine
    data = io.BytesIO(sys.stdin.buffer.read())
    with python_calamine.CalamineWorkbook.from_filelike(data) as book:
        for about in book.sheets_metadata:
            sheet = book.get_sheet_by_name(about.name)
except Exception:
    sys.exit(0)
except BaseException:
    sys.exit(3)
"""


def survives(data: bytes) -> bool:
    """Whether opening an old workbook leaves the process alive; readable or not is not asked."""
    if not sys.executable:
        return True
    try:
        done = subprocess.run(  # noqa: S603 -- our own program text, the file goes in as input
            [sys.executable, "-c", _OPEN_ALL],
            input=data,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return False
    except OSError:
        return True
    # 1 is a Python that could not start; anything else but 0 is a process that broke down.
    return done.returncode in {0, 1}
