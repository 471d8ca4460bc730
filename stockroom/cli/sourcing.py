"""Commands about where a job's moulding comes from: ways, supplied, moulding-price."""

from typing import Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option, say
from stockroom.screens.lists import Column, show_rows
from stockroom.screens.progress import working
from stockroom.services.saw.supplied import supplied as note
from stockroom.services.weekly.job_cost import price_job, ways_for
from stockroom.units.money import format_money

Number = Annotated[str, typer.Argument(metavar="JOB", help="The job's number, such as J12.")]


def ways(ctx: typer.Context, number: Number, how: How = "table") -> None:
    """Compare a stick, rails cut to size, and a stick shared with other jobs.

    [dim]Example: stockroom ways J12[/dim]
    """
    shop = bench(ctx).open()
    with working("reckoning the ways"):
        found = ways_for(shop, number)

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("way", "way"), Column("paid_minor", "to pay", "right", money),
        Column("worth_left_minor", "worth of what is left", "right", money),
        Column("cost_minor", "really costs", "right", money),
    ]  # fmt: skip
    rows = [(way.name, way.paid, way.worth_left, way.cost) for way in found]
    show_rows(columns, rows, how_option(how))
    best, *others = found
    saved = f", {money(others[0].cost - best.cost)} below the next" if others else ""
    done(f"Best: {best.name}{saved}.")


def supplied(
    ctx: typer.Context,
    number: Number,
    batch: Annotated[str, typer.Argument(help="The batch on the supplier's bundle.")],
) -> None:
    """Note that the rails a job waits for have come from the supplier, cut to size.

    [dim]Example: stockroom supplied J12 B7[/dim]
    """
    rails = note(bench(ctx).open(), number, batch)
    done(f"{counted(rails, 'rail')} came cut to size: the job has all its rails.",
         "stockroom ticket JOB, or stockroom order")  # fmt: skip


def moulding_price(
    ctx: typer.Context,
    number: Number,
    percent: Annotated[
        int, typer.Option("--percent", min=0, max=1000, help="What the rule of thumb adds.")
    ] = 20,
) -> None:
    """Say what a job's moulding really costs, beside length times price plus a percentage.

    [dim]Example: stockroom moulding-price J12 --percent 25[/dim]
    """
    shop = bench(ctx).open()
    price = price_job(shop, number, percent)
    show, mark = shop.settings.length_with_unit, shop.settings.currency
    typer.echo(f"Rails {show(price.rails)}, lost at the saw {show(price.saw)}.")
    typer.echo(f"Really costs {format_money(price.cost, mark)}: new sticks, less the worth of "
               "what is left.")  # fmt: skip
    typer.echo(f"Rule of thumb: {format_money(price.rule, mark)} (length times price, and "
               f"{percent} %).")  # fmt: skip
    if price.gain < 0:
        say(f"By the rule this job loses {format_money(-price.gain, mark)} on its moulding.")
