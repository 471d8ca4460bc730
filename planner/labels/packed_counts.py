"""Many small counts at once: each set of counts is a key and a few machine words, added as one.

A word holds a field for each item with a guard bit above it; the guard bits of a difference tell
whether any item went below nothing. A key is the same counts as one number in mixed radix.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

__all__ = ["Packed", "Packing"]

Ints = npt.NDArray[np.int64]
BITS = 62


@dataclass(frozen=True, slots=True)
class Packed:
    """Sets of counts: ``key[n]`` and ``words[:, n]``."""

    key: Ints
    words: Ints

    def __len__(self) -> int:
        return len(self.key)

    def __getitem__(self, which: npt.NDArray[np.generic]) -> "Packed":
        return Packed(self.key[which], self.words[:, which])

    def plus(self, other: "Packed") -> "Packed":
        """Sums, set by set."""
        return Packed(self.key + other.key, self.words + other.words)


@dataclass(frozen=True)
class Packing:
    """How counts of items up to ``most`` are packed."""

    most: tuple[int, ...]

    @cached_property
    def fits_a_key(self) -> bool:
        """Whether all sets of counts have keys of their own."""
        total = 1
        for most in self.most:
            total *= most + 1
        return total < 1 << BITS

    @cached_property
    def _fields(self) -> list[tuple[int, int, int, int]]:
        """(item, word, shift, radix) of the items that are counted at all."""
        found, word, shift, radix = [], 0, 0, 1
        for item, most in enumerate(self.most):
            if most:
                wide = most.bit_length() + 1
                if shift + wide > BITS:
                    word, shift = word + 1, 0
                found.append((item, word, shift, radix))
                shift, radix = shift + wide, radix * (most + 1)
        return found

    @cached_property
    def _count(self) -> int:
        return 1 + max((word for _, word, _, _ in self._fields), default=0)

    @cached_property
    def guards(self) -> Ints:
        """The guard bits of each word."""
        found = np.zeros((self._count, 1), np.int64)
        for item, word, shift, _ in self._fields:
            found[word] |= 1 << (shift + self.most[item].bit_length())
        return found

    @cached_property
    def full(self) -> Ints:
        """The words of the largest counts."""
        return self.packed(np.array([self.most], np.int64)).words

    def packed(self, table: Ints) -> Packed:
        """Pack sets of counts, one a row; none above ``most``. No keys where they do not fit."""
        key, words = np.zeros(len(table), np.int64), np.zeros((self._count, len(table)), np.int64)
        for item, word, shift, radix in self._fields:
            words[word] += table[:, item] << shift
            key += table[:, item] * (radix if self.fits_a_key else 0)
        return Packed(key, words)

    def within(self, words: Ints, most: Ints) -> npt.NDArray[np.bool_]:
        """Which sets of counts have no more of any item than ``most``."""
        left = (most | self.guards) - words
        return np.asarray(((left & self.guards) == self.guards).all(axis=0))
