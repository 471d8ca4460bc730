"""The command that cuts a shop's own days again: replay."""

from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stockroom.cli.app import How, bench, counted, day_typed, done, how_option
from stockroom.refusals import Unreadable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockroom.screens.lists import Cell
    from stockroom.services.insight.replay_shop import Relived
    from stockroom.settings.shop_settings import Settings

__all__ = ["register"]

DAYS = 365


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("replay", rich_help_panel="Weekly")(replay)


def replay(
    ctx: typer.Context,
    since: Annotated[
        str | None, typer.Option("--since", metavar="YYYY-MM-DD", help="The last year if left out.")
    ] = None,
    until: Annotated[
        str | None, typer.Option("--until", metavar="YYYY-MM-DD", help="Today if left out.")
    ] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    policy: Annotated[
        list[str] | None,
        typer.Option("--policy", metavar="NAME", help="A way of planning, or part of its name."),
    ] = None,
    ahead: Annotated[
        int, typer.Option("--ahead", metavar="DAYS", help="Look so many days ahead.")
    ] = 0,
    as_needed: Annotated[
        bool, typer.Option("--as-needed", help="Sticks come when they are needed, none waits.")
    ] = False,
    by: Annotated[str, typer.Option("--by", metavar="all|profile")] = "all",
    chart: Annotated[
        Path | None, typer.Option("--chart", metavar="FILE", help="Draw it to a new .svg or .png.")
    ] = None,
    how: How = "table",
) -> None:
    """Cut the shop's own days again in other ways, beside what really happened.

    The rails that were cut, the rack as it lay and the sticks as they came are read from the
    record; nothing is changed.

    [dim]Example: stockroom replay --since 2026-05-01 --policy hand --by profile[/dim]
    """
    from stockroom.screens.progress import working
    from stockroom.services.insight.replay_shop import last_days, policies_named, relive

    if by not in ("all", "profile"):
        raise Unreadable(by, "all or profile")
    how_option(how)
    shop = bench(ctx).open()
    first, last = last_days(shop, DAYS)
    first, last = day_typed(since) or first, day_typed(until) or last
    with working("cutting again") as tell:
        rows = relive(shop, policies_named(shop, policy or (), ahead), first, last, profile,
                      as_needed=as_needed, tell=tell)  # fmt: skip
    total = rows[-1].profile
    rows = [row for row in rows if by == "profile" or row.profile == total]
    show_relived(rows, shop.settings, how, named=by == "profile")
    say_relived(rows, f"{first} to {last}", total)
    if chart is not None:
        draw_relived([row for row in rows if row.profile == total], shop.settings, chart)


def show_relived(rows: "Sequence[Relived]", settings: "Settings", how: str, *, named: bool) -> None:
    """The figures of each way, a row each; for the eye under its profile's name."""
    from stockroom.screens.lists import Column, show_rows

    long = settings.length
    columns = [
        Column("profile", "profile", seen_by="script"), Column("way", "way", wraps=True),
        Column("frames", "frames", "right", seen_by="script"),
        Column("needed_um", "needed", "right", seen_by="script"),
        Column("bought_um", f"sticks, {settings.unit}", "right", long),
        Column("more_percent", "more, %", "right"), Column("net_percent", "net, %", "right"),
        Column("scrap_um", f"scrap, {settings.unit}", "right", long),
        Column("offcuts_mean", "offcuts", "right"),
        Column("offcuts_most", "most", "right", seen_by="script"),
        Column("oldest_days", "oldest", "right", seen_by="script"),
        Column("pieces_a_frame", "pieces", "right"),
        Column("late", "late", "right"), Column("uncut", "uncut", "right", seen_by="script"),
        Column("ms_a_plan", "ms a plan", "right", seen_by="script"),
    ]  # fmt: skip
    titled = named and how == "table"
    cells: list[list[Cell]] = []
    for number, row in enumerate(rows):
        if titled and (number == 0 or row.profile != rows[number - 1].profile):
            cells.append([None, row.profile, *[None] * (len(columns) - 2)])
        cells.append(figures_of(row))
    show_rows(columns, cells, how)


def figures_of(row: "Relived") -> "list[Cell]":
    """The cells of one way."""
    found = row.found
    return [
        row.profile, row.way, found.frames, found.needed, found.bought,
        Decimal(f"{found.gross:.1f}"), Decimal(f"{found.net:.1f}"), found.scrap,
        Decimal(f"{found.offcuts:.1f}"), found.most, found.oldest, Decimal(f"{found.fetched:.2f}"),
        row.late + row.uncut, row.uncut, Decimal(f"{1000 * found.seconds:.1f}"),
    ]  # fmt: skip


def say_relived(rows: "Sequence[Relived]", span: str, total: str) -> None:
    """What the columns mean, and what the ways have in common."""
    frames = next(row.found.frames for row in rows if row.profile == total)
    done(
        f"{span}: {counted(frames, 'frame')} cut again with these days' rack and sticks.\n"
        "sticks: what was opened, end trims aside; more: above rails and cut allowances;\n"
        "net: less what the rack's offcuts gained; offcuts: mean of a profile; pieces:\n"
        "handled for a frame; late: frames cut after their due day, or not at all.\n"
        "Miscuts, flaws found at the saw and write-offs happened to the shop alone."
    )


def draw_relived(rows: "Sequence[Relived]", settings: "Settings", chart: Path) -> None:
    """Draws the sticks opened in each way."""
    from stockroom.cli.numbering import axis_unit
    from stockroom.cli.picturing import save_picture
    from stockroom.paper.chart import Bar, bar_chart

    unit, scale = axis_unit(settings)
    bars = [Bar(row.way, (row.found.bought / scale,), settings.length_with_unit(row.found.bought))
            for row in rows]  # fmt: skip
    save_picture(bar_chart("Sticks opened, by way of planning", bars, unit), chart)
