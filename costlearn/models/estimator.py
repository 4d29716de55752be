"""What scikit-learn asks of a regressor, without loading scikit-learn.

Its base classes take half a second to load, longer than any answer takes to work out; a command
that never cross-validates should not wait for them. The protocol is written down in scikit-learn's
developer guide ("Developing scikit-learn estimators"): parameters named in ``__init__`` are kept
under their names, and ``__sklearn_tags__`` says what kind of estimator it is.
"""

from __future__ import annotations

import inspect
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats


class Regressor:
    """Parameters and score of an estimator that predicts numbers; ``predict`` is the subclass's."""

    def predict(self, X: ArrayLike) -> Floats:
        """The middle of each row's prediction, shape (m,).

        Raises:
            NothingToSay: a subclass has not said how it predicts.
        """
        raise NothingToSay(f"{type(self).__name__} does not predict")

    @classmethod
    def _named(cls) -> list[str]:
        return [name for name in inspect.signature(cls.__init__).parameters if name != "self"]

    def get_params(self, deep: bool = True) -> dict[str, Any]:
        """The parameters it was made with, by name; ``deep`` changes nothing here."""
        return {name: getattr(self, name) for name in self._named()}

    def set_params(self, **values: Any) -> Self:
        """Change some parameters.

        Raises:
            NothingToSay: a name that is no parameter.
        """
        for name, value in values.items():
            if name not in self._named():
                raise NothingToSay(f"'{name}' is no parameter of {type(self).__name__}")
            setattr(self, name, value)
        return self

    def score(self, X: ArrayLike, y: ArrayLike) -> float:
        """Share of the variance of ``y`` that is foretold (R2)."""
        total = np.asarray(y, dtype=float)
        missed = float(np.sum((total - self.predict(X)) ** 2))
        return 1 - missed / float(np.sum((total - total.mean()) ** 2))

    def __repr__(self) -> str:
        """Its name and parameters."""
        said = ", ".join(f"{k}={v!r}" for k, v in self.get_params().items())
        return f"{type(self).__name__}({said})"

    def __sklearn_tags__(self) -> Any:
        """What scikit-learn wants to know before it cross-validates."""
        from sklearn.utils import RegressorTags, Tags, TargetTags

        return Tags(
            estimator_type="regressor",
            target_tags=TargetTags(required=True),
            regressor_tags=RegressorTags(),
        )
