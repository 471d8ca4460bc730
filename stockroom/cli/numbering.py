"""Commands for the shop's numbers: numbers waste, numbers rack."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stockroom.cli.app import How, bench, day_typed, done, how_option
from stockroom.cli.picturing import save_picture
from stockroom.errors import Unreadable

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from fractions import Fraction

    from stockroom.numbers import By, Use
    from stockroom.screens.records import Cell, Column
    from stockroom.settings import Settings

__all__ = ["register"]

Chart = Annotated[
    Path | None, typer.Option("--chart", metavar="FILE", help="Draw it to a new .svg or .png.")
]
BAR = 14


def register(app: typer.Typer) -> None:
    """Puts these commands into the program."""
    numbers = typer.Typer(no_args_is_help=True, help="What was wasted, and what lies on the rack.")
    numbers.command("waste")(waste)
    numbers.command("rack")(rack)
    app.add_typer(numbers, name="numbers", rich_help_panel="Weekly")


def waste(
    ctx: typer.Context,
    by: Annotated[str, typer.Option("--by", metavar="profile|supplier|week|cause")] = "profile",
    since: Annotated[str | None, typer.Option("--since", metavar="YYYY-MM-DD")] = None,
    until: Annotated[str | None, typer.Option("--until", metavar="YYYY-MM-DD")] = None,
    chart: Chart = None,
    how: How = "table",
) -> None:
    """Show what became of the moulding that was cut: rails, saw, scrap; the worst first.

    [dim]Example: stockroom numbers waste --by cause --since 2026-11-01[/dim]
    """
    from stockroom.screens.records import show_rows
    from stockroom.services.numbering import waste_numbers

    named: dict[str, By] = {"profile": "profile", "supplier": "supplier", "week": "week",
                            "cause": "cause"}  # fmt: skip
    if by not in named:
        raise Unreadable(by, "profile, supplier, week or cause")
    shop = bench(ctx).open()
    rows = waste_numbers(shop, named[by], day_typed(since), day_typed(until))
    if by == "cause":
        columns, cells = lost_table(rows, shop.settings)
    else:
        columns, cells = waste_table(by, rows, shop.settings)
    show_rows(columns, cells, how_option(how))
    if not rows:
        done("Nothing was cut in that time.", "stockroom plan")
    if chart is not None:
        draw_waste(by, rows, shop.settings, chart)


def waste_table(
    by: str, rows: "Sequence[Use]", settings: "Settings"
) -> "tuple[list[Column], list[list[Cell]]]":
    """What became of the moulding, and the share that was lost."""
    from stockroom.screens.records import Column

    most = max((use.waste for use in rows), default=0)
    columns = [
        Column(by, by), length_column("rails_um", "rails", settings),
        length_column("saw_um", "saw", settings), length_column("scrap_um", "scrap", settings),
        Column("lost_minor", "lost", "right", shown(settings)),
        Column("waste_percent", "waste, %", "right"), Column("bar", "", seen_by="eye"),
    ]  # fmt: skip
    return columns, [[use.name, use.rails, use.saw, use.scrap, use.lost, percent(use),
                      bar(use.waste, most)] for use in rows]  # fmt: skip


def lost_table(
    rows: "Sequence[Use]", settings: "Settings"
) -> "tuple[list[Column], list[list[Cell]]]":
    """What was lost, by cause."""
    from stockroom.screens.records import Column

    most = max((use.taken for use in rows), default=0)
    columns = [
        Column("cause", "cause", wraps=True), length_column("length_um", "length", settings),
        Column("lost_minor", "lost", "right", shown(settings)), Column("bar", "", seen_by="eye"),
    ]  # fmt: skip
    return columns, [[use.name, use.taken, use.lost, bar(use.taken, most)] for use in rows]


def draw_waste(by: str, rows: "Sequence[Use]", settings: "Settings", chart: Path) -> None:
    """Draws waste to a file: as a share of what was cut, or by cause as length."""
    from stockroom.paper.chart import bar_chart

    if by == "cause":
        said = [(use.name, float(use.taken), settings.length_with_unit(use.taken)) for use in rows]
        save_picture(bar_chart("Waste by cause", said), chart)
    else:
        said = [(use.name, float(use.waste), f"{percent(use)} %") for use in rows]
        save_picture(bar_chart(f"Waste by {by}, as a share of what was cut", said), chart)


def percent(use: "Use") -> str:
    """The share that was lost, per cent."""
    return f"{float(100 * use.waste):.1f}"


def rack(
    ctx: typer.Context,
    by: Annotated[str, typer.Option("--by", metavar="age|profile")] = "age",
    chart: Chart = None,
    how: How = "table",
) -> None:
    """Show what lies on the rack, in length and money: the oldest first, or the most money.

    [dim]Example: stockroom numbers rack --by profile --chart rack.svg[/dim]
    """
    from stockroom.screens.records import Column, show_rows
    from stockroom.services.numbering import rack_numbers

    if by not in ("age", "profile"):
        raise Unreadable(by, "age or profile")
    shop = bench(ctx).open()
    rows = rack_numbers(shop, by)
    most = max((row.length for row in rows), default=0)
    columns = [
        Column(by, by), Column("sticks", "sticks", "right"),
        Column("offcuts", "offcuts", "right"),
        length_column("length_um", "length", shop.settings),
        Column("money_minor", "to buy", "right", shown(shop.settings)),
        Column("oldest_days", "days", "right"), Column("bar", "", seen_by="eye"),
    ]  # fmt: skip
    cells = [(row.name, row.sticks, row.offcuts, row.length, row.money, row.oldest,
              bar(row.length, most)) for row in rows]  # fmt: skip
    show_rows(columns, cells, how_option(how))
    if not rows:
        done("The rack is empty.", "stockroom receive")
    if chart is not None:
        from stockroom.paper.chart import bar_chart

        said = [(row.name, float(row.length), shop.settings.length_with_unit(row.length))
                for row in rows]  # fmt: skip
        save_picture(bar_chart(f"Length on the rack by {by}", said), chart)


def length_column(name: str, heading: str, settings: "Settings") -> "Column":
    """A column of lengths in the shop's unit."""
    from stockroom.screens.records import Column

    return Column(name, f"{heading}, {settings.unit}", "right", settings.length)


def shown(settings: "Settings") -> "Callable[[int], str]":
    """How money is shown."""
    from stockroom.money import format_money

    return lambda minor: format_money(minor, settings.currency)


def bar(value: "Fraction | int", most: "Fraction | int") -> str:
    """A bar of blocks, the largest as long as there is room."""
    return "█" * round(BAR * value / most) if most > 0 and value > 0 else ""
