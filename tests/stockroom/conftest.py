"""A small shop for the tests, on SQLite and on a real PostgreSQL; audited after each test."""

import itertools
import os
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, event

from stockroom.facts import Tellable
from stockroom.record.audit import audit, unbalanced
from stockroom.record.catalogue import add_profile, add_supplier
from stockroom.record.database import changing, reading, session_on
from stockroom.record.tables import Profile, Supplier
from stockroom.services.shop import Shop, open_shop, set_up
from stockroom.settings.shop_settings import Settings
from stockroom.words.language import Voice

MONDAY = date(2026, 11, 23)
KINDS = ["sqlite", "postgresql"]
NUMBERS = itertools.count(1)


@pytest.fixture(scope="session")
def stocked_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A stocked shop's record, to be copied."""
    file = tmp_path_factory.mktemp("stocked") / "shop.db"
    stocked(str(file)).engine.dispose()
    return file


@pytest.fixture(scope="session")
def stocked_database(server: Any) -> str:
    """The name of a stocked shop's database on the server, to be copied."""
    name = f"stocked_{os.getpid()}"
    server.psql(f'CREATE DATABASE "{name}";')
    stocked(server.get_uri(name)).engine.dispose()
    return name


@pytest.fixture(params=KINDS)
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a new record may be made: a file, or an empty database on the server.

    For a test that asks for ``shop`` a stocked one lies here.
    """
    yield from place(request.param, request, tmp_path)


def place(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A place for a record on this kind of database."""
    full = "shop" in request.fixturenames
    if kind == "sqlite":
        file = tmp_path / "shop.db"
        if full:
            shutil.copyfile(request.getfixturevalue("stocked_file"), file)
        yield str(file)
        return
    name = f"shop_{os.getpid()}_{next(NUMBERS)}"
    say = request.getfixturevalue("say")
    like = request.getfixturevalue("stocked_database") if full else "template1"
    # Its files are copied: written to the log row by row they take twice as long.
    say(f'CREATE DATABASE "{name}" TEMPLATE "{like}" STRATEGY FILE_COPY')
    yield str(request.getfixturevalue("server").get_uri(name))
    say(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture(autouse=True)
def own_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The program's own data folder, where labels of a record on a server go."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))
    return tmp_path / "own" / "stockroom"


@pytest.fixture(autouse=True)
def audited(request: pytest.FixtureRequest) -> Iterator[None]:
    """Every change must balance as it is written, and the whole audit finds nothing at the end;
    a test that breaks a record, or counts what a change costs, is marked ``unaudited``."""

    def prove(connection: Connection) -> None:
        if "lock_wait_ms" in connection.get_execution_options():
            faults = unbalanced(session_on(connection))
            assert faults == [], "a change left the record with faults"

    if request.node.get_closest_marker("unaudited"):
        yield
        return
    event.listen(Engine, "commit", prove)
    yield
    event.remove(Engine, "commit", prove)


def profiles() -> list[Profile]:
    """Plain ash, leaf that must match by batch, and a float; sticks of 3 m."""
    made = [
        Profile(code="ASH-22", supplier_code="LARK", name="ash", kind="rabbeted", face_um=22_000,
                stick_length_um=3_000_000, keep_um=300_000, end_trim_um=10_000),
        Profile(code="LEAF-40", supplier_code="LARK", name="leaf", kind="rabbeted", face_um=40_000,
                stick_length_um=3_000_000, keep_um=300_000, end_trim_um=10_000),
        Profile(code="FLOAT-12", supplier_code="LARK", name="float", kind="float", face_um=12_000,
                stick_length_um=3_000_000, keep_um=300_000, end_trim_um=10_000),
    ]  # fmt: skip
    for rabbeted in made[:2]:
        rabbeted.rabbet_width_um, rabbeted.rabbet_depth_um = 6_000, 14_000
    made[0].stick_price_minor, made[0].minimum_sticks = 1_850, 2
    made[1].batch_matched = True
    made[2].wall_um, made[2].recess_depth_um = 12_000, 38_000
    return made


def stocked(where: str, **settings: str) -> Shop:
    """A new shop with one supplier and three profiles: plain, leaf by batch, and float."""
    shop = set_up(
        where,
        "ada",
        {"unit": "mm", "clean_up": "0.5 mm", "margin": "0", **settings},
        MONDAY,
    )
    with changing(shop.engine) as session:
        add_supplier(session, Supplier(code="LARK", name="Lark Hollow Mouldings"))
        for profile in profiles():
            add_profile(session, profile)
    return shop


@pytest.fixture
def shop(where: str) -> Iterator[Shop]:
    """A stocked shop whose record must be true when the test ends."""
    made = open_shop(where, "ada", MONDAY)
    yield made
    assert_true(made)


def assert_true(shop: Shop) -> None:
    """The audit finds no fault."""
    with reading(shop.engine) as session:
        assert audit(session) == []


def told(*facts: Tellable) -> str:
    """What is so, as the fronts say it in English, in inches and dollars."""
    return Voice("on_a_page", Settings()).whole_list(facts)
