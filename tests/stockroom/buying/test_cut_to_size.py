"""A stick, cut to size, or a shared stick: the published price, and the way that costs least."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.buying.cut_to_size import (
    BoughtStick,
    Cutting,
    Supplied,
    cut_price,
    net_cost,
    used_share,
    ways,
)
from stockroom.buying.job_price import moulding_price, rule_of_thumb, united_inches
from stockroom.refusals import Refused, Unreadable
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.shop import Shop, change_setting
from stockroom.services.weekly.job_cost import price_job, ways_for
from stockroom.units.lengths import Micrometres
from stockroom.units.money import Price
from stockroom.units.price_rule import PriceRule, read_price_rule
from tests.stockroom.hard.shopwork import take

STICK = BoughtStick(3_000_000, 2_000, 300_000, Fraction(1))
RAILS = (400_000, 300_000, 400_000, 300_000)


def test_the_published_price_of_a_frame_cut_to_size() -> None:
    # "Chop service", rinaldin.ru: 30 x 40 cm, face 30 mm, 2.50 a metre, +80 %: 1.64 m, 7.38.
    rails = (360_000, 460_000, 360_000, 460_000)
    assert sum(rails) == 1_640_000
    assert cut_price(rails, Supplied(Price(250), 80)) == 738


def test_a_fee_a_cut_and_a_minimum_a_frame_are_added() -> None:
    assert cut_price(RAILS, Supplied(Price(1_000), 0, cut_fee=50)) == 1_400 + 200
    assert cut_price(RAILS, Supplied(Price(1_000), 0, minimum=2_500)) == 2_500


def test_a_leftover_counts_by_its_worth_to_a_profile_that_is_asked_for() -> None:
    cutting = Cutting(1, (1_500_000,))
    busy, never = net_cost(cutting, STICK), net_cost(cutting, BoughtStick(3_000_000, 2_000, 300_000,
                                                                  Fraction(0)))  # fmt: skip
    assert never == 2_000
    # default_worth(1.5 m, keep 0.3 m) = 1.4423 m of 3 m at 20.00.
    assert busy == pytest.approx(2_000 - 961, abs=2)
    assert net_cost(Cutting(1, (299_999,)), STICK) == 2_000


def test_a_rare_moulding_is_cheaper_cut_to_size_and_a_busy_one_by_the_stick() -> None:
    alone, rule = Cutting(1, (1_500_000,)), Supplied(Price(800), 60)
    rare = BoughtStick(3_000_000, 2_000, 300_000, used_share(1 / 104))
    names = [way.name for way in ways(alone, [RAILS], STICK, rule)]
    assert names == ["stick", "cut to size (chop)"]
    # Asked for once in two years: 1 - (103/104)^52 = 0.3950 of the leftover's 9.61 counts.
    assert ways(alone, [RAILS], rare, rule)[0].cost == pytest.approx(2_000 - 380, abs=1)
    never = BoughtStick(3_000_000, 2_000, 300_000, used_share(0.0))
    assert ways(alone, [RAILS], never, rule)[0].name == "cut to size (chop)"


def test_two_jobs_that_share_a_stick_pay_what_each_adds() -> None:
    other, both = Cutting(1, (1_500_000,)), Cutting(1, ())
    found = ways(Cutting(1, (1_500_000,)), [RAILS], STICK, None, (other, both))
    assert [way.name for way in found] == ["shared stick", "stick"]
    shared = next(way for way in found if way.name == "shared stick")
    assert (shared.paid, shared.worth_left) == (0, -961)


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_demand_never_makes_a_leftover_worth_less(one: float, two: float) -> None:
    low, high = sorted((one, two))
    assert 0 <= used_share(low) <= used_share(high) <= 1


def test_united_inches_as_published_and_the_rule_of_thumb() -> None:
    # metaglossary.com: 24 x 36 in are 60 united inches, 24 x 72 are 96.
    inch = 25_400
    assert united_inches(24 * inch, 36 * inch) == 60
    assert united_inches(24 * inch, 72 * inch) == 96
    assert rule_of_thumb(RAILS, STICK.price, PriceRule()) == 933
    assert rule_of_thumb(RAILS, STICK.price, PriceRule(waste=20)) == 1_120


def test_the_counters_rule_is_reckoned_as_it_is_said() -> None:
    # By hand: 103 in and 10 % for waste are 113.3 in, or 9.44 ft: ten are begun, at 3.20 a foot and
    # two and a half times that 80.00.
    foot = Price(320, Micrometres(304_800))
    rule = read_price_rule("Waste 10 %;  mark-up 150%; by ft")
    assert rule == PriceRule(waste=10, mark_up=150, started=304_800)
    assert rule.of(Micrometres(103 * 25_400), foot) == 8_000
    small = read_price_rule("mark-up 100 %; least 25; up to 0.50")
    assert small.of(Micrometres(304_800), foot) == 2_500
    # 8.6 ft at 6.40 are 55.04, rounded up to half a unit.
    assert small.of(Micrometres(2_621_280), foot) == 5_550
    assert read_price_rule("") == PriceRule()


@pytest.mark.parametrize(
    "typed",
    ["waste", "waste 2000 %", "waste 1.5 %", "by yard", "up to 0", "least 5; least 6", "x 3"],
)
def test_a_rule_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises(Unreadable):
        read_price_rule(typed)


def test_a_job_that_wastes_its_stick_loses_money_by_the_rule_of_thumb() -> None:
    thumb = PriceRule(waste=20)
    # Rails of 1.1 m: two to a stick of 3 m, 0.77 m left of each, which nobody wants.
    rails, rare = (1_100_000,) * 4, BoughtStick(3_000_000, 2_000, 300_000, Fraction(0))
    price = moulding_price([rails], Cutting(2, (770_000, 770_000)), rare, 5_000, thumb)
    assert (price.cost, price.rule, price.gain, price.saw) == (4_000, 3_520, -480, 20_000)
    assert moulding_price([rails], Cutting(2, (770_000,) * 2), STICK, 5_000, thumb).gain > 0


def test_rules_below_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        Supplied(Price(100), -5)
    with pytest.raises(ValueError, match="no price"):
        Supplied(Price(-1), 0)
    with pytest.raises(ValueError, match="price rule"):
        PriceRule(waste=-1)


def test_a_job_of_the_shop_is_compared_and_priced(shop: Shop) -> None:
    take(shop)
    take(shop)
    names = {way.name for way in ways_for(shop, "J1")}
    assert names == {"stick", "shared stick"}
    price = price_job(shop, "J1")
    assert price.rails == 2 * (535_000 + 435_000)
    assert price.rule == pytest.approx(price.rails * 1_850 * 1.2 / 3_000_000, abs=1)
    # 1.94 m are two metres begun, at 6.1667 a metre.
    change_setting(shop, "price_rule", "by m")
    dear = replace(shop, settings=replace(shop.settings, price_rule="by m"))
    assert price_job(dear, "J1").rule == 1_233
    change_profile(shop, "ASH-22", {"price_per_stick": ""})
    with pytest.raises(Refused, match="no price of a stick"):
        price_job(shop, "J1")
