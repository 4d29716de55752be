"""What holds for all tests: one thread of linear algebra a process, and properties drawn alike.

Small fits are faster with one thread, and workers share cores. Properties draw the same cases at
each run and are never judged by the clock, so that a failure is the change's; other cases, by hand:
``pytest --hypothesis-profile=wide``.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

_untimed = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None)
settings.register_profile("steady", _untimed, derandomize=True)
settings.register_profile("wide", _untimed, max_examples=1_000)
settings.load_profile("steady")
