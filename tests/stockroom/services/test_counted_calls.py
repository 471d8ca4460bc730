"""What is worked out once is worked out once, counted by the calls."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from stockroom.record.jobs import OpenFrame
from stockroom.services.morning import day_plan, sheets
from stockroom.services.morning.problem import Choices
from stockroom.services.shop import Shop
from stockroom.services.weekly import needs
from stockroom.services.weekly.review import review_week
from tests.stockroom.conftest import assert_true, stocked
from tests.stockroom.hard.shopwork import UNTIL, accepted, sticks, take


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A stocked shop whose record must be true when the test ends."""
    made = stocked(str(tmp_path / "shop.db"))
    yield made
    assert_true(made)


def counted(
    monkeypatch: pytest.MonkeyPatch, module: Any, name: str, of: Callable[..., object]
) -> Counter[object]:
    """How often a module's function is called from now on, by what ``of`` makes of the call."""
    calls: Counter[object] = Counter()
    real = getattr(module, name)

    def asked(*told: Any, **more: Any) -> Any:
        calls[of(*told)] += 1
        return real(*told, **more)

    monkeypatch.setattr(module, name, asked)
    return calls


def once(*_told: object) -> str:
    """Every call counts as the same."""
    return "called"


def need_asked(need: needs.Needs, frames: Sequence[OpenFrame], coming: Sequence[int]) -> object:
    """What a need is reckoned of."""
    labels = frozenset(frame.label for frame in frames)
    return need.shelf.profile.code, labels, tuple(coming)


def test_what_is_still_to_settle_orders_no_sheet(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    sticks(shop, 2)
    take(shop)
    number = accepted(shop)
    ordered = [counted(monkeypatch, sheets, name, once)
               for name in ("sheet_of", "laid_out", "read_back", "round_on")]  # fmt: skip
    assert sheets.to_settle(shop, number)
    assert sum(calls.total() for calls in ordered) == 0
    sheets.sheet_of(shop, number)
    assert ordered[1].total() == 1


def test_the_week_s_list_reckons_each_need_once(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    sticks(shop)
    for due in ("2026-11-23", "2026-11-27", "2026-12-18"):
        take(shop, due=due, quantity="3")
    asked = counted(monkeypatch, needs.Needs, "of", once)
    reckoned = counted(monkeypatch, needs, "reckoned", need_asked)
    assert any(line.sticks for line in review_week(shop).lines)
    assert asked.total() > reckoned.total() > 1
    assert set(reckoned.values()) == {1}


def test_a_draft_is_planned_once_and_shown_as_it_is_held(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    sticks(shop, 2)
    take(shop)
    planned = counted(monkeypatch, day_plan, "planned", once)
    drafted = day_plan.plan_day(shop, Choices(UNTIL, seconds=5))
    assert drafted.plan is not None
    shown = sheets.sheet_of(shop, drafted.plan)
    assert planned.total() == 1
    assert [piece.parts for piece in shown.pieces] == [piece.parts for piece in drafted.pieces]
