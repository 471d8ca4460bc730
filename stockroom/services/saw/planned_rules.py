"""How a piece is cut by its plan: the same loss at each end that the plan was made with."""

from dataclasses import replace

from sqlmodel import Session

from planner.values import Rules
from stockroom.record.tables import Plan, Profile
from stockroom.services.planning import rules_for
from stockroom.services.shop import Shop

__all__ = ["rules_planned"]


def rules_planned(
    session: Session, shop: Shop, plan: int, profile: Profile, machine: str = ""
) -> Rules:
    """How a profile is cut in a plan: where that was not for frames of four sides alone, each cut
    takes what it was planned to."""
    rules = rules_for(shop.settings, profile, machine)
    kept: dict[str, int] = session.get_one(Plan, plan).choices.get("allowance", {})
    return replace(rules, cut_allowance=kept.get(profile.code, rules.cut_allowance))
