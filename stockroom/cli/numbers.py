"""Commands for the shop's numbers: numbers waste, numbers rack."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import How, bench, day_typed, done, how_option, say
from stockroom.cli.making.picturing import save_picture
from stockroom.cli.next_steps import cut_step, rack_step
from stockroom.cli.remedies import words
from stockroom.insight.waste import Aged, By, MouldingUse
from stockroom.paper.chart import Bar, bar_chart
from stockroom.paper.drawing import Drawing
from stockroom.refusals import Unreadable
from stockroom.screens.lists import Cell, Column, show_rows
from stockroom.services.insight.shop_numbers import rack_numbers, waste_numbers
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres
from stockroom.units.money import format_money
from stockroom.words.language import word

Chart = Annotated[
    Path | None, typer.Option("--chart", metavar="FILE", help="Draw it to a new .svg or .png.")
]
BAR = 14
PARTS = ("cutting loss", "scrap")


numbers = typer.Typer(
    no_args_is_help=True, add_completion=False, help="What was wasted, and what lies on the rack."
)


@numbers.command()
def waste(
    ctx: typer.Context,
    by: Annotated[str, typer.Option("--by", metavar="profile|supplier|week|cause")] = "profile",
    since: Annotated[str | None, typer.Option("--since", metavar="DAY")] = None,
    until: Annotated[str | None, typer.Option("--until", metavar="DAY")] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    cause: Annotated[
        str | None, typer.Option("--cause", help="What one cause took, such as miscut.")
    ] = None,
    chart: Chart = None,
    how: How = "table",
) -> None:
    """Show what became of the moulding that was cut: rails, cutting loss, scrap; the worst first.

    [dim]Example: stockroom numbers waste --by cause --since 2026-11-01[/dim]
    """
    named: dict[str, By] = {"profile": "profile", "supplier": "supplier", "week": "week",
                            "cause": "cause"}  # fmt: skip
    if by not in named:
        raise Unreadable(by, "of_choices", choices=tuple(named))
    shop = bench(ctx).open()
    first, last = day_typed(shop, since, past=True), day_typed(shop, until, past=True)
    rows = waste_numbers(shop, named[by], first, last, profile=profile, cause=cause)
    alone = by == "cause" or cause is not None
    columns, cells = (lost_table if alone else waste_table)(by, rows, shop.settings)
    show_rows(columns, cells, how_option(how))
    if not rows:
        done("Nothing was cut in that time.", cut_step(shop))
    say_unpriced(sum(use.unpriced for use in rows), how)
    if chart is not None:
        title = (word("Lost to {cause}, by {by}", cause=cause.strip().lower(), by=by) if cause
                 else word("Waste by {by}", by=by))  # fmt: skip
        title += f", {profile.strip().upper()}" if profile else ""
        span = word("{first} to {last}", first=first or word("from the first day"),
                    last=last or shop.hand.day)  # fmt: skip
        drawn = waste_chart(title, span, rows, shop.settings, shares=not alone, weeks=by == "week")
        save_picture(drawn, chart)


def waste_table(
    by: str, rows: Sequence[MouldingUse], settings: Settings
) -> tuple[list[Column], list[list[Cell]]]:
    """What became of the moulding, and the share that was lost."""
    most = max((use.waste for use in rows), default=0)
    columns = [
        Column(by, by), length_column("rails_um", "rails", settings),
        length_column("saw_um", "cutting loss", settings),
        length_column("scrap_um", "scrap", settings),
        *money_columns("lost", "lost"),
        Column("yield_percent", "yield, %", "right", seen_by="script"),
        Column("waste_percent", "waste, %", "right"),
        Column("bar", "cutting loss ▒ scrap █", seen_by="eye", spare=True),
    ]  # fmt: skip
    return columns, [
        [use.name, use.rails, use.saw, use.scrap, *money_cells(use.lost, use.unpriced, settings),
         100 - percent(use), percent(use), waste_bar(use, most)]
        for use in rows
    ]  # fmt: skip


def waste_bar(use: MouldingUse, most: Fraction | int) -> str:
    """The share that was lost as a bar: what cutting took, then what is scrap."""
    whole = bar(use.waste, most)
    saw = round(len(whole) * use.saw / max(1, use.saw + use.scrap))
    return "▒" * saw + whole[saw:]


def lost_table(
    by: str, rows: Sequence[MouldingUse], settings: Settings
) -> tuple[list[Column], list[list[Cell]]]:
    """What was lost, by its cause or to one cause."""
    most = max((lost_length(use) for use in rows), default=0)
    columns = [
        Column(by, by, show=word if by == "cause" else None),
        length_column("length_um", "length", settings),
        *money_columns("lost", "lost"), Column("bar", "", seen_by="eye", spare=True),
    ]  # fmt: skip
    return columns, [
        [use.name, lost_length(use), *money_cells(use.lost, use.unpriced, settings),
         bar(lost_length(use), most)] for use in rows
    ]  # fmt: skip


def lost_length(use: MouldingUse) -> int:
    """What cutting and scrap took, um."""
    return use.saw + use.scrap


def money_columns(name: str, heading: str) -> list[Column]:
    """Money for scripts in minor units, with the length that has no price; in words for the eye."""
    return [
        Column(f"{name}_minor", heading, "right", seen_by="script"),
        Column("unpriced_um", "unpriced", "right", seen_by="script"),
        Column(name, heading, "right", seen_by="eye"),
    ]


def money_cells(minor: int | None, unpriced: int, settings: Settings) -> list[Cell]:
    """The cells of money: blank where no price is known, with a + where one is missing."""
    said = None if minor is None else format_money(minor, settings.currency)
    return [minor, unpriced, f"{said} +" if said and unpriced else said]


def say_unpriced(length: Micrometres, how: str) -> None:
    """Says why an amount is blank or has a plus."""
    if length and how == "table":
        say("blank, or +: of some of it the price is not known; "
            "stockroom profile CODE --set price_per_stick=…")  # fmt: skip


def waste_chart(
    title: str,
    span: str,
    rows: Sequence[MouldingUse],
    settings: Settings,
    *,
    shares: bool,
    weeks: bool,
) -> Drawing:
    """Waste as a chart: as a share of what was cut, or as length; weeks one after another."""
    rows = sorted(rows, key=lambda use: use.name) if weeks else rows
    about = f"{settings.name}, {span}"
    if shares:
        bars = [
            Bar(use.name, tuple(100 * part / max(1, use.taken) for part in (use.saw, use.scrap)),
                f"{percent(use)} %") for use in rows
        ]  # fmt: skip
        return bar_chart(title, about, bars, "% of what was cut", PARTS, in_order=weeks,
                         font=settings.font)  # fmt: skip
    unit, scale = settings.measure.axis
    bars = [Bar(use.name, (lost_length(use) / scale,), with_money(lost_length(use), use.lost,
                                                                  settings))
            for use in rows]  # fmt: skip
    return bar_chart(title, about, bars, unit, in_order=weeks, font=settings.font)


def with_money(length: Micrometres, minor: int | None, settings: Settings) -> str:
    """A length in the axis' unit, and what it costs where that is known."""
    unit, scale = settings.measure.axis
    said = f"{length / scale:.1f} {unit}"
    return said if minor is None else f"{said}, {format_money(minor, settings.currency)}"


