"""What is said of a plan: why a frame is short, a stick opened; what pins cost; how sure it is."""

from collections.abc import Sequence

from planner.values import Reason
from stockroom.facts import Tellable
from stockroom.words.language import Shown, Voice

__all__ = ["in_words", "proof_in_words", "whole"]


def in_words(reason: Tellable, shop: Shown) -> str:
    """A reason, or a fact, as a part of a sentence."""
    return Voice("on_a_page", shop).say(reason)


def whole(reasons: Sequence[Tellable], shop: Shown) -> str:
    """Reasons one after another."""
    return Voice("on_a_page", shop).whole_list(reasons)


def proof_in_words(proof: Sequence[Reason], shop: Shown) -> str:
    """How sure a plan is, and what might still be better, as a sentence."""
    head, *gaps = proof
    return in_words(head, shop) + (f": {whole(gaps, shop)}" if gaps else "") + "."
