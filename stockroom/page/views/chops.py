"""Rails that the supplier cuts to size for a job: what each moulding waits for, and what came."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockroom.frame.layers import layer_letter
from stockroom.page.asking import Ask
from stockroom.services.counter.sized_layers import SizedLayer
from stockroom.services.csv_columns import count_of
from stockroom.services.saw.supplied import chops_awaited, pairs_of, supplied
from stockroom.units.lengths import Micrometres

__all__ = ["Awaited", "awaited", "note_chops"]


@dataclass(frozen=True, slots=True)
class Awaited:
    """What a moulding of a job waits for: how many rails of each length (um), and how many pairs to
    ask for. ``letter`` tells it from the one where the artwork lies."""

    letter: str
    profile: str
    rails_um: Mapping[Micrometres, int]

    @property
    def pairs(self) -> Mapping[Micrometres, int]:
        """How many pairs of each length to ask for."""
        return pairs_of(self.rails_um)


def awaited(ask: Ask, number: int, layers: Sequence[SizedLayer]) -> list[Awaited]:
    """What the mouldings of a job wait for, each once; nothing of one that is cut."""
    by_profile = {one.layer.profile.code: layer_letter(one.number) for one in reversed(layers)}
    each = [Awaited(letter, code, chops_awaited(ask.shop, named(number, letter)))
            for code, letter in reversed(by_profile.items())]  # fmt: skip
    return [one for one in each if one.rails_um]


def named(number: int, letter: str) -> str:
    """A moulding of a job, as J12 or J12.b."""
    return f"J{number}.{letter}" if letter else f"J{number}"


def note_chops(ask: Ask) -> None:
    """Rails came for one moulding: so many of each length can be used, the others still wait."""
    letter = ask.form.get("of", "")[:1]
    came = {int(length): count_of(text or "0") for name, text in ask.form.items()
            if (length := name.removeprefix(f"came{letter}-")) != name
            and length.isdecimal()}  # fmt: skip
    supplied(ask.shop, named(ask.path["number"], letter), ask.form.get(f"batch{letter}", ""), came,
             joined=ask.form.get("joined") == "yes",
             why=ask.form.get(f"amiss{letter}", ""))  # fmt: skip