def percent(use: MouldingUse) -> Decimal:
    """The share that was lost, per cent."""
    return Decimal(f"{float(100 * use.waste):.1f}")


@numbers.command()
def rack(
    ctx: typer.Context,
    by: Annotated[str, typer.Option("--by", metavar="age|profile")] = "age",
    chart: Chart = None,
    how: How = "table",
) -> None:
    """Show what lies on the rack, in length and money: the oldest first, or the most money.

    [dim]Example: stockroom numbers rack --by profile --chart rack.svg[/dim]
    """
    if by not in ("age", "profile"):
        raise Unreadable(by, "of_choices", choices=("age", "profile"))
    shop = bench(ctx).open()
    rows = rack_numbers(shop, by)
    most = max((row.length for row in rows), default=0)
    columns = [
        Column(by, by), Column("sticks", "sticks", "right"),
        Column("offcuts", "offcuts", "right"),
        length_column("length_um", "length", shop.settings), *money_columns("money", "to buy"),
        Column("oldest_days", "days", "right"), Column("bar", "", seen_by="eye", spare=True),
    ]  # fmt: skip
    cells = [(words().word(row.name), row.sticks, row.offcuts, row.length,
              *money_cells(row.money, row.unpriced, shop.settings), row.oldest,
              bar(row.length, most)) for row in rows]  # fmt: skip
    show_rows(columns, cells, how_option(how))
    if not rows:
        done("The rack is empty.", rack_step(shop))
    say_unpriced(sum(row.unpriced for row in rows), how)
    if chart is not None:
        save_picture(rack_chart(by, rows, shop.settings, shop.hand.day), chart)


def rack_chart(by: str, rows: Sequence[Aged], settings: Settings, day: date) -> Drawing:
    """What lies on the rack as a chart of lengths; ages one after another."""
    unit, scale = settings.measure.axis
    bars = [
        Bar(words().word(row.name), (row.length / scale,),
            with_money(row.length, row.money, settings))
        for row in rows
    ]  # fmt: skip
    title = word("Length on the rack by {by}", by=word(by))
    return bar_chart(title, f"{settings.name}, {day}", bars, unit,
                     in_order=by == "age", font=settings.font)  # fmt: skip


def length_column(name: str, heading: str, settings: Settings) -> Column:
    """A column of lengths in the shop's unit."""
    return Column(name, f"{word(heading)}, {settings.unit}", "right", settings.length)


def bar(value: Fraction | int, most: Fraction | int) -> str:
    """A bar of blocks, the largest as long as there is room."""
    return "█" * round(BAR * value / most) if most > 0 and value > 0 else ""
