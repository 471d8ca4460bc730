"""Two years of an invented shop under every policy: a table, a CSV and a picture.

Run it from the source: ``python -m demo.replay --folder out``.
"""

from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from statistics import fmean, pstdev
from typing import Annotated

import typer

from demo.replay_picture import Chart, charts
from planner.values import Curve
from stockroom.files.csv_rows import csv_text
from stockroom.paper.drawing import Drawing, png, svg
from stockroom.replay import (
    POLICIES,
    Figures,
    Policy,
    Run,
    ShopDemand,
    figures,
    invented_shop,
    least_bought,
    orders_of,
    pooled,
    replay,
)
from stockroom.replay.policies import batch_worth, learned, learned_together
from stockroom.worth.by_batch import BatchWorth
from stockroom.worth.by_fill import learn_worth
from stockroom.worth.by_waiting import learn_waiting
from stockroom.worth.choose_batch import given_up

__all__ = ["ReplayRow", "Tried", "curves_of", "main", "table"]

YEAR = 365
BEFORE = 1000
"""Added to a seed: the years before, from which worth is learned, are another draw of orders."""
FILLED, WAITED = "worth by the next frames", "worth by waiting"
BATCHED = "worth of the batch where matched, together, 10 days ahead"
LEAST_UM = 10_000
"""An offcut that adds less to its batch is thrown out."""
SLOW = ("fewest sticks, then scrap", "the planner's aims", "worth alone, weighed by the planner")
"""Those that ask the solver every day: for profiles of less than a frame a day."""


@dataclass(frozen=True, slots=True)
class Tried:
    """One profile, one policy, one seed: its run after the first year, and its bound."""

    kind: str
    policy: str
    seed: int
    found: Figures
    bound: float
    opened: tuple[int, ...]
    needed: tuple[int, ...]
    offcuts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ReplayRow:
    """A line of the table: a policy for one kind of profile, or for all, over the seeds."""

    kind: str
    policy: str
    gross: float
    spread: float
    bound: float
    figures: Figures


def try_all(
    demand: ShopDemand, seed: int, days: int, policies: Sequence[Policy] = POLICIES
) -> list[Tried]:
    """Every policy, and worth by learned curves, on one profile and seed."""
    orders = orders_of(demand, seed, days)
    last = [o.frame for o in orders if YEAR <= o.due < days]
    needed = sum(rail + demand.rules.cut_allowance for frame in last for rail in frame.rails)
    least = least_bought(last, demand.rules, demand.sticks)
    bound = 100 * (least / needed - 1) if needed else 0.0
    found = []
    for policy in (*policies, *own_policies(demand, seed)):
        if policy.name in SLOW and demand.pace > 1:
            continue
        run = replay(demand, orders, policy, seed, days)
        found.append(tried(run, bound))
    if not demand.matched:
        found.append(replace(found[-1], policy=BATCHED))
    return found


def own_policies(demand: ShopDemand, seed: int) -> list[Policy]:
    """Worth alone by the curves that two earlier years of this demand teach.

    Where frames come from one batch each, also by what batches are worth.
    """
    filled, waited = curves_of(demand, seed)
    return [
        Policy(f"{FILLED}, frame by frame", learned(filled)),
        Policy(f"{WAITED}, frame by frame", learned(waited)),
        Policy(f"{WAITED}, together, 10 days ahead", ahead=10, pick=learned_together(waited)),
        *([of_batches(demand, seed, waited)] if demand.matched else []),
    ]


def of_batches(demand: ShopDemand, seed: int, curves: dict[str, Curve]) -> Policy:
    """Batches by their worth together, which two earlier years teach; what adds little goes."""
    worth = BatchWorth(history(demand, seed), demand.rules, demand.sticks[1])
    return Policy(
        BATCHED, ahead=10, pick=batch_worth({demand.profile: worth}, curves),
        clear=partial(given_up, worth=worth, least=LEAST_UM),
    )  # fmt: skip


def history(demand: ShopDemand, seed: int) -> list[tuple[int, ...]]:
    """The rails of the frames of two years before the replay."""
    return [o.frame.rails for o in orders_of(demand, BEFORE + seed, 2 * YEAR)]


def curves_of(demand: ShopDemand, seed: int) -> tuple[dict[str, Curve], dict[str, Curve]]:
    """The curves of one profile learned from two years before the replay: by fill, by waiting."""
    frames = history(demand, seed)
    filled = learn_worth(frames, demand.rules, demand.sticks[1], whole=False, ahead=8)
    waited = learn_waiting(frames, demand.rules, demand.sticks[1])
    return {demand.profile: filled.points}, {demand.profile: waited.points}


def tried(run: Run, bound: float) -> Tried:
    """What is kept of a run for the table and the picture."""
    days = run.days[YEAR:]
    return Tried(
        run.demand.kind, run.policy, run.seed, figures(run, YEAR, len(run.days)), bound,
        tuple(day.opened - day.trims for day in days),
        tuple(day.rails + day.allowances for day in days),
        tuple(len(day.offcuts) for day in days),
    )  # fmt: skip


