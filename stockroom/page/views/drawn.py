"""A job as its page shows it: its sizes, its section; of another shape its front, and its saw."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stockroom.facts import Fact
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.front_view import FrontView, front_view
from stockroom.frame.shapes import FRAME
from stockroom.frame.sizes import FrameSizes
from stockroom.paper.sawn.front_drawing import saw_lines
from stockroom.paper.section import Section, section
from stockroom.refusals import StockroomError
from stockroom.services.counter.sized_layers import SizedLayer
from stockroom.settings.shop_settings import Settings

__all__ = ["Drawn", "drawn"]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A job's sizes in its mouldings and its section, or why it can't be made.

    ``front`` and ``saw``, what is set there, are told of another shape than a frame's.
    """

    profile: str
    sizes: FrameSizes | None = None
    section: Section | None = None
    refused: str = ""
    quantity: int = 1
    more: tuple[tuple[Fact, FrameSizes], ...] = ()
    front: FrontView | None = None
    saw: tuple[str, ...] = ()

    @property
    def each(self) -> tuple[FrameSizes, ...]:
        """The sizes of all its mouldings."""
        return () if self.sizes is None else (self.sizes, *(sizes for _, sizes in self.more))

    @property
    def moulding_um(self) -> int:
        """The rails of all its frames and mouldings together."""
        return self.quantity * sum(sizes.moulding_um for sizes in self.each)


def drawn(
    profile: str, layers: Sequence[SizedLayer], quantity: int, settings: Settings,
    ticket: Callable[[], Ticket],
) -> Drawn:  # fmt: skip
    """A job in these mouldings, the one where its artwork lies first."""
    first = layers[0].sizes
    more = tuple((one.name, one.sizes) for one in layers[1:])
    cut, front = None, None
    saw: tuple[str, ...] = ()
    try:
        made = ticket()
        if made.shape == FRAME:
            cut = section(made)
        else:
            front, saw = front_view(made.sizes, made.moulding), tuple(saw_lines(made, settings))
    except StockroomError:
        pass  # Numbers that make no drawing are told by the sizes' notices.
    return Drawn(profile, first, cut, "", quantity, more, front, saw)
