"""The week: what to order and why, changed by hand, drafted, placed, and received as it comes."""

from collections.abc import Iterator
from dataclasses import dataclass

from starlette.responses import Response

from stockroom.listings.listings import order_letter, week_listing
from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.sent_body import number_typed
from stockroom.page.wording import words
from stockroom.paper.list_page import Listing, list_page
from stockroom.refusals import Refused, Unreadable
from stockroom.services.insight.dead_sticks import dead_said
from stockroom.services.morning.run_out import run_out
from stockroom.services.rack.likely_length import check_usual
from stockroom.services.rack.pieces import Arrival
from stockroom.services.rack.typed_pieces import several_typed, sticks_typed
from stockroom.services.weekly.left_lines import LeftLine
from stockroom.services.weekly.odds_kept import odds_kept
from stockroom.services.weekly.purchase_orders import (
    Advised,
    Wanted,
    cancel,
    change,
    deliveries,
    draft_all,
    order_row,
    order_rows,
    order_to_send,
    place,
)
from stockroom.services.weekly.receive_order import Bundle, check_not_come, receive_order
from stockroom.services.weekly.review import OrderLine, review_week, what_spare_buys
from stockroom.services.weekly.supplier_terms import standing_notes, terms_of
from stockroom.words.language import word

__all__ = ["ROUTES"]


@dataclass(frozen=True, slots=True)
class SupplyShown:
    """What the list asks of one supplier, and what its terms say of that."""

    code: str
    name: str
    lines: tuple[OrderLine, ...]
    price: int

    @property
    def sticks(self) -> int:
        """How many sticks that are."""
        return sum(line.sticks for line in self.lines)


def week(ask: Ask) -> Response:
    """The orders that stand, late ones first, and the list when it is asked for."""
    today = ask.shop.hand.day
    orders = sorted(order_rows(ask.shop), key=lambda order: (-order.late(today), order.number))
    return render(ask, "week.html", orders=orders, today=today, supplies=None, said=())


def reckoned(ask: Ask) -> Response:
    """The list with its reasons; its lines can be changed before they are drafted."""
    review = review_week(ask.shop)
    lines, today = list(review.lines), ask.shop.hand.day
    facts = [what_spare_buys(lines), *review.said,
             *(one.said for one in terms_of(ask.shop, lines)), *standing_notes(ask.shop),
             *odds_kept(ask.shop), *dead_said(ask.shop)]  # fmt: skip
    said = list(map(words(ask.shop.settings).say, filter(None, facts)))
    return render(ask, "week.html", orders=order_rows(ask.shop), today=today,
                  supplies=list(supplies(lines)), said=said, typed=typed(ask),
                  tied=run_out(ask.shop),
                  unpriced=sum(line.price is None for line in lines))  # fmt: skip


def list_paper(ask: Ask) -> Response:
    """The week's list to print: by supplier, with a box to change how many."""
    shop, review = ask.shop, review_week(ask.shop)
    facts = filter(None, (what_spare_buys(review.lines), *review.said))
    said = [f"{words(shop.settings).say(fact)}." for fact in facts]
    paper = week_listing(review.lines, said, shop.settings, shop.hand.day.isoformat(),
                         deliveries(shop))  # fmt: skip
    return printed(ask, paper, "week")


def printed(ask: Ask, listing: Listing, name: str) -> Response:
    """A list as a PDF that the browser shows and prints."""
    made = list_page(listing, ask.shop.hand.day, ask.shop.settings.page)
    named = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(made, media_type="application/pdf", headers=named)


def typed(ask: Ask) -> dict[str, str]:
    """How many sticks of each profile, and why, were typed in a list that was refused."""
    return {
        f"{name} {profile}": told
        for name in ("sticks", "because")
        for profile, told in zip(ask.many.get("profile", ()), ask.many.get(name, ()), strict=False)
    }


def supplies(lines: list[OrderLine]) -> Iterator[SupplyShown]:
    """The lines by supplier."""
    for code in sorted({line.supplier for line in lines}):
        mine = tuple(line for line in lines if line.supplier == code)
        yield SupplyShown(code, mine[0].supplier_name, mine, sum(line.price or 0 for line in mine))


