"""Commands for the week and its moulding: order, ways, supplied."""

import textwrap
from collections import Counter
from collections.abc import Sequence
from datetime import date
from typing import Annotated

import typer

from stockroom.cli.app import (
    How,
    JobNumber,
    bench,
    counted,
    day_typed,
    done,
    how_option,
    say,
)
from stockroom.cli.making.printing import Page, PrintTo, check_paper, print_list
from stockroom.cli.next_steps import cut_step, plan_step
from stockroom.cli.remedies import batch_said, words
from stockroom.facts import Fact
from stockroom.listings.listings import week_listing
from stockroom.screens.lists import Column, show_rows
from stockroom.screens.working import Telling, working
from stockroom.services.counter.job_list import newest_job
from stockroom.services.insight.dead_sticks import dead_said
from stockroom.services.morning.run_out import run_out
from stockroom.services.rack.typed_pieces import sticks_typed
from stockroom.services.saw.supplied import supplied as note
from stockroom.services.shop import Shop
from stockroom.services.weekly.budget import within
from stockroom.services.weekly.job_cost import ways_for
from stockroom.services.weekly.odds_kept import odds_kept
from stockroom.services.weekly.purchase_orders import Wanted, deliveries, draft_all
from stockroom.services.weekly.review import OrderLine, review_week, what_spare_buys
from stockroom.services.weekly.supplier_terms import filled, standing_notes, terms_of
from stockroom.units.money import format_money, parse_money
from stockroom.words.language import word


def order(
    ctx: typer.Context,
    until: Annotated[
        str | None,
        typer.Option("--until", metavar="DAY", help="What can't be cut by then counts as urgent."),
    ] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    draft: Annotated[
        bool, typer.Option("--draft", help="Draft an order to each supplier, of these lines.")
    ] = False,
    budget: Annotated[
        str | None, typer.Option("--budget", help="Spend no more than this; say what is left out.")
    ] = None,
    fill: Annotated[
        bool, typer.Option("--fill", help="Fill orders up to a supplier's terms where that pays.")
    ] = False,
    sticks_only: Annotated[
        bool, typer.Option("--sticks-only", help="Have nothing cut to size (chop) by the supplier.")
    ] = False,
    paper: PrintTo = None,
    page: Page = "",
    how: How = "table",
) -> None:
    """Say what to buy this week, by supplier, and why.

    [dim]Example: stockroom order --as csv > order.csv[/dim]
    """
    check_paper(paper, page)
    shop = bench(ctx).open()
    with working("reckoning what the open jobs need") as tell:
        lines, said, alone = week_lines(shop, day_typed(shop, until), profile, budget, fill,
                                        sticks_only, tell)  # fmt: skip
    show_week(shop, lines, how_option(how))
    for line in said:
        say(textwrap.fill(line, 80, subsequent_indent="  "))
    total = all_told(shop, lines)
    if paper is not None:
        print_list(
            shop,
            week_listing(
                lines, [*said, total], shop.settings, shop.hand.day.isoformat(), deliveries(shop)
            ),
            paper,
            page,
        )
    if draft:
        numbers = draft_each(shop, [line for line in lines if line.supplier not in alone])
        made = ", ".join(word("order {number}", number=number) for number in numbers) or "nothing"
        sent = word("{str}, when {numbers}", str=" ".join(map(str, numbers)), numbers=word("it is")
                    if len(numbers) == 1 else word("they are"))  # fmt: skip
        step = f"stockroom orders place {sent} sent" if numbers else ""
        left = (word(" Left alone, as advised: {alone}.", alone=", ".join(sorted(alone))) if alone
                else "")  # fmt: skip
        done(word("{total} Drafted: {made}.{left}", total=total, made=made, left=left), step)
    elif any(line.sticks for line in lines):
        done(total, "stockroom order --draft")
    else:
        done(total, cut_step(shop))


def week_lines(
    shop: Shop, until: date | None, profile: str | None, budget: str | None, fill: bool,
    sticks_only: bool, tell: Telling,
) -> tuple[list[OrderLine], list[str], set[str]]:  # fmt: skip
    """The week's lines, what is said of them, and the suppliers that are better left alone."""
    most = None if budget is None else parse_money(budget)
    review = review_week(shop, until, profile, sticks_only=sticks_only, on_progress=tell)
    lines, left = list(review.lines), whole_sentences(review.said)
    said = [*hasty_said(lines), *left]
    if most is not None:
        lines, left_out = within(lines, most)
        said += whole_sentences(left_out)
    if bought := what_spare_buys(lines):
        said = [*whole_sentences([bought]), *said]
    cut = [cut_said(shop, line) for line in lines if line.cut]
    cut += map(batch_said, run_out(shop, profile=profile.strip().upper() if profile else None))
    if profile is not None:
        said += [*cut, "One profile alone: its supplier's terms are not looked at."]
        return lines, said, set()
    terms = terms_of(shop, lines)
    if fill:
        lines = filled(shop, lines, terms)
        terms = terms_of(shop, lines)
    said += [f"{words().say(one.said)}{' (--fill adds it)' if one.fill else ''}." for one in terms]
    alone = {one.supplier for one in terms if one.leave}
    notes = [*standing_notes(shop), *odds_kept(shop), *dead_said(shop)]
    return lines, [*said, *cut, *whole_sentences(notes)], alone


def whole_sentences(facts: Sequence[Fact]) -> list[str]:
    """Each of these as a sentence of its own."""
    return [f"{words().say(fact)}." for fact in facts]


