"""The command that learns what leftovers are worth: worth."""

from typing import TYPE_CHECKING, Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option
from stockroom.refusals import Refused

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from planner.values import Curve
    from stockroom.screens.lists import Cell
    from stockroom.services.insight.learn_worth import LearntWorth
    from stockroom.services.shop import Shop

__all__ = ["register"]

ROWS, BAR = 16, 40


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("worth", rich_help_panel="Weekly")(worth)


def worth(
    ctx: typer.Context,
    profile: Annotated[
        str | None, typer.Argument(metavar="PROFILE", help="The profile's code.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every profile that was asked for.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", "-n", help="Show it; plans go on as they are.")
    ] = False,
    points: Annotated[
        bool, typer.Option("--points", help="Print it as points for python -m planner.")
    ] = False,
    how: How = "table",
) -> None:
    """Learn what a profile's leftovers are worth from its jobs; plans use it from now on.

    [dim]Example: stockroom worth ASH-22 --dry-run[/dim]
    """
    from stockroom.services.insight.learn_worth import asked_codes, learn

    how_option(how)
    shop = bench(ctx).open()
    if every == (profile is not None):
        raise Refused("say which profile, or --all, and not both", "stockroom worth ASH-22")
    codes = asked_codes(shop) if profile is None else [profile]
    learnt = [learn(shop, code, dry_run=dry_run or points) for code in codes]
    if points:
        named = {one.profile: points_in_mm(one.points) for one in learnt}
        print(as_json(named) if every else points_in_mm(learnt[0].points))
    elif every:
        show_all(shop, learnt, how)
    else:
        show_curve(shop, learnt[0], how)
        say_learnt(shop, learnt[0])


def points_in_mm(points: "Curve") -> str:
    """A curve as the planner's program reads it: [[length, worth], ...] in mm."""
    from decimal import Decimal

    pairs = (f"[{Decimal(x) / 1000}, {Decimal(w) / 1000}]" for x, w in points)
    return f"[{', '.join(pairs)}]"


def as_json(named: "Mapping[str, str]") -> str:
    """Curves by profile, as the planner's program takes them under "worth"."""
    return "{" + ",\n ".join(f'"{code}": {curve}' for code, curve in named.items()) + "}"


def show_all(shop: "Shop", learnt: "Sequence[LearntWorth]", how: str) -> None:
    """A row for each profile: the evidence, and what the last month would have taken."""
    from stockroom.screens.lists import Column, show_rows
    from stockroom.services.insight.learn_worth import month_replayed

    show = shop.settings.length
    columns = [
        Column("profile", "profile"), Column("frames", "frames", "right"),
        Column("share_percent", "weight, %", "right"),
        Column("opened_before_um", f"sticks, {shop.settings.unit}", "right", show),
        Column("opened_now_um", "now", "right", show),
        Column("scrap_before_um", f"scrap, {shop.settings.unit}", "right", show),
        Column("scrap_now_um", "now", "right", show),
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    for one in learnt:
        month = month_replayed(shop, one.profile, [one.before, one.points])
        told: list[Cell] = [None] * 4
        if month:
            told = [month[0].bought, month[1].bought, month[0].scrap, month[1].scrap]
        rows.append([one.profile, one.frames, round(100 * one.share), *told])
    show_rows(columns, rows, how)
    kept = sum(one.entry is not None for one in learnt)
    said = "sticks and scrap: the last 30 days cut again, before and now; blank where none was cut."
    if kept:
        done(f"{said}\nPlans use {counted(kept, 'learned worth')} from now on.",
             "stockroom replay, to see what that would have saved")  # fmt: skip
    else:
        done(said, "stockroom worth --all, to let plans use them" if learnt else "stockroom take")


def show_curve(shop: "Shop", learnt: "LearntWorth", how: str) -> None:
    """The curve as a list: length, worth, the default's; as a bar, the share of its length that a
    leftover is worth, and the default's share as a dot.
    """
    from planner.worth import default_worth, points_worth
    from stockroom.screens.lists import Column, show_rows

    keep, longest = learnt.points[0][0], learnt.points[-1][0]
    lengths = [keep + (longest - keep) * step // (ROWS - 1) for step in range(ROWS)]
    if how != "table":
        lengths = [length for length, _ in learnt.points]
    rows = []
    for length in lengths:
        ours, default = points_worth(length, keep, learnt.points), default_worth(length, keep)
        bar = list("─" * (BAR * ours // max(length, 1)) + " " * BAR)[: BAR + 1]
        bar[BAR * default // max(length, 1)] = "·"
        rows.append((length, ours, default, "".join(bar).rstrip()))
    show = shop.settings.length
    columns = [
        Column("length_um", f"length, {shop.settings.unit}", "right", show),
        Column("worth_um", "worth", "right", show),
        Column("default_um", "default", "right", show),
        Column("bar", "worth as a share of length ─, default ·", seen_by="eye", spare=True),
    ]
    show_rows(columns, rows, how)


def say_learnt(shop: "Shop", learnt: "LearntWorth") -> None:
    """What it was learned from, what it changes, and what follows."""
    from stockroom.services.insight.learn_worth import month_replayed

    month = month_replayed(shop, learnt.profile, [learnt.before, learnt.points])
    length = shop.settings.length_with_unit
    spell = f" of {learnt.first} to {learnt.last}" if learnt.first else ""
    said = (
        f"{learnt.profile}: learned from {counted(learnt.frames, 'frame')}{spell}; they\nweigh "
        f"{round(100 * learnt.share)} %, the default {100 - round(100 * learnt.share)} %."
    )
    if month:
        before, now = month
        said += (
            f"\nThe last 30 days cut again ({counted(now.frames, 'frame')}, from the rack as it "
            f"lay):\nsticks opened {length(before.bought)} before, {length(now.bought)} now; "
            f"scrap {length(before.scrap)} and {length(now.scrap)};\n"
            f"offcuts on the rack {before.offcuts:.1f} and {now.offcuts:.1f} on average."
        )
    else:
        said += "\nNothing of it was cut in the last 30 days."
    if learnt.entry is None:
        done(said, f"stockroom worth {learnt.profile}, to let plans use it")
    else:
        done(f"{said}\nPlans use it from now on.",
             f"stockroom undo {learnt.entry}, to go back to what was")  # fmt: skip