def table(found: Iterable[Tried]) -> list[ReplayRow]:
    """The lines: each kind of profile, then all together; policies in their order.

    A policy that ran for some kinds only has no line for all.
    """
    every = list(found)
    kinds = [*dict.fromkeys(one.kind for one in every), "all"]
    policies = list(dict.fromkeys(one.policy for one in every))
    ran = {(one.kind, one.policy) for one in every}
    everywhere = {name for name in policies if all((kind, name) in ran for kind in kinds[:-1])}
    return [entry(every, kind, policy) for kind in kinds for policy in policies
            if (kind, policy) in ran or (kind == "all" and policy in everywhere)]  # fmt: skip


def entry(every: Sequence[Tried], kind: str, policy: str) -> ReplayRow:
    """One line: pooled over profiles and seeds, and how the seeds spread."""
    here = [one for one in every if kind in ("all", one.kind) and one.policy == policy]
    seeds = sorted({one.seed for one in here})
    by_seed = [pooled([one.found for one in here if one.seed == seed]).gross for seed in seeds]
    needed = sum(one.found.needed for one in here)
    bound = sum(one.bound * one.found.needed for one in here) / needed if needed else 0.0
    return ReplayRow(kind, policy, fmean(by_seed), pstdev(by_seed), bound,
                 pooled([one.found for one in here]))  # fmt: skip


COLUMNS = ("kind", "policy", "bought %", "spread", "net %", "limit %", "scrap %", "offcuts",
           "most", "oldest", "pieces/frame", "ms/plan")  # fmt: skip


def cells(one: ReplayRow) -> list[str]:
    """A line as text."""
    found = one.figures
    return [
        one.kind, one.policy, f"{one.gross:.2f}", f"{one.spread:.2f}", f"{found.net:.2f}",
        f"{one.bound:.2f}", f"{found.scrapped:.2f}", f"{found.offcuts:.1f}", str(found.most),
        str(found.oldest), f"{found.fetched:.2f}", f"{1000 * found.seconds:.1f}",
    ]  # fmt: skip


def picture(every: Sequence[Tried]) -> Drawing:
    """The last year by policy: length bought above what was needed, and offcuts on the rack.

    Left out are those that ran for some kinds only, and a new stick for each frame, which would
    need another scale.
    """
    kinds = {one.kind for one in every}
    policies = [name for name in dict.fromkeys(one.policy for one in every)
                if name != POLICIES[0].name
                and {one.kind for one in every if one.policy == name} == kinds]  # fmt: skip
    return charts("A year replayed", [
        Chart("Bought above what the rails needed since the year began, mean of a profile", "m",
              {name: over_the_year(every, name) for name in policies}),
        Chart("Offcuts on the rack, mean of a profile and of 15 days", "pieces",
              {name: offcuts_a_profile(every, name) for name in policies}),
    ])  # fmt: skip


def over_the_year(every: Sequence[Tried], policy: str) -> list[float]:
    """Metres bought above what was needed since the year began, mean over profiles and seeds."""
    runs = [one for one in every if one.policy == policy]
    daily = [sum(values) / len(runs) / 1e6 for values in
             zip(*([a - b for a, b in zip(one.opened, one.needed, strict=True)] for one in runs),
                 strict=True)]  # fmt: skip
    total, found = 0.0, []
    for value in daily:
        total += value
        found.append(total)
    return found


def offcuts_a_profile(every: Sequence[Tried], policy: str) -> list[float]:
    """Offcuts on the rack, mean over profiles and seeds and the 15 days around each day."""
    runs = [one.offcuts for one in every if one.policy == policy]
    daily = [fmean(values) for values in zip(*runs, strict=True)]
    return [fmean(daily[max(0, day - 7) : day + 8]) for day in range(len(daily))]


def main(
    profiles: Annotated[int, typer.Option(min=1, help="Profiles of the invented shop.")] = 18,
    seeds: Annotated[int, typer.Option(min=1, help="Repeats, each with its own orders.")] = 3,
    years: Annotated[int, typer.Option(min=2, help="Years; the first is a warm-up.")] = 2,
    quick: Annotated[
        bool, typer.Option("--quick", help="Leave out all that ask the solver every day.")
    ] = False,
    folder: Annotated[Path | None, typer.Option(help="Where the CSV and the picture go.")] = None,
) -> None:
    """Replays every policy and shows what each bought."""
    policies = [p for p in POLICIES if not (quick and p.name in SLOW)]
    work = [(d, seed, years * YEAR, policies)
            for seed in range(1, seeds + 1) for d in invented_shop(seed, profiles)]  # fmt: skip
    with ProcessPoolExecutor() as pool:
        waiting = [pool.submit(try_all, *one) for one in work]
        every = [one for result in waiting for one in result.result()]
    rows = [cells(one) for one in table(every)]
    typer.echo("| " + " | ".join(COLUMNS) + " |\n|" + " --- |" * len(COLUMNS))
    for row in rows:
        typer.echo("| " + " | ".join(row) + " |")
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        named = [dict(zip(COLUMNS, row, strict=True)) for row in rows]
        (folder / "replay.csv").write_text(csv_text(COLUMNS, named), encoding="utf-8")
        drawing = picture(every)
        (folder / "replay.svg").write_bytes(svg(drawing))
        (folder / "replay.png").write_bytes(png(drawing))


if __name__ == "__main__":
    typer.run(main)
