"""Pages timed on a record of a million entries and a thousand pieces: processor time of each."""

import asyncio
import json
import statistics
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx

from demo.million import MONDAY, RecordSize, made
from demo.million_timed import plan, take
from stockroom.page.application import application
from stockroom.page.served import serve_shop
from stockroom.page.server import hosts_of
from stockroom.services.morning.day_plan import accept
from stockroom.services.morning.sheets import to_settle
from stockroom.services.shop import Shop

__all__ = ["LARGE", "main", "timed"]

LARGE = RecordSize(1_000_000, 20)
JOBS, TIMES = 12, 7
PAGE_SECONDS, CUT_SECONDS = 0.100, 0.050
PAGES = ("/", "/saw", "/saw/work", "/rack", "/rack?at=A1", "/rack?find=M-003", "/rack/1",
         "/rack/found", "/counter", "/counter?find=nobody", "/counter/1", "/counter/new",
         "/counter/mouldings", "/morning", "/morning/{plan}", "/week", "/devices")  # fmt: skip
HERE = "http://127.0.0.1:8377"


def main(entries: int = LARGE.entries) -> int:
    """Makes the shop, times its pages, prints them; 1 where a limit is passed.

    ``python -m demo.page_timed 10000`` is the same rack in a young shop.
    """
    size = replace(LARGE, entries=entries)
    with tempfile.TemporaryDirectory(prefix="stockroom-timed-") as folder:
        shop = made(str(Path(folder) / "shop.db"), size)
        print(f"{size.entries:,} entries, {size.pieces:,} pieces on the rack")
        for _ in range(JOBS):
            take(shop)
        number = plan(shop)
        accept(shop, number)
        found = asyncio.run(timed(shop, number))
    for what, seconds in found.items():
        print(f"{what:24}{1000 * seconds:8.1f} ms of the processor")
    slow = [what for what, seconds in found.items()
            if seconds > (CUT_SECONDS if what == "a cut" else PAGE_SECONDS)]  # fmt: skip
    print(f"beyond their limits: {', '.join(slow)}" if slow else "all within their limits")
    return bool(slow)


async def timed(shop: Shop, plan_number: int) -> dict[str, float]:
    """Median seconds of the processor for each page, and for a cut; the asking is in them."""
    served = serve_shop(shop, hosts_of([], 8377), day=MONDAY)
    transport = httpx.ASGITransport(application(served), client=("127.0.0.1", 9))
    headers = {"Origin": HERE, "Accept": "text/html"}
    async with httpx.AsyncClient(transport=transport, base_url=HERE, headers=headers) as client:
        await client.get("/")
        pages = [path.format(plan=plan_number) for path in PAGES]
        found = {path: await median([client.get(path) for _ in range(TIMES)]) for path in pages}
        pieces = to_settle(shop, plan_number)
        found["a cut"] = await median([client.post("/saw/cut", content=json.dumps({
            "key": f"{piece:032x}", "plan": plan_number, "piece": piece, "outcome": "cut",
        })) for piece in pieces])  # fmt: skip
    return found


async def median(asked: list[Any]) -> float:
    """Median seconds of the processor that these requests take, one after the other.

    Raises:
        RuntimeError: one was refused.
    """
    taken = []
    for one in asked:
        begun = time.process_time()
        answer = await one
        taken.append(time.process_time() - begun)
        if answer.status_code != 200:
            raise RuntimeError(f"{answer.request.url} answered {answer.status_code}")
    return statistics.median(taken)


if __name__ == "__main__":
    raise SystemExit(main(*map(int, sys.argv[1:])))
