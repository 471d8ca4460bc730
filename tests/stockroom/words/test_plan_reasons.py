"""The reasons of plans in words, in the shop's unit."""

import pytest

from planner.values import Reason
from stockroom.settings.shop_settings import Settings
from stockroom.words.plan_reasons import in_words, proof_in_words


@pytest.mark.parametrize(("unit", "said"), [
    ("in", "for J12, J13: at least 118 1/8 in of sticks must be opened for these frames; "
           "236 1/4 in are, and that none can be spared is not proven"),
    ("mm", "for J12, J13: at least 3000 mm of sticks must be opened for these frames; "
           "6000.5 mm are, and that none can be spared is not proven"),
])  # fmt: skip
def test_every_length_of_a_reason_is_said_in_the_shop_s_unit(unit: str, said: str) -> None:
    reason = Reason("opened_not_proven_needed", {
        "frames": ("J12", "J13"), "least_um": 3_000_000, "opened_um": 6_000_500
    })  # fmt: skip
    shop = Settings(unit=unit)
    assert in_words(reason, shop) == said


def test_the_least_to_buy_is_never_said_shorter_than_it_is() -> None:
    # 1000 mm are 39.37 in: 39 3/8 is longer, 39 5/16 would be too short; 990 mm are 38.976 in.
    inches, mm = Settings(), Settings(unit="mm")
    for um, said in ((1_000_000, "39 3/8"), (990_000, "39"), (991_000, "39 1/16"), (25_400, "1")):
        reason = Reason("buy", {"sticks": 1, "least_um": um})
        assert in_words(reason, inches) == f"1 more stick, {said} in or longer would do"
    two = Reason("buy_either", {"sticks": 2, "least_um": 1_000_001, "or_sticks": 1,
                                "or_least_um": 2_000_000})  # fmt: skip
    assert in_words(two, mm) == ("2 more sticks, 1000.5 mm or longer, or 1 more stick, 2000 mm or "
                                 "longer, would do")  # fmt: skip


def test_how_sure_a_plan_is_is_a_sentence() -> None:
    gaps = (Reason("not_proven"), Reason("more_frames", {"frames": 1}),
            Reason("less_stick", {"stick_um": 25_400}))  # fmt: skip
    assert proof_in_words(gaps, Settings()) == (
        "Good, not proven best in the time given: up to 1 frame might be cut; up to 1 in less "
        "stick might be opened."
    )
