"""Commands for prices: moulding-price, quote, quotes, quote-again, take-quote."""

from typing import Annotated

import typer

from stockroom.cli.app import How, JobNumber, answer, bench, day_typed, done, how_option, say
from stockroom.cli.building.note_options import with_notes
from stockroom.cli.counter import (
    Allowance,
    Around,
    BenchDays,
    Customer,
    Depth,
    Due,
    Fillet,
    Gap,
    Height,
    Lengths,
    Match,
    MatOpt,
    OneBatch,
    OnePiece,
    Overlap,
    Profile,
    Proud,
    Quantity,
    SetWith,
    ShapeOpt,
    Takes,
    Title,
    Width,
    given,
    show_taken,
)
from stockroom.cli.next_steps import plan_step
from stockroom.refusals import Refused
from stockroom.screens.lists import Column, show_rows
from stockroom.services.counter.job_list import newest_job
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.shop import Shop
from stockroom.services.weekly import quotes as kept
from stockroom.services.weekly.job_cost import price_job
from stockroom.settings.shop_settings import Settings
from stockroom.units.money import format_money
from stockroom.words.language import word

Typed = Annotated[
    str | None, typer.Argument(metavar="QUOTE", help="Such as Q41; the newest if left out.")
]


def moulding_price(ctx: typer.Context, number: JobNumber = None) -> None:
    """Say what to ask for a job's moulding by the shop's rule, beside what it really costs.

    The rule is a setting: stockroom settings price_rule "waste 20 %; mark-up 150 %; by ft".

    [dim]Example: stockroom moulding-price J12[/dim]
    """
    shop = bench(ctx).open()
    number = number or newest_job(shop)
    price = price_job(shop, number)
    show, mark = shop.settings.length_with_unit, shop.settings.currency
    answer(word("{number}: rails {rails}, cutting loss {saw}.", number=number,
                rails=show(price.rails), saw=show(price.saw)))  # fmt: skip
    answer(word("Really costs {cost}: new sticks, less the worth of what is left.",
                cost=format_money(price.cost, mark)))  # fmt: skip
    how = shop.settings.price_rule or word("length times price")
    if price.quoted is not None:
        how = word("as quoted; by the rule it is {rule} now", rule=format_money(price.rule, mark))
    answer(
        word("To say at the counter: {said} ({how}).", said=format_money(price.said, mark), how=how)
    )
    say(earned(price.gain, shop.settings))


def earned(gain: int, settings: Settings) -> str:
    """What a job earns on its moulding at the price that is said."""
    does = word("earns") if gain >= 0 else word("loses")
    money = format_money(abs(gain), settings.currency)
    return word("At that price this job {does} {money} on its moulding.", does=does, money=money)


@with_notes
def quote(
    ctx: typer.Context,
    customer: Customer = None, title: Title = None, profile: Profile = None,
    width: Width = None, height: Height = None, depth: Depth = None, gap: Gap = None,
    allowance: Allowance = None, mat: MatOpt = None, overlap: Overlap = None, due: Due = None,
    quantity: Quantity = None, one_batch: OneBatch = None, one_piece: OnePiece = None,
    proud: Proud = None, bench_days: BenchDays = None,
    shape: ShapeOpt = None, lengths: Lengths = None, match: Match = None,
    around: Around = None, fillet: Fillet = None, set_with: SetWith = None, takes: Takes = None,
) -> None:  # fmt: skip
    """Price a job's moulding by the shop's rule and keep the quote; nothing is taken in.

    [dim]Example: stockroom quote --customer "R. Aldous" -p ASH-22 -w 16 --height 20 --due
    2026-12-04[/dim]
    """
    shop = bench(ctx).open()
    told = given(ctx.params)
    tell(shop, kept.quote(shop, job_told(told, shop)))


def quote_again(ctx: typer.Context, typed: Typed = None) -> None:
    """Price a quote again, as of today; the new one takes its place.

    [dim]Example: stockroom quote-again Q41[/dim]
    """
    shop = bench(ctx).open()
    tell(shop, kept.quote_again(shop, typed or newest(shop)))


def tell(shop: Shop, one: kept.Quote) -> None:
    """Says what was quoted."""
    mark = shop.settings.currency
    answer(word("Q{number}: {price} for the moulding, until {until:day}.", number=one.number,
                price=format_money(one.price, mark), until=one.until))  # fmt: skip
    say(word("It really costs {cost}. {earned}", cost=format_money(one.cost, mark),
             earned=earned(one.gain, shop.settings)))  # fmt: skip
    done("The quote is kept.", word("stockroom take-quote Q{number}, when it is ordered",
                                    number=one.number))  # fmt: skip


def quotes(
    ctx: typer.Context,
    every: Annotated[
        bool, typer.Option("--all", help="Those too that became jobs or were priced again.")
    ] = False,
    how: How = "table",
) -> None:
    """List the quotes that may become jobs, the newest first, and say which are stale.

    [dim]Example: stockroom quotes[/dim]
    """
    shop = bench(ctx).open()

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("quote", "quote"), Column("customer", "for", wraps=True),
        Column("profile", "profile"), Column("quantity", "frames", "right"),
        Column("price", "price", "right", money), Column("earns", "earns", "right", money),
        Column("until", "until"), Column("state", "state", show=word),
    ]  # fmt: skip
    show_rows(columns, [
        (f"Q{one.number}", ", ".join(filter(None, (one.job.customer, one.job.title))),
         one.mouldings, one.job.quantity, one.price, one.gain, one.until, state_of(one))
        for one in kept.quotes(shop, every=every)
    ], how_option(how))  # fmt: skip


def newest(shop: Shop) -> str:
    """The newest quote that may become a job.

    Raises:
        Refused: there is none.
    """
    found = kept.quotes(shop)
    if not found:
        raise Refused("there is no quote", "stockroom quote")
    return f"Q{found[0].number}"


def state_of(one: kept.Quote) -> str:
    """How a quote stands, with what it became."""
    if one.state == "taken":
        return word("job J{after}", after=one.after)
    return word("now Q{after}", after=one.after) if one.state == "quoted again" else one.state


def take_quote(ctx: typer.Context, typed: Typed = None, due: Due = None) -> None:
    """Take a quoted job in at the price that was said.

    [dim]Example: stockroom take-quote Q41 --due 2026-12-11[/dim]
    """
    shop = bench(ctx).open()
    typed = typed or newest(shop)
    taken = kept.take_quote(shop, typed, day_typed(shop, due))
    show_taken(taken, shop)
    done(word("Quote {typed} is job J{number}.", typed=typed.upper(), number=taken.number),
         plan_step(shop))  # fmt: skip
