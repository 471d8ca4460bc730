"""Commands that learn from the past: worth, replay."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Annotated

import typer

from planner.values import Curve
from planner.worth import default_worth, points_worth
from stockroom.cli.app import How, answer, bench, day_typed, done, how_option
from stockroom.cli.making.picturing import save_picture
from stockroom.paper.chart import Bar, bar_chart
from stockroom.paper.drawing import Drawing
from stockroom.refusals import Refused, Unreadable
from stockroom.screens.lists import Cell, Column, show_rows
from stockroom.screens.working import working
from stockroom.services.insight.learn_worth import LearntWorth, asked_codes, learn
from stockroom.services.insight.replay_shop import (
    Relived,
    last_days,
    month_replayed,
    policies_named,
    relive,
)
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.words.language import word

ROWS, BAR = 16, 40


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
    how_option(how)
    shop = bench(ctx).open()
    if every == (profile is not None):
        raise Refused("say which profile, or --all, and not both", "stockroom worth ASH-22")
    codes = asked_codes(shop) if profile is None else [profile]
    learnt = [learn(shop, code, dry_run=dry_run or points) for code in codes]
    if points:
        named = {one.profile: points_in_mm(one.points) for one in learnt}
        answer(as_json(named) if every else points_in_mm(learnt[0].points))
    elif every:
        show_all(shop, learnt, how)
    else:
        show_curve(shop, learnt[0], how)
        say_learnt(shop, learnt[0])


def points_in_mm(points: Curve) -> str:
    """A curve as the planner's program reads it: [[length, worth], ...] in mm."""
    pairs = (f"[{Decimal(x) / 1000}, {Decimal(w) / 1000}]" for x, w in points)
    return f"[{', '.join(pairs)}]"


def as_json(named: Mapping[str, str]) -> str:
    """Curves by profile, as the planner's program takes them under "worth"."""
    return "{" + ",\n ".join(f'"{code}": {curve}' for code, curve in named.items()) + "}"


def show_all(shop: Shop, learnt: Sequence[LearntWorth], how: str) -> None:
    """A row for each profile: the evidence, and what the last month would have taken."""
    show = shop.settings.length
    columns = [
        Column("profile", "profile"), Column("frames", "frames", "right"),
        Column("share_percent", "weight, %", "right"),
        Column("opened_before_um", word("sticks, {unit}", unit=shop.settings.unit), "right", show),
        Column("opened_now_um", "now", "right", show),
        Column("scrap_before_um", word("scrap, {unit}", unit=shop.settings.unit), "right", show),
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
        done(word("{said}\nPlans use {kept:learned worth} from now on.", said=said, kept=kept),
             "stockroom replay, to see what that would have saved")  # fmt: skip
    else:
        done(said, "stockroom worth --all, to let plans use them" if learnt else "stockroom take")


def show_curve(shop: Shop, learnt: LearntWorth, how: str) -> None:
    """The curve as a list: length, worth, the default's; as a bar, the share of its length that a
    leftover is worth, and the default's share as a dot.
    """
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
        Column("length_um", word("length, {unit}", unit=shop.settings.unit), "right", show),
        Column("worth_um", "worth", "right", show),
        Column("default_um", "default", "right", show),
        Column("bar", "worth as a share of length ─, default ·", seen_by="eye", spare=True),
    ]
    show_rows(columns, rows, how)


def say_learnt(shop: Shop, learnt: LearntWorth) -> None:
    """What it was learned from, what it changes, and what follows."""
    month = month_replayed(shop, learnt.profile, [learnt.before, learnt.points])
    length = shop.settings.length_with_unit
    spell = (
        word(" of {first} to {last}", first=learnt.first, last=learnt.last) if learnt.first else ""
    )
    said = word(
        "{profile}: learned from {frames:frame}{spell}; they\nweigh {it} %, the default {it_2} %.",
        profile=learnt.profile,
        frames=learnt.frames,
        spell=spell,
        it=round(100 * learnt.share),
        it_2=100 - round(100 * learnt.share),
    )
    if month:
        before, now = month
        said += word("\nThe last 30 days cut again ({frames:frame}, from the rack as it lay):\n"
                     "sticks opened {bought} before, {bought_2} now; scrap {scrap} and {scrap_2};\n"
                     "offcuts on the rack {offcuts:.1f} and {offcuts_2:.1f} on average.",
                     frames=now.frames, bought=length(before.bought), bought_2=length(now.bought),
                     scrap=length(before.scrap), scrap_2=length(now.scrap), offcuts=before.offcuts,
                     offcuts_2=now.offcuts)  # fmt: skip
    else:
        said += word("\nNothing of it was cut in the last 30 days.")
    if learnt.entry is None:
        done(said, word("stockroom worth {profile}, to let plans use it", profile=learnt.profile))
    else:
        done(word("{said}\nPlans use it from now on.", said=said),
             word("stockroom undo {entry}, to go back to what was",
                  entry=learnt.entry))  # fmt: skip


