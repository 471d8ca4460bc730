"""How the command line tells what was refused, with the command that mends it."""

from contextvars import ContextVar
from typing import TYPE_CHECKING

from stockroom.facts import Fact
from stockroom.refusals import StockroomError
from stockroom.words.language import NO_SHOP, Shown, Voice, word

if TYPE_CHECKING:
    from stockroom.services.morning.run_out import Tied

__all__ = ["batch_said", "measure", "tell", "worded", "words"]

SHOP: ContextVar[Shown] = ContextVar("SHOP", default=NO_SHOP)


def measure(shop: Shown) -> None:
    """From here on lengths and money are told as the open shop has them."""
    SHOP.set(shop)


def words() -> Voice:
    """The words of the command line."""
    return Voice("at_the_command_line", SHOP.get())


def tell(fact: Fact) -> None:
    """What is so, on standard error."""
    from stockroom.cli.app import say

    say(words().say(fact))


def worded(error: StockroomError) -> str:
    """A refusal as the command line says it."""
    return words().whole(error)


def batch_said(frame: "Tied") -> str:
    """What can be done about a frame that must match a batch which does not yield it."""
    gone = word("{label}: batch {batch} ", label=frame.label, batch=frame.batch)
    gone += "has run out on the rack. " if frame.gone else "does not yield the rest of it. "
    if frame.begun:
        return (word("{gone}Cut it from another batch: stockroom afresh {label}, and what is cut "
                     "of it goes back on the rack.", gone=gone, label=frame.label))  # fmt: skip
    return (word("{gone}Its frames may differ: stockroom plan --apart J{job}; or cut the others "
                 "afresh too: stockroom afresh J{job}.NUMBER.", gone=gone,
                 job=frame.job))  # fmt: skip
