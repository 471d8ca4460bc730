"""Commands for the shop itself: setup, settings, where."""

from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import How, bench, done, how_option

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Puts these commands into the program."""
    panel = "Shop"
    app.command("setup", rich_help_panel=panel)(setup)
    app.command("settings", rich_help_panel=panel)(settings)
    app.command("where", rich_help_panel=panel)(where)
    app.command("demo", rich_help_panel=panel)(demo)


def setup(
    ctx: typer.Context,
    name: Annotated[str, typer.Option("--name", help="The shop's name.")] = "",
    unit: Annotated[str, typer.Option("--unit", metavar="in|mm", help="How it measures.")] = "in",
    chosen: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="SETTING=VALUE", help="Any setting; see: settings."),
    ] = None,
    starter: Annotated[
        bool, typer.Option("--starter", help="Fill the catalogue with invented mouldings.")
    ] = False,
) -> None:
    """Make a new shop's record.

    [dim]Example: stockroom setup --name "The Glue Pot" --unit in --set kerf="3.2 mm"[/dim]
    """
    from stockroom.services.shop import set_up

    here = bench(ctx)
    given = {"unit": unit, **({"name": name} if name else {}), **pairs(chosen)}
    shop = set_up(here.where, here.who, given, here.day)
    if starter:
        from stockroom.services.catalogue.load import load_starter

        load_starter(shop)
    done(f"A new shop is at {place(here.where)}.",
         "stockroom receive, or load what you have: stockroom load-rack FILE.csv")  # fmt: skip


def pairs(texts: list[str] | None) -> dict[str, str]:
    """Settings as typed, each SETTING=VALUE.

    Raises:
        Unreadable: one has no equals sign.
    """
    from stockroom.refusals import Unreadable

    found = {}
    for text in texts or ():
        name, sign, value = text.partition("=")
        if not sign:
            raise Unreadable(text, 'SETTING=VALUE, such as kerf="3.2 mm"')
        found[name.strip()] = value.strip()
    return found


def settings(
    ctx: typer.Context,
    name: Annotated[str | None, typer.Argument(help="The setting to change.")] = None,
    value: Annotated[str | None, typer.Argument(help="Its new value.")] = None,
    how: How = "table",
) -> None:
    """Show the shop's settings, or change one.

    [dim]Example: stockroom settings kerf "3.0 mm"[/dim]
    """
    from stockroom.screens.lists import Column, show_rows
    from stockroom.services.shop import change_setting
    from stockroom.settings.machines import machines_known
    from stockroom.settings.shop_settings import explained, spelt

    shop = bench(ctx).open()
    chosen = shop.settings
    if name is not None and value is not None:
        chosen = change_setting(shop, name, value)
    elif name is not None:
        from stockroom.refusals import Refused

        raise Refused(f"no value was given for {name}", f"stockroom settings {name} VALUE")
    rows = [(key, spelt(chosen, key), text) for key, text in explained().items()]
    columns = [
        Column("setting", "setting"),
        Column("value", "value", wraps=True),
        Column("meaning", "meaning", wraps=True),
    ]
    show_rows(columns, rows, how_option(how))
    if name == "machine":
        done(f"{chosen.machine} is in use, with the cutter, kerf and clean_up above; machines: "
             f"{', '.join(machines_known(chosen))}.",
             "stockroom settings kerf LENGTH, where these are not its own")  # fmt: skip


def where(ctx: typer.Context) -> None:
    """Say where the shop's record is.

    [dim]Example: stockroom where[/dim]
    """
    typer.echo(place(bench(ctx).where))


def place(shop: str) -> str:
    """Where a record is, without any password."""
    if "://" not in shop:
        return str(Path(shop).absolute())
    from stockroom.record.database import shown

    return shown(shop)


def demo(
    ctx: typer.Context,
    folder: Annotated[
        Path | None, typer.Option("--keep", help="Keep the workshop's record in this new folder.")
    ] = None,
) -> None:
    """Play a Monday in an invented workshop: plan, cut, order.

    [dim]Example: stockroom demo --keep my-demo[/dim]
    """
    from demo.monday import play

    play(folder)
