"""The command that learns what leftovers are worth: worth."""

from typing import TYPE_CHECKING, Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option

if TYPE_CHECKING:
    from planner.values import Curve
    from stockroom.services.shop import Shop
    from stockroom.services.worths import LearntWorth

__all__ = ["register"]

ROWS, BAR = 16, 30


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("worth", rich_help_panel="Weekly")(worth)


def worth(
    ctx: typer.Context,
    profile: Annotated[str, typer.Argument(metavar="PROFILE", help="The profile's code.")],
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
    from stockroom.services.worths import learn

    how_option(how)
    shop = bench(ctx).open()
    learnt = learn(shop, profile, dry_run=dry_run or points)
    if points:
        print(points_in_mm(learnt.points))
        return
    show_curve(shop, learnt, how)
    say_learnt(shop, learnt)


def points_in_mm(points: "Curve") -> str:
    """A curve as the planner's program reads it: [[length, worth], ...] in mm."""
    from decimal import Decimal

    pairs = (f"[{Decimal(x) / 1000}, {Decimal(w) / 1000}]" for x, w in points)
    return f"[{', '.join(pairs)}]"


def show_curve(shop: "Shop", learnt: "LearntWorth", how: str) -> None:
    """The curve as a list: length, worth, the default's, and a bar with the default as a dot."""
    from planner.worth import default_worth, points_worth
    from stockroom.screens.records import Column, show_rows

    keep, longest = learnt.points[0][0], learnt.points[-1][0]
    lengths = [keep + (longest - keep) * step // (ROWS - 1) for step in range(ROWS)]
    if how != "table":
        lengths = [length for length, _ in learnt.points]
    rows = []
    for length in lengths:
        ours, default = points_worth(length, keep, learnt.points), default_worth(length, keep)
        bar = list("─" * round(BAR * ours / longest) + " " * BAR)[: BAR + 1]
        bar[round(BAR * default / longest)] = "·"
        rows.append((length, ours, default, "".join(bar).rstrip()))
    show = shop.settings.length
    columns = [
        Column("length_um", f"length, {shop.settings.unit}", "right", show),
        Column("worth_um", "worth", "right", show),
        Column("default_um", "default", "right", show),
        Column("bar", "worth ─, default ·", seen_by="eye"),
    ]
    show_rows(columns, rows, how)


def say_learnt(shop: "Shop", learnt: "LearntWorth") -> None:
    """What it was learned from, what it changes, and what follows."""
    from stockroom.services.worths import month_replayed

    before, now = month_replayed(shop, learnt.profile, [learnt.before, learnt.points])
    length = shop.settings.length_with_unit
    spell = f" due {learnt.first} to {learnt.last}" if learnt.first else ""
    said = (
        f"{learnt.profile}: learned from {counted(learnt.frames, 'frame')}{spell}; they weigh "
        f"{round(100 * learnt.share)} %, the default {100 - round(100 * learnt.share)} %."
    )
    if now.frames:
        said += (
            f"\nThe last 30 days cut again ({counted(now.frames, 'frame')}, from new sticks): "
            f"sticks opened {length(before.opened)} before, {length(now.opened)} now; "
            f"scrap {length(before.scrap)} and {length(now.scrap)}; "
            f"offcuts left {before.offcuts} and {now.offcuts}."
        )
    if learnt.entry is None:
        done(said, f"stockroom worth {learnt.profile}, to let plans use it")
    else:
        done(f"{said}\nPlans use it from now on.",
             f"stockroom undo {learnt.entry}, to go back to what was")  # fmt: skip
