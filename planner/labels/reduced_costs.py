"""What a choice of columns loses of a budget, each part by itself, in whole numbers."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

__all__ = ["Losses"]

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Losses:
    """What choices lose of a budget at some prices: each column, each piece left, each extra.

    ``extra`` is what an extra gains: it loses what it gains where it is not at its most, and what
    it does not gain where it is used.
    """

    columns: Ints
    unused: Ints
    extra: Ints
    most: Ints
    budget: int

    def above(self, more: int) -> "Losses":
        """The losses for solutions that reach ``more`` (times the scale) than those."""
        return replace(self, budget=self.budget - more)

    def of_extras(self, values: Ints) -> Ints:
        """What choices of extras lose, one a row."""
        gain = np.maximum(0, self.extra)
        return np.asarray((self.most - values) @ gain + values @ (gain - self.extra))
