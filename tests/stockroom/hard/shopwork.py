"""What the hard tests of the record share: sticks, jobs, plans and cuts in few words."""

import json
import os
from collections.abc import Iterable
from datetime import date

from stockroom.record.ledger import Hand
from stockroom.services.counter import take as counter
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.pieces import Arrival
from stockroom.services.shop import Shop

MONDAY = date(2026, 11, 23)
UNTIL = date(2026, 11, 30)
EVERY = "STOCKROOM_FAULTS" in os.environ
"""``STOCKROOM_FAULTS=every``: each call, message, page and byte fails in turn; the gate samples."""


def but_for_numbers(lines: Iterable[str]) -> list[str]:
    """The lines of a record without what is kept of numbers when a copy is brought back."""
    kept = []
    for line in lines:
        told = json.loads(line)
        row = told.get("row", {})
        if "end" in told:
            told["end"].pop("setting")
        elif str(row.get("name", "")).startswith("numbers given") or (
            (told.get("table"), row.get("name")) == ("seal", "setting")
        ):
            continue
        kept.append(json.dumps(told))
    return kept


def as_hand(shop: Shop, who: str) -> Shop:
    """The same shop with another at the bench."""
    return Shop(shop.engine, shop.settings, Hand(who, shop.hand.day), shop.waiting)


def sticks(shop: Shop, count: int = 1, profile: str = "ASH-22", spot: str = "A1") -> list[int]:
    """New sticks of 3 m; gives their numbers."""
    arrivals = [Arrival(3_000_000)] * count
    return [piece.id for piece in rack.receive(shop, profile, "B1", arrivals, spot)]


def take(shop: Shop, **more: str) -> int:
    """A job of one frame with rails of 535 and 435 mm in plain ash; gives its number."""
    told = {"customer": "R. Aldous", "profile": "ASH-22", "width": "500", "height": "400",
            "due": "2026-11-27", **more}  # fmt: skip
    return counter.take(shop, job_told(told, shop)).number or 0


def drafted(shop: Shop) -> int:
    """The number of a plan for all that is due within the week."""
    return morning.plan_day(shop, Choices(UNTIL, seconds=5)).plan or 0


def accepted(shop: Shop) -> int:
    """The number of a plan, made and accepted."""
    number = drafted(shop)
    morning.accept(shop, number)
    return number