def hasty_said(lines: list[OrderLine]) -> list[str]:
    """Of which profiles the list was not reckoned to its end."""
    hasty = [line.profile for line in lines if line.hasty]
    return [word("Time ran out, so {hasty} may be a stick too many; for more time: stockroom "
                 "settings seconds NUMBER.", hasty=", ".join(hasty))] * bool(hasty)  # fmt: skip


def cut_said(shop: Shop, line: OrderLine) -> str:
    """What to order cut to size, and what to do then."""
    show = shop.settings.length_with_unit
    each = [word("J{job} {frame}", job=one.job,
                 frame=" and ".join(word("2 of {rail}", rail=show(rail)) for rail in frame[:2]))
            for one in line.cut for frame in one.frames]  # fmt: skip
    first = line.cut[0].job
    return (word("{profile} cut to size (chop) by {supplier_name}, long point: {each}. Until it "
                 "comes: stockroom hold J{first}; then: stockroom supplied J{first} BATCH.",
                 profile=line.profile, supplier_name=line.supplier_name, each=", ".join(each),
                 first=first))  # fmt: skip


def show_week(shop: Shop, lines: list[OrderLine], how: str) -> None:
    """The week's order on the screen, or for scripts."""

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("code", "from", seen_by="eye"), Column("supplier", "", seen_by="script"),
        Column("profile", "profile"), Column("sticks", "sticks", "right"),
        Column("stick_length_um", "", seen_by="script"),
        Column("price_minor", "price", "right", money), Column("why", "why", wraps=True),
    ]  # fmt: skip
    rows = [(o.supplier, o.supplier_name, o.profile, o.sticks, o.stick_length, o.price,
             words().whole_list(o.why))
            for o in lines]  # fmt: skip
    show_rows(columns, rows, how)


def all_told(shop: Shop, lines: list[OrderLine]) -> str:
    """How many sticks of how many profiles, and what they cost."""
    if not lines:
        return "Nothing needs to be ordered."
    total = format_money(sum(o.price or 0 for o in lines), shop.settings.currency)
    unpriced = sum(o.price is None for o in lines)
    more = word(", and {unpriced} without a price", unpriced=unpriced) if unpriced else ""
    sticks = counted(sum(o.sticks for o in lines), "stick")
    return word("{sticks} of {lines:profile}, {total}{more}.", sticks=sticks, lines=len(lines),
                total=total, more=more)  # fmt: skip


def draft_each(shop: Shop, lines: list[OrderLine]) -> list[int]:
    """Drafts an order to each supplier, all or none; gives their numbers."""
    wanted: dict[str, list[Wanted]] = {}
    for line in lines:
        if line.sticks:
            wanted.setdefault(line.supplier, []).append(line.wanted(words().whole_list(line.why)))
    return [order.number for order in draft_all(shop, wanted)] if wanted else []


Number = Annotated[str, typer.Argument(metavar="JOB", help="The job's number, such as J12.")]


def ways(ctx: typer.Context, number: JobNumber = None, how: How = "table") -> None:
    """Compare a stick, rails cut to size (chop), and a stick shared with other jobs.

    [dim]Example: stockroom ways J12[/dim]
    """
    shop = bench(ctx).open()
    with working("reckoning the ways"):
        found = ways_for(shop, number or newest_job(shop))

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("way", "way", show=word), Column("paid_minor", "to pay", "right", money),
        Column("worth_left_minor", "worth of what is left", "right", money),
        Column("cost_minor", "really costs", "right", money),
    ]  # fmt: skip
    rows = [(way.name, way.paid, way.worth_left, way.cost) for way in found]
    show_rows(columns, rows, how_option(how))
    best, *others = found
    saved = (
        word(", {cost} below the next", cost=money(others[0].cost - best.cost)) if others else ""
    )
    done(word("Best: {name}{saved}.", name=word(best.name), saved=saved))


def supplied(
    ctx: typer.Context,
    number: Number,
    batch: Annotated[
        str, typer.Argument(help="The batch on the box; where none is, the delivery is one.")
    ] = "",
    came: Annotated[
        list[str] | None,
        typer.Option("--came", metavar="2x LENGTH", help="Only these came that can be used."),
    ] = None,
    joined: Annotated[
        bool, typer.Option("--joined", help="The supplier joined the frames.")
    ] = False,
    why: Annotated[str, typer.Option("--why", help="Such as: one is dented.")] = "",
) -> None:
    """Note that the rails a job waits for have come from the supplier, cut to size (chop).

    [dim]Example: stockroom supplied J12 B7 --came "2x 17 1/2" --why "the others are dented"[/dim]
    """
    shop = bench(ctx).open()
    rails = None if came is None else Counter(
        um for text in came for um in sticks_typed(text, shop.settings))  # fmt: skip
    got = note(shop, number, batch, rails, joined=joined, why=why)
    say(word("{rails:rail} of batch {batch} came cut to size (chop).", rails=got.rails,
             batch=got.batch))  # fmt: skip
    if not got.awaited:
        done("The job has all its rails.", f"stockroom {'fitted' if joined else 'joined'} {number}")
        return
    show = shop.settings.length_with_unit
    awaited = [word("{many} of {um}", many=many, um=show(um)) for um, many in got.awaited.items()]
    say(word("Still to come: {items}.", items=", ".join(awaited)))
    pairs = ", ".join(
        word("{many:pair} of {um}", many=many, um=show(um)) for um, many in got.pairs.items()
    )
    done(word("To ask for, as chops are sold by the pair: {pairs}.", pairs=pairs), plan_step(shop))
