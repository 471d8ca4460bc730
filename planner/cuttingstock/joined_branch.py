"""A branch of the search for pairs: its bundles, and which of them all fills worth enough join.

Worths whose bound is the number of stocks asked leave a plan little to lose: a fill that is worth
less than the best by more than that is in no such plan. Where optimal worths are many, their mean
rules out all that any of them does; others are met by wanting a little more or less of each length.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.cuttingstock.bundles import BundleKind, Bundles
from planner.cuttingstock.column_generation import Proof, priced
from planner.cuttingstock.fills import completions
from planner.cuttingstock.master import Master
from planner.cuttingstock.partial_patterns import ListedParts
from planner.cuttingstock.values import Demand, Ints
from planner.stop import OutOfTime, Stop

__all__ = ["Branch", "Pair", "optimal"]

# How much more or less is wanted for other optimal worths.
MORE = 0.01
# Worths whose bound is lower by more than this are not optimal.
CLOSE = 1e-5


@dataclass(frozen=True, slots=True)
class Pair:
    """A piece and so many copies of another length: they are in its stock, or not."""

    piece: int
    other: int
    copies: int

    def kept(self, rows: Ints, wanted: Ints, together: bool) -> npt.NDArray[np.bool_]:
        """Parts of fills that a plan may use."""
        has, enough = rows[:, self.piece] > 0, rows[:, self.other] >= self.copies
        if not together:
            return np.asarray(~(has & enough))
        # So many copies are in the stock of the piece: another has at most the rest.
        few = rows[:, self.other] <= wanted[self.other] - self.copies
        return np.where(has, enough, few)


@dataclass(frozen=True, slots=True, eq=False)
class _Move:
    """Where kinds are after all bundles of one were joined to one of another: the last is both.

    A place below 0 is none.
    """

    one: int
    other: int
    places: Sequence[int]
    new: Demand

    def _change(self) -> Ints:
        change = np.zeros(len(self.places), np.int64)
        change[[self.one, self.other, -1]] = -1, -1, 1
        return change

    def rows(self, rows: Ints) -> Ints:
        """Those that have one of each or none of the first, by the new kinds."""
        rows = np.pad(rows, ((0, 0), (0, 1)))
        rows[(rows[:, self.one] > 0) & (rows[:, self.other] > 0)] += self._change()
        places = np.array(self.places)
        table = np.zeros((len(self.new.lengths), len(rows)), np.int64)
        np.add.at(table, places[places >= 0], rows[:, places >= 0].T)
        good = ~rows[:, places < 0].any(axis=1) & (table <= self.new.wanted[:, None]).all(axis=0)
        return np.asarray(table.T[good])

    def mean(self, worths: Ints, wanted: Ints) -> Ints:
        """The worths of the new kinds: of those that are one kind now, the mean, rounded down."""
        worths = np.append(worths, worths[self.one] + worths[self.other])
        counts = np.append(wanted, 0) + wanted[self.one] * self._change()
        places = np.array(self.places)
        kept, count = places >= 0, len(self.new.lengths)
        total = np.bincount(places[kept], counts[kept] * worths[kept], count)
        mean = total / np.bincount(places[kept], counts[kept], count)
        return np.floor(mean).astype(np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """Bundles, their parts and some fills that are left (a row each), the mean of so many optimal
    worths of each kind, and a worth that no fill exceeds.
    """

    bundles: Bundles
    parts: ListedParts
    fills: Ints
    worths: Ints
    best: int
    times: int = 0
    decided: tuple[int, ...] = ()

    @property
    def proof(self) -> Proof:
        """The bound of the mean worths."""
        return Proof(self.worths, self.best, int(self.worths @ self.bundles.demand.wanted))

    def learnt(self, master: Master, proofs: Sequence[Proof], stop: Stop) -> "Branch":
        """With the master's fills, and more optimal worths in the mean."""
        enough = max(float(proof.ratio) for proof in proofs) - CLOSE
        before = self.times if float(self.proof.ratio) >= enough else 0
        new = [proof.worths / proof.best for proof in proofs if float(proof.ratio) >= enough]
        times = before + len(new)
        mean = (self.worths / self.best * before + np.sum(new, axis=0)) / times
        proof = priced(master, mean, stop)[0]
        return replace(
            self, fills=master.patterns, worths=proof.worths, best=proof.best, times=times
        )

    def within(self, parts: ListedParts, stocks: int, stop: Stop) -> "Branch":
        """With those of some parts that a plan of so many stocks could use."""
        demand = self.bundles.demand
        share = Proof(demand.lengths, demand.capacity, demand.total)
        return replace(self, parts=parts.within([self.proof, share], stocks, stop))

    def _decided(self, pair: Pair) -> tuple[int, int]:
        kinds = self.bundles.kinds
        return kinds[pair.piece].length, kinds[pair.other].length

    def of(self, pair: Pair, together: bool) -> "Branch":
        """With what was decided about a pair whose kinds are listed."""
        kept = pair.kept(self.parts.rows, self.bundles.demand.wanted, together)
        return replace(self, parts=self.parts.of(kept), decided=self._decided(pair))

    def together(self, pair: Pair) -> "Branch | None":
        """With the copies joined to the piece; nothing if that can't be."""
        kinds = self.bundles.kinds
        made = replace(self, decided=self._decided(pair)), kinds[pair.piece]
        for _ in range(pair.copies):
            joined = made[0].joined(made[1], kinds[pair.other])
            if joined is None:
                return None
            made = joined
        return made[0]

    def joined(self, a: BundleKind, b: BundleKind) -> "tuple[Branch, BundleKind] | None":
        """Every bundle of one kind joined to one of another, and the new kind; nothing if that
        can't be.
        """
        old, parts = self.bundles, self.parts
        if not {a, b} <= old.copies.keys():
            return None
        one, other = old.kinds.index(a), old.kinds.index(b)
        listed = {one, other} & set(parts.listed.tolist())
        if listed:
            parts = parts.lifted(one).lifted(other)
        # No plain bundle is one with a listed one, of which something was decided.
        made = old.joined(a, b, [old.kinds[at] for at in parts.listed] if not listed else old.kinds)
        if made is None:
            return None
        new, both = made
        known = {kind: at for at, kind in enumerate(new.kinds)}
        move = _Move(one, other, [known.get(kind, -1) for kind in (*old.kinds, both)], new.demand)
        fills = move.rows(self.fills)
        left = [move.places[at] for at in parts.listed] + ([move.places[-1]] if listed else [])
        branch = replace(
            self,
            bundles=new,
            parts=ListedParts(
                new.demand,
                np.array([at for at in left if at >= 0], np.int64),
                move.rows(parts.rows),
            ),
            fills=fills[fills.any(axis=1)],
            worths=move.mean(self.worths, old.demand.wanted),
        )
        return branch, both

    def forced(self, stocks: int, stop: Stop) -> "Branch | None":
        """All joined that every fill worth enough has together; nothing if that can't be."""
        demand, kinds, proof = self.bundles.demand, self.bundles.kinds, self.proof
        least = proof.asked - (stocks - len(self.bundles.full) - 1) * proof.best
        fills = self.fills[self.fills @ proof.worths >= least]
        fills = fills[self.parts.has(fills)]
        branch: Branch | None = replace(self, fills=fills)
        done: set[int] = set()
        for a, b in _always(demand, fills):
            stop.check()
            if branch is None or not done.isdisjoint({a, b}):
                continue
            # Bundles as long may have come to the kind: of them nothing is shown.
            same = len(branch.bundles.copies[kinds[a]]) == demand.wanted[a]
            if same and _apart(demand, proof.worths, a, b) < least:
                done |= {a, b}
                joined = branch.joined(kinds[a], kinds[b])
                branch = joined[0] if joined else None
        return branch.forced(stocks, stop) if branch and done else branch


