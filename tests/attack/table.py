"""Every attack against every question: ``python tests/attack/table.py [firms] [jobs] [attack]``.

For each cell: in how many of 100 firms an 80 % range holds the truth, its width (upper end over
lower, the median), how many firms got no answer or none to lean on, and false claims in 100.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from attack.asking import QUESTIONS, ask
from attack.attacks import ALL, case_of

from costlearn.questions.attention import attention


def main(firms: int, count: int, only: str = "") -> None:
    """Print the table."""
    for attack in ALL:
        if only not in attack.name:
            continue
        cases = [case_of(attack, count, seed) for seed in range(firms)]
        looks = [attention(c.history).found for c in cases]
        kinds = sorted({a.kind for found in looks for a in found})
        named = np.mean(
            [all(name in {a.job for a in found} for name in attack.culprits) for found in looks]
        )
        print(
            f"\n== {attack.name} ({count} jobs): attention {kinds}"
            + (f", culprit named {named:.0%}" if attack.culprits else ""),
            flush=True,
        )
        for question in QUESTIONS:
            try:
                cells = [ask(c, question) for c in cases]
            except Exception as error:
                print(f"   {question:9s} FAILED {type(error).__name__} {error}")
                continue
            inside, of = sum(c.inside for c in cells), sum(c.of for c in cells)
            widths = [c.width for c in cells if c.width is not None]
            none = np.mean([not c.answer.known or c.width is None for c in cells])
            wrong = np.mean([bool(c.wrong) for c in cells])
            share = f"{100 * inside / of:5.0f}" if of else "    -"
            width = f"{np.median(widths):6.2f}" if widths else "     -"
            print(
                f"   {question:9s} held {share} width {width} none {100 * none:4.0f} wrong "
                f"{100 * wrong:4.0f} | {cells[0].answer.sentence[:230]}",
                flush=True,
            )


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 12,
        int(sys.argv[2]) if len(sys.argv) > 2 else 24,
        sys.argv[3] if len(sys.argv) > 3 else "",
    )