def drafts(ask: Ask) -> Response:
    """An order is drafted to each supplier, of what the list now says, and what it says no stick of
    is left for the next: to all of them, or none."""
    wanted: dict[str, list[Wanted]] = {}
    left: list[LeftLine] = []
    told = ("profile", "supplier", "sticks", "why", "advised", "because")
    for profile, supplier, sticks, why, odds, because in lines_of(ask, *told):
        said = advised(odds)
        if count := sticks_wanted(sticks, profile):
            line = Wanted(profile, count, "; ".join(filter(None, (because, why))), said)
            wanted.setdefault(supplier, []).append(line)
        elif said and said.sticks:
            left.append(LeftLine(profile, said.sticks, because))
    if not (wanted or left):
        raise Refused("nothing is on this list", "say how many sticks of a moulding")
    draft_all(ask.shop, wanted, left)
    return go("/week")


def lines_of(ask: Ask, *names: str) -> list[tuple[str, ...]]:
    """The lines of a list that was sent, each with its fields of these names.

    Raises:
        Refused: a line lacks one of them.
    """
    columns = [ask.many.get(name, ()) for name in names]
    if len({len(column) for column in columns}) != 1:
        raise Refused("the list came in parts", "open the page again and send it once more")
    return list(zip(*columns, strict=True))


def advised(told: str) -> Advised | None:
    """What the list said of a line, as its form brings it back; nothing where it said nothing.

    Raises:
        Unreadable: the form brings something else.
    """
    if not told:
        return None
    try:
        sticks, short, days = told.split()
        return Advised(int(sticks), float(short), int(days))
    except ValueError:
        raise Unreadable(told, "what the list said of a line; reckon it again") from None


def sticks_wanted(typed: str, profile: str) -> int:
    """How many sticks of a profile, as typed; nothing is none.

    Raises:
        Unreadable: it is no count.
    """
    text = typed.strip() or "0"
    if not (text.isascii() and text.isdecimal() and len(text) < 5):
        raise Unreadable(word("{typed} for {profile}", typed=typed, profile=profile),
                         "a number of sticks such as 3")  # fmt: skip
    return int(text)


def order(ask: Ask) -> Response:
    """One order: its lines, what has come, what can be done with it."""
    found = order_row(ask.shop, str(ask.path["number"]))
    return render(ask, "order.html", order=found, late=found.late(ask.shop.hand.day), got=None)


def order_paper(ask: Ask) -> Response:
    """The order as a letter to print, fit to be sent."""
    shop = ask.shop
    letter = order_letter(*order_to_send(shop, number(ask)), shop.settings, shop.hand.day)
    return printed(ask, letter, f"order-{number(ask)}")


def order_change(ask: Ask) -> Response:
    """How many sticks an order asks for."""
    wanted = [
        Wanted(profile, sticks_wanted(sticks, profile))
        for profile, sticks in lines_of(ask, "profile", "sticks")
    ]
    change(ask.shop, number(ask), wanted, ask.form.get("why", ""))
    return go(f"/week/{number(ask)}")


def order_place(ask: Ask) -> Response:
    """The order was sent."""
    place(ask.shop, number(ask), ask.form.get("reference", ""))
    return go(f"/week/{number(ask)}")


def order_cancel(ask: Ask) -> Response:
    """What has not come of the order is given up."""
    cancel(ask.shop, number(ask), ask.form.get("why", ""))
    return go(f"/week/{number(ask)}")


def order_receive(ask: Ask) -> Response:
    """A bundle of the order came: on the rack it goes; what differs is said."""
    form, settings = ask.form, ask.shop.settings
    sticks = tuple(Arrival(um) for line in several_typed(form.get("lengths", ""))
                   for um in sticks_typed(line, settings))  # fmt: skip
    bundle = Bundle(form.get("profile", ""), form.get("batch", ""), sticks, None,
                    form.get("place", ""))  # fmt: skip
    if form.get("sure") != "yes":
        check_usual(ask.shop, bundle.profile, [stick.length for stick in sticks])
        check_not_come(ask.shop, number(ask), bundle)
    got = receive_order(ask.shop, number(ask), [bundle])
    return render(ask, "order.html", order=got.order, late=0, got=got)


def number(ask: Ask) -> str:
    """The order's number, as the services take it."""
    return str(number_typed(str(ask.path["number"])))


ROUTES = (
    shown("/week", week),
    shown("/week/list", reckoned),
    shown("/week/list/paper", list_paper, "owner"),
    changes("/week/draft", drafts, "owner", again=reckoned),
    shown("/week/{number:number}", order),
    shown("/week/{number:number}/paper", order_paper, "owner"),
    changes("/week/{number:number}/change", order_change, "owner", again=order),
    changes("/week/{number:number}/place", order_place, "owner", again=order),
    changes("/week/{number:number}/cancel", order_cancel, "owner", again=order),
    changes("/week/{number:number}/receive", order_receive, "owner", again=order),
)