def optimal(master: Master, times: int, random: np.random.Generator, stop: Stop) -> list[Proof]:
    """So many optimal worths, of what is wanted and of a little more or less; fills are learnt.

    Raises:
        OutOfTime: the stop came first.
    """
    wanted = master.demand.wanted.astype(np.float64)
    found = []
    for turn in range(times):
        master.lean(wanted + MORE * random.uniform(-1, 1, len(wanted)) if turn else wanted)
        found.append(_optimum(master, stop))
    master.lean(wanted)
    return found


def _optimum(master: Master, stop: Stop) -> Proof:
    proofs = []
    while (point := master.solve(stop)) is not None:
        proof, fills = priced(master, point.duals, stop)
        proofs.append(proof)
        if not master.add(fills[fills @ point.duals > 1 + 1e-8]):
            return max(proofs, key=lambda proof: proof.ratio)
    raise OutOfTime


def _always(demand: Demand, fills: Ints) -> Iterable[tuple[int, int]]:
    """Kinds that no stock has two of, each with the others that all the fills with it have."""
    has = fills > 0
    for a in np.flatnonzero(demand.fits == 1).tolist():
        beside = has[has[:, a]]
        if len(beside):
            yield from ((a, b) for b in np.flatnonzero(beside.all(axis=0)).tolist() if b != a)


def _apart(demand: Demand, worths: Ints, a: int, b: int) -> int:
    """The most worth of a fill that has one of a kind and none of another."""
    room = demand.capacity - int(demand.lengths[a])
    rest = demand.lengths <= room
    rest[[a, b]] = False
    beside = Demand(room, demand.lengths[rest], demand.wanted[rest])
    return int(worths[a] + completions(beside, worths[rest])[0, -1])
