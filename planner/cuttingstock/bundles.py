"""Pieces that are in one stock in every plan that is left, taken as one piece from then on."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from planner.cuttingstock.values import Demand, Ints

__all__ = ["BundleKind", "Bundles", "single"]

Members = tuple[int, ...]


class BundleKind(NamedTuple):
    """How long a bundle is; bundles as long that are not alike have other numbers."""

    length: int
    number: int = 0


@dataclass(frozen=True, eq=False)
class Bundles:
    """What each copy of a kind is made of, as rows of a demand; ``full`` ones fill a stock."""

    whole: Demand
    copies: Mapping[BundleKind, tuple[Members, ...]]
    full: tuple[Members, ...] = ()

    @cached_property
    def kinds(self) -> tuple[BundleKind, ...]:
        """From long to short."""
        return tuple(sorted(self.copies, key=lambda kind: (-kind.length, kind.number)))

    @cached_property
    def demand(self) -> Demand:
        """The kinds as lengths, with how many bundles of each there are."""
        return Demand(
            self.whole.capacity,
            np.array([kind.length for kind in self.kinds], np.int64),
            np.array([len(self.copies[kind]) for kind in self.kinds], np.int64),
        )

    def joined(
        self, a: BundleKind, b: BundleKind, others: Collection[BundleKind]
    ) -> "tuple[Bundles, BundleKind] | None":
        """Every bundle of a kind with one of another as one, of a new kind; nothing if it can't be.

        No stock may have two of the first. The new kind is none of some ``others``.
        """
        copies = dict(self.copies)
        ones, twos = copies.pop(a), copies.pop(b)
        length = a.length + b.length
        if len(twos) < len(ones) or length > self.whole.capacity:
            return None
        if left := twos[len(ones) :]:
            copies[b] = left
        made = tuple(one + two for one, two in zip(ones, twos, strict=False))
        kind = BundleKind(length)
        if length == self.whole.capacity:
            return Bundles(self.whole, copies, (*self.full, *made)), kind
        while kind in others:
            kind = BundleKind(length, kind.number + 1)
        copies[kind] = copies.get(kind, ()) + made
        return Bundles(self.whole, copies, self.full), kind

    def opened(self, stocks: Ints) -> Ints:
        """Rows of bundles as rows of what they are made of, with the full ones, a row a stock.

        Bundles beyond those that there are are left out.
        """
        rows = np.zeros((len(stocks) + len(self.full), len(self.whole.lengths)), np.int64)
        left = {kind: list(made) for kind, made in self.copies.items()}
        for row, stock in zip(rows, stocks.tolist(), strict=False):
            for kind, count in zip(self.kinds, stock, strict=True):
                for _ in range(min(count, len(left[kind]))):
                    np.add.at(row, list(left[kind].pop()), 1)
        for row, made in zip(rows[len(stocks) :], self.full, strict=True):
            np.add.at(row, list(made), 1)
        return rows


def single(demand: Demand) -> Bundles:
    """Every piece alone."""
    pairs = zip(demand.lengths.tolist(), demand.wanted.tolist(), strict=True)
    copies = {BundleKind(length): ((at,),) * wanted for at, (length, wanted) in enumerate(pairs)}
    return Bundles(demand, copies)
