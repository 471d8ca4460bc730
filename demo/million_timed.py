"""The same work timed on a young shop and on one of a million entries."""

import io
import statistics
import time
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from dataclasses import replace
from pathlib import Path

from demo.million import MONDAY, RecordSize, code_of, made
from stockroom.cli.rack import show_pieces
from stockroom.record.audit import audit
from stockroom.record.database import reading, shown
from stockroom.services.counter import take as counter
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.morning import day_plan as morning
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import to_settle
from stockroom.services.rack import pieces as rack
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.record_cut import record_cut
from stockroom.services.shop import Shop
from stockroom.services.weekly.review import reorder

__all__ = ["LARGE", "SMALL", "main", "timed"]

SMALL, LARGE = RecordSize(1_000, 2), RecordSize(1_000_000, 400)
JOBS = 12
LIMITS = {"find pieces of a profile": 2.0, "record a cut": 2.0}
SECONDS = {"list the whole rack": 3.0, "the order list": 3.0, "audit": 120.0}
"""What the large shop may take. Most of an audit reads every row once more for the seals."""


def main(folder: Path, servers: Sequence[str] = ()) -> int:
    """Makes both shops, times the work, prints the ratios; 1 where a limit is passed.

    The large shop is made and timed in each of these databases too. All is done once on a third
    shop first, so that nothing is loaded while it is timed.
    """
    timed(made(str(folder / "warm.db"), SMALL))
    small = made_and_timed(str(folder / "small.db"), SMALL)
    passed = []
    for place in (str(folder / "large.db"), *servers):
        large = made_and_timed(place, LARGE)
        print(f"\n{shown(place) if '://' in place else 'a file':28}{'1,000':>12}{'1,000,000':>12}"
              f"{'ratio':>8}")  # fmt: skip
        for what, seconds in small.items():
            print(f"{what:28}{seconds:11.4f}s{large[what]:11.4f}s{large[what] / seconds:8.2f}")
        passed += [what for what, limit in LIMITS.items() if large[what] > limit * small[what]]
        passed += [what for what, limit in SECONDS.items() if large[what] > limit]
    print(f"\nbeyond their limits: {', '.join(passed)}" if passed else "\nall within their limits")
    return bool(passed)


def made_and_timed(place: str, size: RecordSize) -> dict[str, float]:
    """A shop of this size made at a file or URL, and the work timed there."""
    begun = time.perf_counter()
    shop = made(place, size)
    print(f"made {size.entries:,} entries and {size.pieces:,} pieces on the rack "
          f"in {time.perf_counter() - begun:.0f} s", flush=True)  # fmt: skip
    return timed(shop)


def timed(shop: Shop) -> dict[str, float]:
    """Median seconds of each thing, in the order of a day."""
    code = code_of(0)
    seconds = {
        "find pieces of a profile": median(lambda: rack.find(shop, code, at_least=500_000), 15),
        "list the whole rack": median(lambda: listed(shop), 3),
        "take a job in": median(lambda: take(shop), JOBS),
        "plan a day": median(lambda: plan(shop), 3),
    }  # fmt: skip
    number = plan(shop)
    seconds["accept the plan"] = median(lambda: morning.accept(shop, number), 1)
    pieces = iter(to_settle(shop, number))
    count = len(to_settle(shop, number))
    seconds["record a cut"] = median(
        lambda: record_cut(shop, SawReport(number, next(pieces))), count
    )
    quick = replace(shop.settings, seconds=2)
    seconds["the order list"] = median(lambda: reorder(replace(shop, settings=quick)), 1)
    seconds["audit"] = median(lambda: proven(shop), 1)
    return seconds


def median(do: Callable[[], object], times: int) -> float:
    """Median seconds that something takes."""
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        do()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def listed(shop: Shop) -> None:
    """The rack as the table that a terminal is shown."""
    with redirect_stdout(io.StringIO()):
        show_pieces(rack.find(shop), shop.settings, "table")


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
