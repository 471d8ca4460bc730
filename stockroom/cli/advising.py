"""Commands that advise on the rack: idle, readymade."""

from typing import Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Puts these commands into the program."""
    app.command("idle", rich_help_panel="Rack")(idle)
    app.command("readymade", rich_help_panel="Rack")(readymade)


def idle(ctx: typer.Context, how: How = "table") -> None:
    """List the offcuts that are not likely ever to be used, and why.

    [dim]Example: stockroom idle[/dim]
    """
    from stockroom.money import format_money
    from stockroom.screens.records import Column, show_rows
    from stockroom.services.advising import idle as not_used

    shop = bench(ctx).open()
    found = not_used(shop)

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("piece", "piece", "right"), Column("profile", "profile"), Column("batch", "batch"),
        Column("spot", "place"),
        Column("length_um", f"length, {shop.settings.unit}", "right", shop.settings.length),
        Column("days", "days", "right"), Column("price_minor", "price", "right", money),
        Column("why", "why", wraps=True),
    ]  # fmt: skip
    rows = [(o.number, o.profile, o.batch, o.spot, o.length, o.days, o.money, o.why)
            for o in found]  # fmt: skip
    show_rows(columns, rows, how_option(how))
    total = shop.settings.length_with_unit(sum(one.length for one in found))
    done(f"{counted(len(found), 'offcut')} to clear out, {total}, "
         f"{money(sum(one.money or 0 for one in found))} as bought.",
         "stockroom readymade, to see what could be made of the offcuts")  # fmt: skip


def readymade(
    ctx: typer.Context,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    take: Annotated[bool, typer.Option("--take", help="Take them in as jobs due today.")] = False,
    how: How = "table",
) -> None:
    """List the frames of standard sizes that the rack's offcuts yield today, no stick opened.

    [dim]Example: stockroom readymade --profile ASH-22 --take[/dim]
    """
    from stockroom.screens.records import Column, show_rows
    from stockroom.services.advising import ready_made, take_ready_made

    shop = bench(ctx).open()
    found = ready_made(shop, profile)
    columns = [
        Column("profile", "profile"), Column("batch", "batch"), Column("size", "size"),
        Column("across_um", f"rails, {shop.settings.unit}", "right", shop.settings.length),
        Column("upright_um", "and", "right", shop.settings.length),
        Column("pieces", "from pieces", wraps=True),
    ]  # fmt: skip
    rows = [(o.profile, o.batch, o.size.name, *o.rails, " ".join(map(str, o.pieces)))
            for o in found]  # fmt: skip
    show_rows(columns, rows, how_option(how))
    said = f"{counted(len(found), 'frame')} from offcuts alone, each from one batch."
    if take:
        jobs = take_ready_made(shop, found)
        done(f"{said} Taken in as {', '.join(f'J{number}' for number in jobs)}.",
             "stockroom plan, and accept it if it opens no stick")  # fmt: skip
    else:
        done(said, "stockroom readymade --take, to plan them" if found else "")
