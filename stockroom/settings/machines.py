"""The shop's machines: each has its own cutter, kerf and clean-up; one of them is in use."""

import json
from dataclasses import replace
from typing import TYPE_CHECKING

from stockroom.refusals import Unknown, Unreadable
from stockroom.units.texts import near

if TYPE_CHECKING:
    from stockroom.settings.shop_settings import Settings

__all__ = ["MAIN", "known_machine", "machines_known", "on_machine", "same_name"]

MAIN = "main"
"""The machine of a shop that never named one, and of the cuts it recorded until it did."""
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
        raise Unknown("machine", typed, near(typed, every) or every)
    return found


def same_name(settings: "Settings", typed: str) -> str:
    """A machine's name as the shop spells it, or as typed where it is new.

    Raises:
        Unreadable: it can name none.
    """
    name = typed.strip()
    if not name or len(name) > LONGEST or not name.isprintable():
        raise Unreadable(typed, f"a machine's name, 1 to {LONGEST} printable characters")
    return next((one for one in machines_known(settings) if one.lower() == name.lower()), name)


def on_machine(settings: "Settings", name: str) -> "Settings":
    """The settings with another machine in use: its own values, or the present ones if it is new.

    What the machine that was in use is set to is kept for when it is used again.
    """
    if name == settings.machine:
        return settings
    kept = json.loads(settings.machines)
    kept[settings.machine] = [settings.cutter, settings.kerf_um, settings.clean_up_um]
    cutter, kerf, clean_up = kept.get(name, kept[settings.machine])
    return replace(settings, machine=name, machines=json.dumps(kept, sort_keys=True),
                   cutter=cutter, kerf_um=kerf, clean_up_um=clean_up)  # fmt: skip
