"""What is printed gets out, or is quietly let go where nobody reads on."""

from __future__ import annotations

import io
import os
import sys
from typing import Any, TextIO

from costlearn.errors import visible


def guard() -> None:
    """Make the standard streams safe to print to.

    A reader that stops early (``costlearn words | head -1``) neither ends a command half way nor
    changes its exit code, and a letter the terminal cannot show is shown as a question mark.
    """
    sys.stdout = _safe(sys.stdout)
    sys.stderr = _told(_safe(sys.stderr))


def _safe(stream: TextIO | Any) -> TextIO:
    """The same stream, unmoved by a reader that is gone."""
    if stream is None:
        # Python has no stream at all where the caller closed it.
        return open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")
        if not stream.isatty():
            raw = _Unread(stream.fileno(), "w", closefd=False)
            buffered = io.BufferedWriter(raw)
            return io.TextIOWrapper(buffered, stream.encoding, "replace", line_buffering=True)
    return stream


def _told(stream: TextIO) -> TextIO:
    """The stream of messages, on which no letter of a file's acts unseen; it carries no styles."""
    raw = getattr(stream, "buffer", None)
    if raw is None:
        return stream
    told = _Told(raw, stream.encoding, "replace", line_buffering=True)
    told.before = stream
    return told


class _Told(io.TextIOWrapper):
    """Text on a stream, what acts unseen shown as its code."""

    before: TextIO
    """The stream it took over from, which would close the way out for both if it went."""

    def write(self, text: str, /) -> int:
        super().write(visible(text, lines=True))
        return len(text)


class _Unread(io.FileIO):
    """A file that lets go what nobody reads any more, and complains of a full disk once only."""

    failed = False

    def write(self, data: Any, /) -> int:
        if not self.failed:
            try:
                return super().write(data)
            except BrokenPipeError:
                self.failed = True
            except OSError:
                self.failed = True
                raise
        return memoryview(data).nbytes
