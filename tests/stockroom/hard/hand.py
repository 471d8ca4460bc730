"""A hand at the bench as a process of its own: ``python -m tests.stockroom.hard.hand TASK …``.

It prints a line of JSON for each thing that it did or was refused, and is made to be killed.
"""

import json
import sys
from collections.abc import Callable
from datetime import date

from stockroom.database import Waiting
from stockroom.errors import StockroomError
from stockroom.services import morning, rack
from stockroom.services.reckoning import SawReport
from stockroom.services.saw import record_cut
from stockroom.services.sheets import to_settle
from stockroom.services.shop import Shop, open_shop

PATIENCE = Waiting(60.0)


def tell(**said: object) -> None:
    """A line of JSON to whoever started this hand."""
    print(json.dumps(said), flush=True)


def race(shop: Shop, plans: list[int]) -> None:
    """Accepts these plans, cuts at once what it won, moves the next piece meanwhile."""
    for number in plans:
        try:
            morning.accept(shop, number)
        except StockroomError as error:
            tell(plan=number, refused=str(error), kind=type(error).__name__)
            continue
        pieces = to_settle(shop, number)
        tell(plan=number, won=pieces)
        if number % 2:
            record_cut(shop, SawReport(number, pieces[0]))
        correct(shop, pieces[0] + 1)


def correct(shop: Shop, piece: int) -> None:
    """Puts the next piece elsewhere, which another may be cutting just now."""
    try:
        rack.move(shop, piece, shop.hand.who)
    except StockroomError as error:
        tell(moved=piece, refused=str(error))


TASKS: dict[str, Callable[[Shop, list[int]], None]] = {"race": race}


def main() -> None:
    """Opens the shop, says that it is ready, waits for a word and works."""
    task, where, who, numbers = sys.argv[1:5]
    shop = open_shop(where, who, date(2026, 11, 23), PATIENCE)
    tell(ready=who)
    sys.stdin.readline()
    TASKS[task](shop, json.loads(numbers))


if __name__ == "__main__":
    main()
