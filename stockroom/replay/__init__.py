"""A shop replayed day by day: what a way of planning buys, scraps and leaves on the rack."""

from stockroom.replay.asked_frames import Order, ShopDemand, invented_shop, orders_of
from stockroom.replay.clairvoyant import least_bought
from stockroom.replay.figures import Figures, figures, pooled
from stockroom.replay.policies import POLICIES, Policy
from stockroom.replay.simulation import Day, ReplayFault, Run, replay

__all__ = [
    "POLICIES",
    "Day",
    "Figures",
    "Order",
    "Policy",
    "ReplayFault",
    "Run",
    "ShopDemand",
    "figures",
    "invented_shop",
    "least_bought",
    "orders_of",
    "pooled",
    "replay",
]
