"""The weekly command: order."""

from typing import Annotated

import typer

from stockroom.cli.app import How, bench, counted, day_typed, done, how_option

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("order", rich_help_panel="Weekly")(order)


def order(
    ctx: typer.Context,
    until: Annotated[
        str | None,
        typer.Option("--until", metavar="YYYY-MM-DD", help="Short by this day counts as urgent."),
    ] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    how: How = "table",
) -> None:
    """Say what to buy this week, by supplier, and why.

    [dim]Example: stockroom order --as csv > order.csv[/dim]
    """
    from stockroom.money import format_money
    from stockroom.screens.progress import working
    from stockroom.screens.records import Column, show_rows
    from stockroom.services.weekly import reorder

    shop = bench(ctx).open()
    with working("reckoning what the open jobs need"):
        lines = reorder(shop, day_typed(until), profile)

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("supplier", "from", wraps=True), Column("profile", "profile"),
        Column("sticks", "sticks", "right"),
        Column("stick_length_um", f"of, {shop.settings.unit}", "right", shop.settings.length),
        Column("price_minor", "price", "right", money), Column("why", "why", wraps=True),
    ]  # fmt: skip
    rows = [(o.supplier_name, o.profile, o.sticks, o.stick_length, o.price, o.why) for o in lines]
    show_rows(columns, rows, how_option(how))
    total = sum(o.price or 0 for o in lines)
    unpriced = sum(o.price is None for o in lines)
    more = f", and {unpriced} without a price" if unpriced else ""
    sticks = counted(sum(o.sticks for o in lines), "stick")
    done(f"{sticks} of {counted(len(lines), 'profile')}, {money(total)}{more}.",
         "stockroom receive PROFILE BATCH LENGTH..., when they come")  # fmt: skip
