"""The replay of buying: length is conserved, and the buyers differ as they must."""

from dataclasses import replace

import pytest

from demo.buyingyear import Buyer, fixed_minimum, open_jobs, replay_buying, review
from stockroom.replay import invented_shop

MIDDLING = replace(invented_shop(5, 6)[1], lead=3)


@pytest.mark.parametrize("buyer", [open_jobs, fixed_minimum(4), review(0.95)])
def test_no_length_is_lost_whoever_buys(buyer: Buyer) -> None:
    year = replay_buying(MIDDLING, buyer, 1, lead=7, days=60)
    assert year.balance == 0
    assert year.frames > 5


def test_a_review_has_fewer_stock_outs_than_open_jobs_alone_and_ties_up_more() -> None:
    alone = replay_buying(MIDDLING, open_jobs, 1, lead=7, days=120)
    covered = replay_buying(MIDDLING, review(0.95), 1, lead=7, days=120)
    assert covered.stock_outs < alone.stock_outs / 2
    assert covered.tied > alone.tied


def test_jobs_known_longer_than_an_order_takes_need_no_cover() -> None:
    early = replace(MIDDLING, lead=21)
    assert replay_buying(early, open_jobs, 1, lead=7, days=120).stock_outs == 0
