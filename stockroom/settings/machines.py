"""The shop's machines: each has its own cutter, kerf, clean-up, stop and limits.

One is in use, the default; a profile may name another that it goes to.
"""

import json
from dataclasses import replace
from typing import TYPE_CHECKING

from stockroom.refusals import Unknown, Unreadable
from stockroom.units.texts import near

if TYPE_CHECKING:
    from stockroom.settings.shop_settings import Settings

__all__ = ["MACHINE", "MAIN", "known_machine", "machines_known", "on_machine", "same_name"]

MAIN = "main"
"""The machine of a shop that never named one, and of the cuts it recorded until it did."""
MACHINE = ("cutter", "kerf_um", "clean_up_um", "stop", "shortest_um", "widest_um", "tallest_um")
"""The settings that each machine has for itself."""
LONGEST = 40


def machines_known(settings: "Settings") -> tuple[str, ...]:
    """The names of the shop's machines, the one in use first."""
    return (settings.machine, *sorted(set(json.loads(settings.machines)) - {settings.machine}))


def known_machine(settings: "Settings", typed: str) -> str:
    """The machine of this name, in capitals or not.

    Raises:
        Unknown: the shop has no such machine.
    """
    every = machines_known(settings)
    found = same_name(settings, typed)
    if found not in every:
        raise Unknown("unknown_machine", typed, near(typed, every) or every)
    return found


def same_name(settings: "Settings", typed: str) -> str:
    """A machine's name as the shop spells it, or as typed where it is new.

    Raises:
        Unreadable: it can name none.
    """
    name = typed.strip()
    if not name or len(name) > LONGEST or not name.isprintable():
        raise Unreadable(typed, "of_machine_name", longest=LONGEST)
    return next((one for one in machines_known(settings) if one.lower() == name.lower()), name)


def on_machine(settings: "Settings", name: str) -> "Settings":
    """The settings with another machine in use: its own values, or the present ones if it is new.

    What the machine that was in use is set to is kept for when it is used again. No name is the
    machine in use.
    """
    if name in ("", settings.machine):
        return settings
    kept = json.loads(settings.machines)
    kept[settings.machine] = {field: getattr(settings, field) for field in MACHINE}
    return replace(settings, machine=name, machines=json.dumps(kept, sort_keys=True),
                   **kept.get(name, kept[settings.machine]))  # fmt: skip
