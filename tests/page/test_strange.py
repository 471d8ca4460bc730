"""Strange requests, many devices at once, and what stands in logs."""

import asyncio
import json
import os
import random
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from unittest.mock import patch

import httpx
import pytest

from stockroom.page.application import application
from stockroom.page.served import serve_shop
from stockroom.page.server import hosts_of
from stockroom.record.audit import audit
from stockroom.record.database import reading
from stockroom.refusals import Refused
from stockroom.services.record.history import entry_rows
from stockroom.services.saw.bench_work import bench_work
from stockroom.services.shop import Shop
from tests.page.browser import Open, serving

MANY = int(os.environ.get("STOCKROOM_FUZZ", "400"))
"""How many strange requests are sent; ``STOCKROOM_FUZZ=10000`` for as many as are promised."""
ODD = (
    "", "0", "-1", "1", "999999999", "99999999999999999999", "½", "a" * 300, "\0", "\u202e", "'",
    "../../etc", "%00", "1e9", "nan", "12 1/2", "J1", "ASH-22", "2026-02-30", "<b>", "🪵", " ",
    "3 4 7-12", "20..21", "ASH-22=20", "9-1", "2x 118", "16 / 16 1/16", "0001-01-01", "9999-12-31",
)  # fmt: skip
LATE = ("/week/list", "/news")
"""One takes seconds and reads nothing of what is sent; the other never ends."""
JOB = {"width": "16", "height": "20", "profile": "ASH-22", "beside": "FLOAT-BLK-16", "depth": "1",
       "mat": "2", "quantity": "1", "due": "2026-12-01", "customer": "R. Aldous", "title": "",
       "note": "", "proud": "yes"}  # fmt: skip
FORMS: dict[str, dict[str, str]] = {
    "/counter/take": JOB,
    "/counter/sizes": JOB,
    "/counter/{number:number}/change": {**JOB, "why": "asked"},
    "/counter/{number:number}/cancel": {"why": "sold", "rails": "rack"},
    "/rack/found": {"profile": "ASH-22", "length": "20", "batch": "A1", "place": "C1",
                    "flaw": "2..3", "kind": "offcut"},
    "/rack/receive": {"profile": "ASH-22", "batch": "A1", "place": "C1", "lengths": "2x 118",
                      "sure": "yes"},
    "/rack/{number:number}/change": {"what": "measure", "length": "20", "place": "C1", "why": "wet",
                                     "flaw": "2..3"},
    "/rack/labels": {"pieces": "12", "start": "1"},
    "/rack/count": {"at": "A1", "as_of": "1", "seen": "12", "length-3": "20", "others": "4",
                    "unlabelled": "ASH-22=20"},
    "/rack/count/settle": {"at": "A1", "as_of": "1", "seen": "12", "length-3": "20", "why": "so"},
    "/morning/plan": {"days": "1", "again": "yes", "alone": "12", "wait": "1", "pin_job": "J1",
                      "pin_piece": "12"},
    "/morning/halt": {"how": "enough"},
    "/week/draft": {"profile": "ASH-22", "supplier": "LARK", "sticks": "2", "why": "two",
                    "advised": "2 0.08 14"},
    "/week/{number:number}/change": {"profile": "ASH-22", "sticks": "3", "why": ""},
    "/week/{number:number}/receive": {"profile": "ASH-22", "batch": "A1", "lengths": "118",
                                      "place": "C1", "sure": "yes"},
    "/devices/code": {"role": "cutter"},
    "/enter": {"code": "12345678", "who": "ben"},
}  # fmt: skip
"""What each form sends, before anything is wrong with it; others send a reason."""
CUT = {"key": "0" * 32, "plan": 1, "piece": 32, "outcome": "cut", "instead": 12, "miscut": [1],
       "uncut": [2], "leftover": ["20"], "flaw": ["2..3"], "why": "", "anyway": True,
       "cut_at": "2026-11-23T09:40:00Z"}  # fmt: skip


def requests(app: Any, seed: int) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Strange requests for every address that there is, and some that there are not."""
    chance = random.Random(seed)
    paths = [(route.path, method) for route in app.routes if getattr(route, "methods", None)
             for method in route.methods - {"HEAD"} if route.path not in LATE]  # fmt: skip
    for _ in range(MANY):
        at, method = chance.choice([*paths, ("/none", "GET")])
        number = chance.choice(("1", "3", "12", "32", "999999999", "J1", "x"))
        path = at.replace("{number:number}", number)
        names = ("find", "at", "plan", "piece", "pieces", "price", "stock", *JOB)
        more: dict[str, Any] = {"params": {chance.choice(names): chance.choice(ODD)}}
        if method == "POST":
            more |= sent(chance, at)
        yield method, path, more


def sent(chance: random.Random, at: str) -> dict[str, Any]:
    """A form or a body with something wrong: odd values, one too few or too many, or no form."""
    told: dict[str, Any] = dict(CUT if at == "/saw/cut" else FORMS.get(at, {"why": "so"}))
    for name in chance.sample(sorted(told), min(len(told), chance.randrange(4))):
        told[name] = odd(chance)
    for name in chance.sample(sorted(told), min(len(told), chance.randrange(3))):
        del told[name]
    if chance.random() < 0.1:
        return {"content": chance.randbytes(chance.randrange(200))}
    if at == "/saw/cut" or chance.random() < 0.05:
        return {"content": json.dumps(told)}
    form = {name: value if isinstance(value, str) else str(value) for name, value in told.items()}
    many = {name: [text, chance.choice(ODD)] if chance.random() < 0.05 else text
            for name, text in form.items()}  # fmt: skip
    return {"data": many | ({"key": chance.choice(ODD)} if chance.random() < 0.1 else {})}


def odd(chance: random.Random) -> Any:
    """A value that nobody would type."""
    deep: Any = chance.choice((None, True, -1, 2**70, 1.5, [], {}, ["x"], [{}], [[1]]))
    return chance.choice((chance.choice(ODD), chance.choice(ODD), deep))


def test_no_strange_request_is_a_fault_of_the_program_and_the_record_stays_true(
    planned: Shop,
) -> None:
    served = serve_shop(planned, hosts_of([], 80), day=planned.hand.day)
    app = application(served)
    at = "http://127.0.0.1:80"

    async def every_one() -> tuple[list[str], int]:
        transport = httpx.ASGITransport(app, raise_app_exceptions=False, client=("127.0.0.1", 9))
        headers = {"Origin": at, "Host": "127.0.0.1:80"}
        faults, changed = [], 0
        async with httpx.AsyncClient(transport=transport, base_url=at, headers=headers) as client:
            for method, path, more in requests(app, 18):
                answer = await client.request(method, path, **more)
                if answer.status_code == 500:
                    faults.append(f"{method} {path} {more}")
                changed += answer.status_code == 303
        return faults, changed

    # In a thread of its own: this one may have a browser's loop running.
    no_plan = patch("stockroom.page.working.plan_day", side_effect=Refused("not now"))
    no_list = patch("stockroom.page.views.week_page.review_week", side_effect=Refused("not now"))
    with ThreadPoolExecutor(1) as alone, no_plan, no_list:
        faults, changed = alone.submit(lambda: asyncio.run(every_one())).result()
    assert faults == []
    # Most are refused, yet enough are taken for the record to be tried.
    assert changed > MANY // 25
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
