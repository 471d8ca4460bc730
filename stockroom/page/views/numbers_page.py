"""The shop's numbers: what became of the moulding that was cut, and how old the rack is."""

from datetime import timedelta
from typing import Literal

from starlette.responses import Response

from stockroom.page.asking import Ask, render, shown
from stockroom.services.insight.advise_offcuts import ENOUGH_DAYS, dead_offcuts
from stockroom.services.insight.dead_sticks import dead_sticks
from stockroom.services.insight.shop_numbers import rack_numbers, waste_numbers
from stockroom.views.sheet import Part

__all__ = ["ROUTES"]

DAYS = 90
"""How far back the numbers look: a quarter."""
By = Literal["profile", "supplier", "week", "cause"]
CHOSEN: dict[str, By] = {"": "week", "profile": "profile", "cause": "cause"}


def numbers(ask: Ask) -> Response:
    """What was cut in the last quarter by week, profile or cause; the rack by age."""
    by = CHOSEN.get(ask.query.get("by", ""), "week")
    since = ask.shop.hand.day - timedelta(days=DAYS)
    rows = waste_numbers(ask.shop, by, since)
    drawn = [(row, parts(row.rails, row.saw, row.scrap)) for row in rows]
    ages = rack_numbers(ask.shop, "age")
    return render(ask, "numbers.html", rows=drawn, ages=ages, by=by, since=since,
                  most=max((row.taken for row in rows), default=1),
                  oldest=max((age.length for age in ages), default=1))  # fmt: skip


def dead(ask: Ask) -> Response:
    """The offcuts that no job is likely to use, and the sticks that a year won't reach."""
    anyway = ask.query.get("anyway") == "yes"
    advice = dead_offcuts(ask.shop, anyway=anyway)
    sticks = [] if advice.young and not anyway else dead_sticks(ask.shop, anyway=anyway)
    each = [*(one.money for one in advice.offcuts), *(one.money for one in sticks)]
    return render(ask, "dead.html", advice=advice, sticks=sticks, enough=ENOUGH_DAYS,
                  money=sum(filter(None, each)), anyway=anyway,
                  longest=max((one.length for one in advice.offcuts), default=1))  # fmt: skip


def parts(rails: int, saw: int, scrap: int) -> list[Part]:
    """Rails, saw and scrap one after the other, as a bar."""
    told = (Part("rail", 0, rails), Part("saw", rails, saw), Part("scrap", rails + saw, scrap))
    return [part for part in told if part.length]


ROUTES = (
    shown("/week/numbers", numbers, "owner"),
    shown("/week/dead", dead, "owner"),
)
