"""Who is let in, from where, and how much they may send."""

from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest

from stockroom.page.safety.devices import Devices
from stockroom.page.safety.pairing import MINUTES, TRIES, Codes
from stockroom.refusals import Refused
from tests.page.browser import Open

Device = Callable[[], httpx.Client]


@pytest.fixture
def device(page_of: Open) -> Iterator[Device]:
    """Makes devices that are not let in yet."""
    made: list[httpx.Client] = []

    def another() -> httpx.Client:
        headers = {"Origin": page_of.tablet}
        made.append(httpx.Client(base_url=page_of.tablet, headers=headers, timeout=30))
        return made[-1]

    yield another
    for client in made:
        client.close()


@pytest.fixture
def cutter(page_of: Open, device: Device) -> httpx.Client:
    """A tablet that was let in as a cutter's."""
    tablet = device()
    code = page_of.served.codes.new("cutter")
    assert tablet.post("/enter", data={"code": code, "who": "ben"}).status_code == 303
    return tablet


@pytest.mark.parametrize("host", ["evil.test", "127.0.0.1", "127.0.0.1:1", "", "127.0.0.1.:{port}"])
def test_a_foreign_host_is_answered_421(page_of: Open, host: str) -> None:
    named = host.format(port=page_of.port)
    assert page_of.ask("GET", "/rack", headers={"Host": named}).status_code == 421


@pytest.mark.parametrize("origin", ["http://evil.test", "null", None, "https://127.0.0.1:{port}"])
def test_a_change_from_a_foreign_null_or_missing_origin_is_answered_403(
    page_of: Open, origin: str | None
) -> None:
    headers = {} if origin is None else {"Origin": origin.format(port=page_of.port)}
    sent = httpx.post(f"{page_of.here}/devices/code", data={"role": "owner"}, headers=headers)
    assert sent.status_code == 403
    with pytest.raises(Refused):
        page_of.served.codes.use("")


def test_who_sits_at_this_computer_is_its_owner_and_another_device_is_not(page_of: Open) -> None:
    assert page_of.ask("GET", "/devices").status_code == 200
    stranger = httpx.get(f"{page_of.tablet}/rack")
    assert stranger.status_code == 401
    assert "ASH" not in stranger.text
    assert httpx.get(f"{page_of.tablet}/news").status_code == 401


def test_a_device_is_let_in_by_a_code_once_is_listed_and_can_be_shut_out(
    page_of: Open, device: Device
) -> None:
    code = page_of.served.codes.new("cutter")
    tablet = device()
    entered = tablet.post("/enter", data={"code": f"{code[:4]} {code[4:]}", "who": "ben"})
    cookie = entered.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    assert tablet.get("/rack").status_code == 200
    assert "At this screen: ben" in tablet.get("/rack").text
    other = device()
    assert other.post("/enter", data={"code": code, "who": "eve"}).status_code == 422
    assert "ben" in page_of.ask("GET", "/devices").text
    assert page_of.ask("POST", "/devices/1/out").status_code == 303
    assert tablet.get("/rack").status_code == 401


def test_the_sixth_try_of_a_code_is_refused_though_it_is_right(
    page_of: Open, device: Device
) -> None:
    code = page_of.served.codes.new("owner")
    wrong = str((int(code) + 1) % 10**8).zfill(8)
    tablet = device()
    for _ in range(TRIES):
        assert tablet.post("/enter", data={"code": wrong, "who": "eve"}).status_code == 422
    assert tablet.post("/enter", data={"code": code, "who": "eve"}).status_code == 422
    assert page_of.served.devices.listed() == []


def test_a_code_is_good_for_ten_minutes_and_only_the_newest_counts() -> None:
    now = [0.0]
    codes = Codes(lambda: now[0])
    old = codes.new("owner")
    code = codes.new("cutter")
    now[0] = 60 * MINUTES - 1
    if old != code:
        with pytest.raises(Refused):
            codes.use(old)
    assert codes.use(code) == "cutter"
    code = codes.new("cutter")
    now[0] += 60 * MINUTES
    with pytest.raises(Refused):
        codes.use(code)


def test_devices_outlive_the_server_and_their_file_holds_no_token(tmp_path: Path) -> None:
    file = tmp_path / "page" / "devices.json"
    devices = Devices(file)
    token = devices.let_in("ben", "cutter")
    again = Devices(file)
    assert again.cookie == devices.cookie
    kept = again.known(token)
    assert kept is not None
    assert (kept.who, kept.role) == ("ben", "cutter")
    assert token not in file.read_text()
    assert file.stat().st_mode & 0o077 == 0
    assert again.known(kept.proof) is None


def test_a_cutter_sees_the_rack_and_not_the_devices(cutter: httpx.Client) -> None:
    assert cutter.get("/rack").status_code == 200
    assert cutter.get("/devices").status_code == 403
    assert cutter.post("/devices/code", data={"role": "owner"}).status_code == 403


def test_a_body_that_is_too_large_is_answered_413(page_of: Open) -> None:
    sent = page_of.ask("POST", "/enter", data={"code": "1" * 70_000})
    assert sent.status_code == 413


def test_every_answer_carries_the_policy_and_no_page_has_a_line_of_script_or_style_in_it(
    page_of: Open,
) -> None:
    for path in ("/", "/rack", "/rack/1", "/devices", "/none", "/static/look.css"):
        answer = page_of.ask("GET", path)
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "<script>" not in answer.text
        assert " style=" not in answer.text
        assert " onclick=" not in answer.text


def test_a_number_that_no_piece_has_is_answered_404_in_words_of_the_page(page_of: Open) -> None:
    answer = page_of.ask("GET", "/rack/99999")
    assert answer.status_code == 404
    assert "There is no piece" in answer.text
    assert "stockroom " not in answer.text
