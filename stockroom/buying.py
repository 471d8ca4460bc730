"""What to buy of a profile: cover for the futures that its demand could bring, no formula assumed.

Shares are of 1. Sticks are whole, money is whole minor units.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, TypeVar

__all__ = ["SERVICE", "Class", "classes", "covering"]

Class = Literal["A", "B", "C"]
Amount = TypeVar("Amount", int, float)

SERVICE: Mapping[Class, float] = {"A": 0.98, "B": 0.95, "C": 0.90}
"""The share of futures that must find enough sticks; common practice, the shop may choose."""
A_UNTIL, B_UNTIL = 70, 95


def covering(futures: Sequence[Amount], service: float) -> Amount:
    """The least amount that is enough in this share of the futures.

    Raises:
        ValueError: there is no future, or the share is not between 0 and 1.
    """
    if not futures or not 0 < service < 1:
        raise ValueError(f"{len(futures)} futures, a service of {service}")
    short = int(len(futures) * (1 - service) + 1e-9)
    return sorted(futures)[len(futures) - 1 - short]


def classes(values: Mapping[str, int]) -> dict[str, Class]:
    """Which profiles carry the trade: A the first 70 % of the year's value.

    B go on to 95 %, C are the rest. One that reaches over a limit still counts below it,
    and ``values`` (minor units, or any measure) that sum to nothing make all C.
    """
    total, before, found = sum(values.values()), 0, dict[str, Class]()
    for name, value in sorted(values.items(), key=lambda pair: (-pair[1], pair[0])):
        share = 100 * before
        if value <= 0 or share >= B_UNTIL * total:
            found[name] = "C"
        else:
            found[name] = "A" if share < A_UNTIL * total else "B"
        before += max(0, value)
    return found
