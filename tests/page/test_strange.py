"""Strange requests, many devices at once, and what stands in logs."""

import asyncio
import json
import os
import random
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from stockroom.page.application import application
from stockroom.page.served import serve_shop
from stockroom.page.server import hosts_of
from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.services.record.history import entry_rows
from stockroom.services.saw.bench_work import bench_work
from stockroom.services.shop import Shop
from tests.page.browser import Open, serving

MANY = int(os.environ.get("STOCKROOM_FUZZ", "300"))
"""How many strange requests are sent."""
ODD = (
    "", "0", "-1", "1", "999999999", "99999999999999999999", "½", "a" * 300, "\0", "\u202e", "'",
    "../../etc", "%00", "1e9", "nan", "12 1/2", "J1", "ASH-22", "2026-02-30", "<b>", "🪵", " ",
)  # fmt: skip
NAMES = (
    "profile", "batch", "lengths", "at", "customer", "width", "height", "due", "kind", "find",
    "number", "piece", "plan", "why", "key", "until", "quantity", "mat", "code", "who",
)  # fmt: skip


def requests(app: Any, seed: int) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Strange requests for every address that there is, and some that there are not."""
    chance = random.Random(seed)
    paths = [(route.path, method) for route in app.routes if getattr(route, "methods", None)
             for method in route.methods if route.path != "/news"]  # fmt: skip
    for _ in range(MANY):
        path, method = chance.choice([*paths, ("/none", "GET")])
        for part in ("number:number", "plan:number", "code", "job"):
            path = path.replace(
                f"{{{part}}}", chance.choice(("1", "3", "12", "999999999", "J1", "x"))
            )
        more: dict[str, Any] = {"params": {chance.choice(NAMES): chance.choice(ODD)}}
        if method == "POST":
            told = {chance.choice(NAMES): odd(chance) for _ in range(chance.randrange(6))}
            kind = chance.choice(("form", "json", "saw", "raw"))
            if kind == "form":
                more["data"] = {name: str(value) for name, value in told.items()}
            elif kind == "raw":
                more["content"] = chance.randbytes(chance.randrange(200))
            else:
                cut = {"key": "0" * 32, "plan": 1, "piece": 32, "outcome": "cut"}
                more["content"] = json.dumps({**(cut if kind == "saw" else {}), **told})
        yield method, path, more


def odd(chance: random.Random) -> Any:
    """A value that nobody would type."""
    deep: Any = chance.choice((None, True, -1, 2**70, 1.5, [], {}, ["x"], [{}], [[1]]))
    return chance.choice((chance.choice(ODD), deep))


def test_no_strange_request_is_a_fault_of_the_program_and_the_record_stays_true(
    planned: Shop,
) -> None:
    served = serve_shop(planned, hosts_of([], 80), day=planned.hand.day)
    app = application(served)
    at = "http://127.0.0.1:80"

    async def every_one() -> list[str]:
        transport = httpx.ASGITransport(app, raise_app_exceptions=False, client=("127.0.0.1", 9))
        headers = {"Origin": at, "Host": "127.0.0.1:80"}
        faults = []
        async with httpx.AsyncClient(transport=transport, base_url=at, headers=headers) as client:
            for method, path, more in requests(app, 18):
                answer = await client.request(method, path, **more)
                if answer.status_code == 500:
                    faults.append(f"{method} {path} {more}")
        return faults

    # In a thread of its own: this one may have a browser's loop running.
    with ThreadPoolExecutor(1) as alone:
        faults = alone.submit(lambda: asyncio.run(every_one())).result()
    assert faults == []
    with reading(planned.engine) as session:
        assert audit(session) == []


def test_twenty_devices_that_cut_at_once_lose_nothing_and_cut_nothing_twice(
    planned: Shop, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    numbers = [one.piece.number for one in bench_work(planned, 1).pieces]
    with serving(planned) as saw, ThreadPoolExecutor(20) as devices:
        answers = list(devices.map(lambda told: cut(saw, *told), [
            (device, number) for device in range(20) for number in numbers[:6]
        ]))  # fmt: skip
    assert sorted(set(answers)) == [200, 409]
    assert answers.count(200) == 6
    kinds = [row.kind for row in entry_rows(planned, last=7)]
    assert kinds == ["cut"] * 6 + ["accept"]
    said = caplog.text + "".join(capfd.readouterr())
    assert "shop.db" not in said
    assert "0" * 20 not in said


def cut(saw: Open, device: int, number: int) -> int:
    """One device records one piece, and tries again while the record is busy."""
    told = {"key": f"{device:016x}{number:016x}", "plan": 1, "piece": number, "outcome": "cut"}
    headers = {"Accept": "application/json"}
    for _ in range(20):
        answer = saw.ask("POST", "/saw/cut", content=json.dumps(told), headers=headers)
        if answer.status_code != 503:
            break
    return answer.status_code


def test_no_page_of_a_cutter_tells_where_the_record_is(planned: Shop) -> None:
    with serving(planned) as opened:
        code = opened.served.codes.new("cutter")
        with httpx.Client(base_url=opened.tablet, headers={"Origin": opened.tablet}) as tablet:
            tablet.post("/enter", data={"code": code, "who": "ben"})
            for path in ("/", "/saw", "/saw/work", "/rack", "/rack/99999", "/none", "/counter"):
                said = tablet.get(path).text
                assert "shop.db" not in said
                assert str(planned.engine.url.database) not in said
            assert tablet.post("/saw/undo/1").status_code == 403


def test_a_record_that_is_gone_is_said_without_its_path(planned: Shop) -> None:
    with serving(planned) as opened:
        file = planned.engine.url.database or ""
        os.rename(file, f"{file}.away")
        answer = opened.ask("GET", "/rack")
        os.rename(f"{file}.away", file)
    assert answer.status_code == 503
    assert answer.headers["retry-after"]
    assert file not in answer.text
