"""A hand at the bench as a process of its own: ``python -m tests.stockroom.hard.hand TASK …``.

It prints a line of JSON for each thing that it did or was refused, and is made to be killed.
"""

import itertools
import json
import os
import random
import signal
import sys
from collections.abc import Callable, Iterator
from functools import partial

from sqlalchemy import event

from stockroom.record.database import Waiting, reading
from stockroom.record.numbering import serial
from stockroom.record.stocktake import Scope, Sighting
from stockroom.record.tables import Entry
from stockroom.refusals import StockroomError
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import newest_plan, to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.rack.count import count_sheet, settle
from stockroom.services.record.undo import undo
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop, open_shop
from stockroom.words.language import Voice
from tests.stockroom.hard.shopwork import MONDAY, UNTIL, sticks, take

PATIENCE = Waiting(60.0)


def tell(**said: object) -> None:
    """A line of JSON to whoever started this hand, whole or not at all when it is killed."""
    os.write(sys.stdout.fileno(), f"{json.dumps(said)}\n".encode())


def race(shop: Shop, plans: list[int]) -> None:
    """Accepts these plans, cuts at once what it won, moves the next piece meanwhile."""
    for number in plans:
        try:
            morning.accept(shop, number)
        except StockroomError as error:
            tell(plan=number, refused=Voice("on_a_page").whole(error), kind=type(error).__name__)
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
        tell(moved=piece, refused=Voice("on_a_page").whole(error))


def day(shop: Shop, dice: random.Random) -> Iterator[tuple[str, Callable[[], object]]]:
    """One job's day, thing by thing: receive, take in, plan, accept, cut, count, perhaps undo."""
    yield "receive", lambda: sticks(shop, dice.randint(1, 3))
    yield "take in", lambda: take(shop, width=str(dice.randint(200, 900)))
    yield "plan", lambda: morning.plan_day(shop, Choices(UNTIL, seconds=2))
    plan = newest_plan(shop, ("drafted",))
    yield "accept", lambda: morning.accept(shop, plan)
    for piece in to_settle(shop, plan):
        miscut = frozenset({1}) if dice.random() < 0.2 else frozenset()
        yield "cut", partial(record_cut, shop, SawReport(plan, piece, miscut=miscut))
    sheet = count_sheet(shop, Scope("A1"))
    lost = dice.randrange(5)
    told = [Sighting(piece.id) for piece in sheet.pieces if piece.id % 5 != lost]
    told.append(Sighting(None, dice.randint(300_000, 900_000), "ASH-22"))
    yield "count", lambda: settle(shop, Scope("A1"), sheet.as_of, told, "count")
    if dice.random() < 0.3:
        yield "undo", lambda: undo(shop)


def live(shop: Shop, dice: random.Random, statements: int | None) -> None:
    """Days on end, until killed; by its own hand at this statement, where one is named."""
    if statements is not None:
        die_at(shop, statements)
    while True:
        for what, do in day(shop, dice):
            tell(begun=what)
            do()
            with reading(shop.engine) as session:
                tell(done=what, entries=serial(session, Entry) - 1)


def die_at(shop: Shop, statements: int) -> None:
    """Kills this process (SIGKILL) right after so many statements of the database."""
    left = itertools.count(statements, -1)

    @event.listens_for(shop.engine, "after_cursor_execute")
    def count_down(*_told: object) -> None:
        if next(left) <= 0:
            os.kill(os.getpid(), signal.SIGKILL)


def nursery(where: str) -> None:
    """Begins a living hand for each line read, so that it can be killed and begun again fast."""
    import planner.solve  # noqa: F401  (loaded once, before any hand begins)

    for line in sys.stdin:
        told = json.loads(line)
        if os.fork() == 0:
            tell(pid=os.getpid())
            shop = open_shop(where, "ada", MONDAY, PATIENCE)
            live(shop, random.Random(told["seed"]), told["statements"])
        _, status = os.wait()
        tell(ended=os.waitstatus_to_exitcode(status))


def race_of(where: str, plans: list[list[int]]) -> None:
    """All hands race, a process each: they begin once all have opened the shop."""
    opened, begin = os.pipe(), os.pipe()
    for number, mine in enumerate(plans):
        if os.fork() == 0:
            os.close(begin[1])
            shop = open_shop(where, f"hand-{number}", MONDAY, PATIENCE)
            os.write(opened[1], b".")
            os.read(begin[0], 1)
            race(shop, mine)
            os._exit(0)
    for _ in plans:
        os.read(opened[0], 1)
    os.close(begin[1])
    sys.exit(int(max(os.wait()[1] for _ in plans) > 0))


def main() -> None:
    """Hands race for pieces, or live and die one after the other."""
    task, where, *plans = sys.argv[1:]
    if task == "nursery":
        nursery(where)
    else:
        race_of(where, json.loads(*plans))


if __name__ == "__main__":
    main()
