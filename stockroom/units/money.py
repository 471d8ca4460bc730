"""Money: whole minor units inside; parsed and printed with two decimals."""

import re
from dataclasses import dataclass
from fractions import Fraction

from stockroom.refusals import Unreadable
from stockroom.units.decimals import plain_number
from stockroom.units.lengths import Micrometres, rounded

__all__ = ["Price", "format_money", "parse_money"]


def parse_money(text: str) -> int:
    """An amount as typed, in minor units (hundredths).

    Raises:
        Unreadable: it is none, or has more than two decimals.
    """
    match = re.fullmatch(r"(\d{1,7})(?:\.(\d{1,2}))?", plain_number(text, "of_money"), re.ASCII)
    if match is None or int(match[1]) > 1_000_000:
        raise Unreadable(text, "of_money")
    return int(match[1]) * 100 + int((match[2] or "").ljust(2, "0"))


def format_money(minor: int, mark: str = "") -> str:
    """An amount with two decimals, after the shop's currency mark."""
    sign = "-" if minor < 0 else ""
    whole, rest = divmod(abs(minor), 100)
    return f"{sign}{mark}{whole}.{rest:02d}"


METRE_UM = Micrometres(1_000_000)


@dataclass(frozen=True, slots=True)
class Price:
    """What moulding costs by its length: so many minor units for a metre, or for ``per_um``."""

    minor: int
    per_um: Micrometres = METRE_UM

    def __post_init__(self) -> None:
        if self.minor < 0 or self.per_um <= 0:
            raise ValueError(f"no price is like that: {self}")

    def exact(self, um: Micrometres) -> Fraction:
        """What a length costs, in minor units and parts of them."""
        return Fraction(um * self.minor, self.per_um)

    def of(self, um: Micrometres, percent: int = 0) -> int:
        """What a length costs with a surcharge, to the nearest minor unit, halves up.

        Of a length below nothing it is as much below nothing.
        """
        cost = rounded(self.exact(Micrometres(abs(um))) * (100 + percent) / 100, "nearest")
        return cost if um >= 0 else -cost
