"""What a file's text may do to a terminal: nothing (control codes: ECMA-48, 5.2 to 5.4)."""

from __future__ import annotations

import io
import subprocess
import sys

from rich.text import Text

from costlearn.cli.guarded import GuardedConsole


def test_a_terminal_gets_our_styles_and_no_others() -> None:
    out = io.StringIO()
    console = GuardedConsole(file=out, force_terminal=True, color_system="standard", width=80)
    console.print(Text("bath\x1b]0;x\x07\x1b[31m\u202e", style="bold"))
    said = out.getvalue()
    assert "bath\\x1b]0;x" in said
    assert "\\x1b[31m\\u202e" in said
    assert said.startswith("\x1b[1m")
    assert "\x1b[31m" not in said
    assert "\u202e" not in said


def test_messages_are_guarded_too() -> None:
    program = "import sys; from costlearn.cli import streams; streams.guard();"
    program += "print('a\\x1b[31m\\u202eb', file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)
    assert done.stderr.decode().splitlines() == ["a\\x1b[31m\\u202eb"]
