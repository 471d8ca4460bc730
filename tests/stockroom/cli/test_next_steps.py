"""Every step that is named next works from where one is: a shop is walked through its states, and
each command that is named is run on a copy of its record."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from tests.stockroom.cli.bench import run

SUPPLIERS = "code,name\nLARK,Lark Hollow\n"
PROFILES = (
    "code,supplier,name,kind,face,rabbet_width,rabbet_depth,stick_length,price_per_stick,"
    "shortest_kept,end_trim,batch_matched\n"
    "ASH-22,LARK,ash,rabbeted,22,6,14,3000,18.50,300,10,no\n"
)
JOBS = "customer,profile,width,height,due\nB. Ide,ASH-22,300,200,2026-11-27\n"
RACK = "profile,batch,kind,length\nASH-22,B0,offcut,400\n"
PAST = "day,profile,width,height\n2026-03-02,ASH-22,300,200\n"
NAMED = re.compile(r"stockroom ((?:(?!stockroom)(?![,;.] |\.?$| \()[^\n])+)", re.MULTILINE)
FILLED_IN = {"PROFILE": "ASH-22", "BATCH": "B9", "LENGTH..": "2998", "LENGTH...": "2998",
             "NUMBERS..": "2", "LENGTH": "3.2 mm", "PIECE": "2", "CODE": "OAK-1"}  # fmt: skip


class Walk:
    """A shop walked through its states; what each command named next was run on a copy."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.where, self.tried = folder, str(folder / "shop.db"), list[str]()
        for name, text in (("suppliers", SUPPLIERS), ("profiles", PROFILES), ("jobs", JOBS),
                           ("rack", RACK), ("past", PAST)):  # fmt: skip
            (folder / f"{name}.csv").write_text(text, "utf-8")

    def step(self, typed: str, *, then: str = "") -> str:
        """A command that goes well, and every one that it names next; gives all that it said."""
        done = run(self.where, *shlex.split(typed.format(here=self.folder)))
        assert done.exit_code == 0, (typed, done.output)
        said = done.output
        named = re.findall(r"^Next: (.*)$", said, re.MULTILINE)
        if typed == "":
            named = [line.partition(": ")[2] for line in said.splitlines()[1:]]
        for command in NAMED.findall("\n".join(named)):
            self.runs(command)
        assert then in " ".join(named), (typed, named)
        return said

    def runs(self, command: str) -> None:
        """A command as it is named does something, or asks for what is to be typed."""
        apart = self.folder / f"copy-{len(self.tried)}"
        apart.mkdir()
        copy = shutil.copyfile(self.where, apart / "shop.db")
        loads = re.match(r"load-(\w+) FILE", command)
        file = str(self.folder / f"{loads[1]}.csv") if loads else "unknown"
        words = [file if word in ("FILE", "FILE.csv") else FILLED_IN.get(word, word)
                 for word in shlex.split(command)]  # fmt: skip
        done = run(str(copy), *words)
        asked = "there is no terminal" in done.output
        assert done.exit_code == 0 or asked, (command, words, done.output)
        self.tried.append(command)


@pytest.mark.unaudited
def test_every_step_named_next_works_from_where_one_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    walk = Walk(tmp_path)
    walk.step("setup --unit mm --set margin=0", then="load-suppliers FILE")
    walk.step("", then="stockroom order")
    walk.step("load-suppliers {here}/suppliers.csv --dry-run", then="load-suppliers /")
    walk.step("load-suppliers {here}/suppliers.csv", then="load-profiles FILE")
    walk.step("load-profiles {here}/profiles.csv --dry-run", then="load-profiles /")
    walk.step("load-profiles {here}/profiles.csv", then="receive PROFILE")
    walk.step("load-past {here}/past.csv --dry-run", then="load-past /")
    walk.step("load-rack {here}/rack.csv --dry-run", then="load-rack /")
    walk.step("numbers rack", then="receive PROFILE")
    walk.step("numbers waste", then="stockroom take")
    walk.step("jobs", then="stockroom take")
    walk.step("orders list", then="order --draft")
    # Taken in for Friday, it is planned for Friday.
    walk.step("take-file {here}/jobs.csv --dry-run", then="take-file /")
    walk.step("take --customer A -p ASH-22 -w 300 --height 200 --due Fri",
              then="plan --until 2026-11-27")  # fmt: skip
    walk.step("plan --until Fri", then="stockroom order")
    walk.step("order --until Fri", then="order --draft")
    walk.step("order --until Fri --draft", then="orders place 1")
    walk.step("orders place 1", then="orders receive 1")
    walk.step("order", then="plan --until")
    walk.step("receive ASH-22 B1 2x3000", then="labels 1..2")
    walk.step("")
    walk.step("plan --until Fri", then="accept 2")
    walk.step("drop 2", then="plan --until 2026-11-27")
    walk.step("show 2", then="plan --until 2026-11-27")
    walk.step("hold J1", then="release J1")
    walk.step("jobs")
    walk.step("release J1", then="plan --until 2026-11-27")
    walk.step("change J1 --due 2026-11-23", then="stockroom plan")
    walk.step("plan", then="accept 3")
    walk.step("accept", then="cut 3")
    walk.step("", then="cut 3")
    walk.step("show", then="cut 3")
    walk.step("calibrate", then="cut 3")
    walk.step("order", then="cut 3")
    walk.step("cut --as-planned --no-labels", then="stockroom order")
    walk.step("", then="stockroom labels")
    walk.step("afresh J1 --scrap", then="stockroom plan")
    walk.step("undo", then="entries")
    walk.step("count", then="seen --since")
    walk.step("find ASH-22 --over 2990 --batch NONE", then="order")
    walk.step("where", then="backup")
    walk.step("settings kerf 3.0")
    assert len(walk.tried) > 50
