"""The same work timed on a young shop and on one of a million entries."""

import gc
import io
import os
import time
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from dataclasses import replace
from pathlib import Path

from sqlalchemy import Engine

from demo.million import MONDAY, RecordSize, code_of, made
from stockroom.__main__ import COLLECTED
from stockroom.cli.ordering import show_orders
from stockroom.cli.rack import show_pieces
from stockroom.record.audit import audit
from stockroom.record.database import (
    changing,
    engine_for,
    reading,
    shown,
    sqlite_path,
)
from stockroom.record.databases.server import HOME
from stockroom.services.counter import take as counter
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import order_rows
from stockroom.services.weekly.review import reorder

__all__ = ["LARGE", "SMALL", "main", "timed"]

SMALL, LARGE = RecordSize(1_000, 2), RecordSize(1_000_000, 400)
JOBS = 12
LIMITS = {"find pieces of a profile": 2.0, "record a cut": 2.0}
SECONDS = {"list the whole rack": 3.0, "list all orders": 3.0, "what to order": 3.0, "audit": 120.0}
"""What the large shop may take. Most of an audit reads every row once more for the seals."""
TICKS = os.sysconf("SC_CLK_TCK")
SETTLED = 0.5
"""A server has counted what a connection took so many seconds after it was closed."""


def main(folder: Path, servers: Sequence[str] = ()) -> int:
    """Makes both shops in each place, times the work, prints the ratios; 1 beyond a limit.

    All is done once on a third shop first, so that nothing is loaded while it is timed.
    """
    gc.set_threshold(*COLLECTED)  # As the command does.
    timed(made(str(folder / "warm.db"), SMALL))
    files = str(folder / "small.db"), str(folder / "large.db")
    passed = []
    for first, second in (files, *((url, url) for url in servers)):
        small = made_and_timed(first, SMALL)
        if first == second:
            emptied(first)
        large = made_and_timed(second, LARGE)
        print(f"\n{shown(second) if '://' in second else 'a file':28}{'1,000':>12}{'1,000,000':>12}"
              f"{'ratio':>8}   seconds of the processor")  # fmt: skip
        for what, seconds in small.items():
            print(f"{what:28}{seconds:11.4f}s{large[what]:11.4f}s{large[what] / seconds:8.2f}")
        passed += [what for what, limit in LIMITS.items() if large[what] > limit * small[what]]
        passed += [what for what, limit in SECONDS.items() if large[what] > limit]
    print(f"\nbeyond their limits: {', '.join(passed)}" if passed else "\nall within their limits")
    return bool(passed)


def emptied(url: str) -> None:
    """Takes the record out of a database that is there for this benchmark alone."""
    with changing(engine_for(url)) as session:
        session.connection().exec_driver_sql(f"DROP SCHEMA {HOME} CASCADE")


def made_and_timed(place: str, size: RecordSize) -> dict[str, float]:
    """A shop of this size made at a file or URL, and the work timed there."""
    engine = engine_for(place)
    begun, clock = spent_with(engine), time.perf_counter()
    shop = made(place, size)
    print(f"made {size.entries:,} entries and {size.pieces:,} pieces on the rack in "
          f"{spent_with(engine) - begun:.0f} s of the processor, {time.perf_counter() - clock:.0f} "
          "by the clock", flush=True)  # fmt: skip
    return timed(shop)


def spent_with(engine: Engine) -> float:
    """Seconds of the processor that this process took, and the server, if there is one here.

    A server is the parent of what answers us, and counts what a connection took when it is closed.
    """
    spent = time.process_time()
    if sqlite_path(engine) is not None:
        return spent
    time.sleep(SETTLED)
    with engine.connect() as connection:
        (answering,) = connection.exec_driver_sql("SELECT pg_backend_pid()").one()
        server = told_of_process(answering)[1]
        return spent + sum(map(int, told_of_process(int(server))[11:15])) / TICKS


def told_of_process(number: int) -> list[str]:
    """What the system tells of a process after its name: its state, its parent, its times."""
    return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()


def timed(shop: Shop) -> dict[str, float]:
    """Mean seconds of the processor that each thing takes, in the order of a day."""

    def each(do: Callable[[], object], times: int) -> float:
        begun = spent_with(shop.engine)
        for _ in range(times):
            do()
        return (spent_with(shop.engine) - begun) / times

    seconds = {
        "find pieces of a profile": each(lambda: rack.find(shop, code_of(0), at_least=500_000), 15),
        "list the whole rack": each(lambda: listed(shop), 2),
        "list all orders": each(lambda: orders_listed(shop), 2),
        "take a job in": each(lambda: take(shop), JOBS),
        "plan a day": each(lambda: plan(shop), 3),
    }
    number = plan(shop)
    seconds["accept the plan"] = each(lambda: morning.accept(shop, number), 1)
    held = to_settle(shop, number)
    pieces = iter(held)
    seconds["record a cut"] = each(
        lambda: record_cut(shop, SawReport(number, next(pieces))), len(held)
    )
    quick = replace(shop.settings, seconds=2)
    seconds["what to order"] = each(lambda: reorder(replace(shop, settings=quick)), 1)
    seconds["audit"] = each(lambda: proven(shop), 1)
    return seconds


def listed(shop: Shop) -> None:
    """The rack as the table that a terminal is shown."""
    with redirect_stdout(io.StringIO()):
        show_pieces(rack.find(shop), shop.settings, "table")


def orders_listed(shop: Shop) -> None:
    """All orders there ever were, as that table."""
    with redirect_stdout(io.StringIO()):
        show_orders(shop, order_rows(shop, closed=True))


def take(shop: Shop) -> None:
    """A job in the first profile, which needs most of a stick."""
    told = {"customer": "R. Aldous", "profile": code_of(0), "width": "700", "height": "500",
            "due": MONDAY.isoformat()}  # fmt: skip
    counter.take(shop, job_told(told, shop))


def plan(shop: Shop) -> int:
    """A plan for today's jobs."""
    return morning.plan_day(shop, Choices(MONDAY, seconds=5)).plan or 0


def proven(shop: Shop) -> None:
    """The audit, which must be clean."""
    with reading(shop.engine) as session:
        if faults := audit(session):
            raise RuntimeError("\n".join(map(str, faults[:20])))