DAYS = 365


def replay(
    ctx: typer.Context,
    since: Annotated[
        str | None, typer.Option("--since", metavar="DAY", help="The last year if left out.")
    ] = None,
    until: Annotated[
        str | None, typer.Option("--until", metavar="DAY", help="Today if left out.")
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

    [dim]Example: stockroom replay --since 2026-05-01 --policy eye --by profile[/dim]
    """
    if by not in ("all", "profile"):
        raise Unreadable(by, "of_choices", choices=("all", "profile"))
    how_option(how)
    shop = bench(ctx).open()
    first, last = last_days(shop, DAYS)
    first = day_typed(shop, since, past=True) or first
    last = day_typed(shop, until, past=True) or last
    with working("cutting again") as tell:
        rows = relive(shop, policies_named(shop, policy or (), ahead), first, last, profile,
                      as_needed=as_needed, tell=tell)  # fmt: skip
    total = rows[-1].profile
    rows = [row for row in rows if by == "profile" or row.profile == total]
    show_relived(rows, shop.settings, how, named=by == "profile")
    say_relived(rows, word("{first} to {last}", first=first, last=last), total)
    if chart is not None:
        alike = [row for row in rows if row.profile == total]
        save_picture(relived_chart(alike, word("{first} to {last}", first=first, last=last),
                                   shop.settings), chart)  # fmt: skip


def show_relived(rows: Sequence[Relived], settings: Settings, how: str, *, named: bool) -> None:
    """The figures of each way, a row each; for the eye under its profile's name."""
    long = settings.length
    columns = [
        Column("profile", "profile", seen_by="script"), Column("way", "way", wraps=True),
        Column("frames", "frames", "right", seen_by="script"),
        Column("needed_um", "needed", "right", seen_by="script"),
        Column("bought_um", word("sticks, {unit}", unit=settings.unit), "right", long),
        Column("more_percent", "more, %", "right"), Column("net_percent", "net, %", "right"),
        Column("scrap_um", word("scrap, {unit}", unit=settings.unit), "right", long),
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


def figures_of(row: Relived) -> list[Cell]:
    """The cells of one way."""
    found = row.found
    return [
        row.profile, row.way, found.frames, found.needed, found.bought,
        Decimal(f"{found.gross:.1f}"), Decimal(f"{found.net:.1f}"), found.scrap,
        Decimal(f"{found.offcuts:.1f}"), found.most, found.oldest, Decimal(f"{found.fetched:.2f}"),
        row.late + row.uncut, row.uncut, Decimal(f"{1000 * found.seconds:.1f}"),
    ]  # fmt: skip


def say_relived(rows: Sequence[Relived], span: str, total: str) -> None:
    """What the columns mean, and what the ways have in common."""
    frames = next(row.found.frames for row in rows if row.profile == total)
    done(word("{span}: {frames:frame} cut again with these days' rack and sticks.\nsticks: what "
              "was opened, end trims aside; more: above rails and cut allowances;\nnet: less what "
              "the rack's offcuts gained; offcuts: mean of a profile; pieces:\nhandled for a "
              "frame; late: frames cut after their due day, or not at all.\nMiscuts, flaws found "
              "at the saw and write-offs happened to the shop alone.", span=span,
              frames=frames))  # fmt: skip


def relived_chart(rows: Sequence[Relived], span: str, settings: Settings) -> Drawing:
    """The sticks opened in each way as a chart."""
    unit, scale = settings.measure.axis
    bars = [Bar(row.way, (row.found.bought / scale,), f"{row.found.bought / scale:.1f} {unit}")
            for row in rows]  # fmt: skip
    return bar_chart("Sticks opened, by way of planning", f"{settings.name}, {span}", bars, unit,
                     font=settings.font)  # fmt: skip
