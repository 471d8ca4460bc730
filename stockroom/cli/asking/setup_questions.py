"""Questions to a new shop; what is common where its computer is, is proposed."""

import os
from collections.abc import Callable
from dataclasses import replace

from stockroom.cli.app import say
from stockroom.frame.cutters import CUTTERS
from stockroom.screens.ask import ask_choice, ask_text
from stockroom.settings.local_settings import local_settings
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from stockroom.units.shop_unit import SHOP_UNITS
from stockroom.words.language import word

__all__ = ["ask_settings"]

KERFS = ("1/8 in", "3.2 mm")
"""How wide a blade's cut is as a rule, where shops measure in inches and where they do not."""


def ask_settings() -> dict[str, str]:
    """The settings of a new shop as typed, question by question; all can be changed later."""
    near = local_settings(os.environ)
    told = {"name": ask_text("The shop's name", "--name", default=Settings().name)}
    told["unit"] = ask_choice("Unit", "--unit", tuple(SHOP_UNITS), near["unit"])
    trial = with_setting(Settings(), "unit", told["unit"])

    def read(name: str) -> Callable[[str], object]:
        return lambda typed: with_setting(trial, name, typed)

    steps = tuple(trial.measure.steps)
    step = near["step"] if near["step"] in steps else steps[0]
    asked = word("Lengths are set to ({steps})", steps=steps)
    told["step"] = ask_text(asked, "--set step=", default=step, read=read("step"))
    told["currency"] = ask_text("Mark of money", "--set currency=", default=near["currency"],
                                read=read("currency"))  # fmt: skip
    told["timezone"] = ask_text("Time zone", "--set timezone=", default=near["timezone"],
                                read=read("timezone"))  # fmt: skip
    told["paper"] = ask_choice("Paper", "--set paper=", ("a4", "letter"), near["paper"])
    told["cutter"] = ask_choice("Cut on a", "--set cutter=", tuple(CUTTERS), "saw")
    if CUTTERS[told["cutter"]].has_kerf:
        trial = replace(trial, cutter=told["cutter"])
        told["kerf"] = ask_text("Width of its blade's cut", "--set kerf=",
                                default=KERFS[not trial.measure.inches],
                                read=read("kerf"))  # fmt: skip
    told |= {"dates": near["dates"], "csv": near["csv"]}
    say(word("Days are read {near} first, CSV is saved with {near_2}s. All of it: stockroom "
             "settings", near=word("day") if near["dates"] == "dmy" else word("month"),
             near_2=near["csv"]))  # fmt: skip
    return told
