"""Whether a workbook can be opened at all, found out in a process of its own.

The reader of workbooks can end the whole process on some damaged files of the old binary kind
(about one in a hundred with random bytes changed), and on any file with a cell so far out that
there is no room for all the cells before it. So a file whose reach could not be seen beforehand is
opened once where that does no harm, with no more room than a table of jobs can need.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from costlearn.errors import UnreadableFile

_SECONDS = 120
_ROOM = 3 * 2**30
"""Bytes: several times what the largest sheet that is read at all takes."""
_OPEN_ALL = f"""
import io, sys
try:
    import resource
    most = resource.getrlimit(resource.RLIMIT_AS)[1]
    room = {_ROOM} if most == resource.RLIM_INFINITY else min({_ROOM}, most)
    resource.setrlimit(resource.RLIMIT_AS, (room, most))
except (ImportError, ValueError, OSError):
    pass
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


_ERRORS = 2
"""The number of the stream on which a process tells errors (IEEE Std 1003.1, stderr)."""
_one_at_a_time = threading.RLock()


@contextmanager
def broken_as(problem: UnreadableFile) -> Iterator[None]:
    """Turn a breakdown of the reader into one sentence, without the pages it writes of its own.

    Raises:
        UnreadableFile: the given problem, where the reader broke down.
    """
    try:
        with _one_at_a_time, _silence():
            yield
    except BaseException as error:
        # It is no Exception, and its class can be imported from nowhere.
        if type(error).__name__ != "PanicException":
            raise
        raise problem from None


@contextmanager
def _silence() -> Iterator[None]:
    """Nothing on the stream of errors, which the reader writes to past Python."""
    try:
        before = os.dup(_ERRORS)
    except OSError:
        yield
        return
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, _ERRORS)
        os.close(nowhere)
        yield
    finally:
        os.dup2(before, _ERRORS)
        os.close(before)


def survives(data: bytes) -> bool:
    """Whether opening a workbook leaves the process alive; readable or not is not asked."""
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
