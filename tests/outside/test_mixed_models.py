"""The pooled phase means beside a mixed model fitted by another library on the same records.

Reference: statsmodels' MixedLM, crossed random effects of phase and job by restricted maximum
likelihood. It knows one noise for all phases and no priors, so records are drawn that way and
plentiful enough for the priors to say little.
"""

import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM

from costlearn.models.pooling import pool

TRUTH = np.log([1.0, 1.05, 1.25, 0.9, 1.1, 1.0, 0.8, 1.3])


@pytest.mark.parametrize("seed", [1, 2])
def test_pooled_means_and_spreads_are_those_of_a_mixed_model(seed: int) -> None:
    rng = np.random.default_rng(seed)
    jobs = 30
    job = np.repeat(np.arange(jobs), len(TRUTH))
    phase = np.tile(np.arange(len(TRUTH)), jobs)
    y = TRUTH[phase] + rng.normal(0, 0.1, jobs)[job] + rng.normal(0, 0.2, len(job))
    table = pd.DataFrame({"y": y, "phase": phase, "job": job, "one": 1})
    parts = {"phase": "0 + C(phase)", "job": "0 + C(job)"}
    fitted = MixedLM.from_formula(
        "y ~ 1", groups="one", vc_formula=parts, re_formula="0", data=table
    ).fit()
    effects = fitted.random_effects[1]
    theirs = np.array(
        [fitted.fe_params.iloc[0] + effects[f"phase[C(phase)[{k}]]"] for k in range(len(TRUTH))]
    )
    found = pool(y, phase, job)
    ours = np.array([g.mean for g in found.groups])
    assert ours == pytest.approx(theirs, abs=0.008)
    spreads = dict(zip(fitted.model.exog_vc.names, np.sqrt(fitted.vcomp), strict=True))
    assert found.shared == pytest.approx(spreads["job"], abs=0.03)
    assert found.between == pytest.approx(spreads["phase"], abs=0.06)
    noise = np.array([g.noise for g in found.groups])
    assert np.sqrt(np.mean(noise**2)) == pytest.approx(np.sqrt(fitted.scale), abs=0.015)
