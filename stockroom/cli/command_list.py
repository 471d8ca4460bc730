"""Every command: the panel it is listed in, the module and function that have it, what it does.

Nothing of a command is loaded before it is called, so that help and start-up cost nothing.
"""

import importlib
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stockroom.words.languages import translated

__all__ = ["ALSO_CALLED", "COMMANDS", "DAY", "Listed", "one_screen"]


@dataclass(frozen=True)
class Listed:
    """A command as help lists it, and where it is: its panel, module:function, and first line."""

    panel: str
    where: str
    line: str

    def load(self) -> Callable[..., Any]:
        """The function that runs the command, or the typer.Typer of a command with parts."""
        module, _, name = self.where.partition(":")
        found: Callable[..., Any] = getattr(
            importlib.import_module(f"stockroom.cli.{module}"), name
        )
        return found


COMMANDS = {
    "plan": Listed("Morning", "morning:plan",
        "Decide which pieces to cut for the frames that are due."),
    "show": Listed("Morning", "morning:show",
        "Show a plan again."),
    "plans": Listed("Morning", "morning:plans",
        "List the plans, newest first."),
    "accept": Listed("Morning", "morning:accept",
        "Accept a proposed plan: its pieces and frames are held until they are cut."),
    "drop": Listed("Morning", "morning:drop",
        "Let a plan go; what it still holds is free again."),
    "cut": Listed("At the saw", "saw:cut",
        "Record what was cut: as planned, or what differs."),
    "afresh": Listed("At the saw", "saw:afresh",
        "Cut a frame again whole: what was cut for it goes back on the rack."),
    "sheet": Listed("At the saw", "making.printing:sheet",
        "Print a plan's cut sheet to a PDF: the walk, the drawings, boxes to tick and to write "
        "in."),
    "scan": Listed("At the saw", "saw:scan",
        "Open what a scanned code stands for: a plan, a piece or a job."),
    "labels": Listed("Rack", "making.printing:labels",
        "Print labels for pieces to a PDF: number, profile, batch, length, place, day, code."),
    "order": Listed("Weekly", "weekly:order",
        "Say what to buy this week, by supplier, and why."),
    "worth": Listed("Weekly", "insight:worth",
        "Learn what a profile's leftovers are worth from its jobs; plans use it from now on."),
    "replay": Listed("Weekly", "insight:replay",
        "Cut the shop's own days again in other ways, beside what really happened."),
    "ways": Listed("Weekly", "weekly:ways",
        "Compare a stick, rails cut to size (chop), and a stick shared with other jobs."),
    "supplied": Listed("Weekly", "weekly:supplied",
        "Note that the rails a job waits for have come from the supplier, cut to size "
        "(chop)."),
    "moulding-price": Listed("Counter", "pricing.quotes:moulding_price",
        "Say what to ask for a job's moulding by the shop's rule, beside what it really costs."),
    "quote": Listed("Counter", "pricing.quotes:quote",
        "Price a job's moulding by the shop's rule and keep the quote; nothing is taken in."),
    "quotes": Listed("Counter", "pricing.quotes:quotes",
        "List the quotes that may become jobs, the newest first, and say which are stale."),
    "quote-again": Listed("Counter", "pricing.quotes:quote_again",
        "Price a quote again, as of today; the new one takes its place."),
    "take-quote": Listed("Counter", "pricing.quotes:take_quote",
        "Take a quoted job in at the price that was said."),
    "calibrate": Listed("Weekly", "shop:calibrate",
        "Say what each machine really takes at each cut, from measured leftovers."),
    "take": Listed("Counter", "counter:take",
        "Take a job in and show its sizes; with nothing given, asks question by question."),
    "sizes": Listed("Counter", "counter:sizes",
        "Show the sizes of a frame without taking a job in."),
    "promise": Listed("Counter", "counter:promise",
        "Say whether a job can be ready by a day, before it is taken in; nothing is reserved."),
    "take-file": Listed("Counter", "counter:take_file",
        "Take jobs in from a CSV file: all of them, or none."),
    "jobs": Listed("Counter", "bench_stages:jobs",
        "List the jobs that wait for something, by due day."),
    "job": Listed("Counter", "counter:job",
        "Show one job and its sizes."),
    "hold": Listed("Counter", "job_changes:hold",
        "Hold a job back from plans."),
    "release": Listed("Counter", "job_changes:release",
        "Let a held job into plans again."),
    "change": Listed("Counter", "job_changes:change",
        "Change what a job is; cut rails that fit stay."),
    "cancel": Listed("Counter", "job_changes:cancel",
        "Cancel a job; its loose rails go back on the rack."),
    "joined": Listed("Bench", "bench_stages:joined",
        "Say that the frames of jobs are joined."),
    "fitted": Listed("Bench", "bench_stages:fitted",
        "Say that the works of jobs are in their frames."),
    "ready": Listed("Bench", "bench_stages:ready",
        "Say that jobs wait to be collected; names whom to call."),
    "collected": Listed("Bench", "bench_stages:collected",
        "Say that jobs were fetched by their customers: nothing is left to do."),
    "hang": Listed("Counter", "making.ticketing:hang",
        "Show how a job is joined, fitted, weighed and hung."),
    "ticket": Listed("Counter", "making.ticketing:ticket",
        "Print a job's ticket to a PDF: sizes, the section to scale, joining, weight, hanging."),
    "receive": Listed("Rack", "rack:receive",
        "Put sticks from the supplier on the rack, each with its measured length."),
    "found": Listed("Rack", "rack:found",
        "Log pieces that no list knew; measure an offcut along its back edge."),
    "find": Listed("Rack", "rack:find",
        "Find pieces on the rack."),
    "flaw": Listed("Rack", "rack:flaw",
        "Mark a stretch of a piece that cannot be used."),
    "move": Listed("Rack", "rack:move",
        "Say that a piece is now at another place on the rack."),
    "remeasure": Listed("Rack", "rack:remeasure",
        "Correct a piece's length to what the tape says."),
    "batch": Listed("Rack", "offcuts:batch",
        "Say of which batch pieces are, and all that was cut from the same sticks."),
    "mark": Listed("Rack", "offcuts:mark",
        "Say of pieces that they are bowed, seconds, a customer's own, or where a motif begins."),
    "give-back": Listed("Rack", "offcuts:give_back",
        "Give a customer's own moulding back: the pieces leave the rack."),
    "write-off": Listed("Rack", "rack:write_off",
        "Send a piece to scrap."),
    "part-with": Listed("Rack", "saw:part_with",
        "Cut a length off a piece outside any plan: sold, for a sample corner, as a gift."),
    "dead": Listed("Rack", "offcuts:dead",
        "List dead offcuts, which no job is going to use, and why; and sticks a year won't reach."),
    "readymade": Listed("Rack", "offcuts:readymade",
        "List the frames of standard sizes that the rack's offcuts yield today, no stick opened."),
    "history": Listed("Record", "record:history",
        "Show the life of a piece with its offcuts, or of a job from measure to cut."),
    "entries": Listed("Record", "record:entries",
        "List what happened last, newest first."),
    "undo": Listed("Record", "record:undo",
        "Undo the last thing you did, or an entry that nothing later builds on."),
    "audit": Listed("Record", "record:audit",
        "Prove the record from its entries and seals; list each fault with expected and found."),
    "backup": Listed("Record", "keeping:backup",
        "Copy the record while others use it, and prove the copy by an audit."),
    "restore": Listed("Record", "keeping:restore",
        "Bring a backup back; what it replaces is kept under another name."),
    "export": Listed("Record", "keeping:export",
        "Write the whole record, entries included, to a file of JSON lines."),
    "import": Listed("Record", "keeping:import_",
        "Make a record where there is none, named by --shop, from an export or a backup."),
    "save": Listed("Record", "keeping:save",
        "Write suppliers, profiles, the rack or the waiting jobs to a CSV file that loads again."),
    "count": Listed("Rack", "keeping:count",
        "Begin a count: list what should be there."),
    "seen": Listed("Rack", "keeping:seen",
        "Enter what was seen at a count; show the differences, and settle them with a reason."),
    "profiles": Listed("Catalogue", "catalogue:profiles",
        "List the profiles."),
    "profile": Listed("Catalogue", "catalogue:profile",
        "Show all that is known of a profile, change it, or add one, question by question."),
    "suppliers": Listed("Catalogue", "catalogue:suppliers",
        "List the suppliers."),
    "supplier": Listed("Catalogue", "catalogue:supplier",
        "Show a supplier and its terms, change them, or add one, question by question."),
    "load-suppliers": Listed("Catalogue", "catalogue:load_suppliers",
        "Put suppliers into the catalogue from a CSV file: code, name, note, terms."),
    "load-profiles": Listed("Catalogue", "catalogue:load_profiles",
        "Put profiles into the catalogue from a CSV file, or a new price list over it."),
    "load-rack": Listed("Catalogue", "catalogue:load_rack",
        "Log the pieces of a CSV file as found on the rack."),
    "load-past": Listed("Catalogue", "catalogue:load_past",
        "Load the jobs of an old book, so that the week's order knows the past from its first "
        "day."),
    "setup": Listed("Shop", "shop:setup",
        "Make a new shop's record; with nothing given, asks question by question."),
    "settings": Listed("Shop", "shop:settings",
        "Show the shop's settings, or change one."),
    "now": Listed("Shop", "what_now:say_now",
        "Say what matters now, each with its command; as stockroom alone does."),
    "commands": Listed("Shop", "what_now:commands",
        "Say what each command does, by the parts of the day."),
    "where": Listed("Shop", "shop:where",
        "Say where the shop's record is, and its last good backup."),
    "demo": Listed("Shop", "shop:demo",
        "Play a week in an invented workshop: plan, cut, order."),
    "serve": Listed("Shop", "serving.serve:serve",
        "Open the shop as pages, for a tablet at the saw and a screen at the counter."),
    "numbers": Listed("Weekly", "numbers:numbers",
        "What was wasted, and what lies on the rack."),
    "orders": Listed("Weekly", "ordering:orders",
        "Draft, place and receive orders."),
    "paper": Listed("Counter", "making.paper_pages:pages",
        "Print the day, sheets to cut, shelves to count, a receipt, a quote, job labels."),
    "picture": Listed("Rack", "making.picturing:pictures",
        "Draw a plan or the rack, to a file or on the screen; a job's frame from its front."),
}  # fmt: skip

ALSO_CALLED = {
    "stock": "find", "list": "find", "inventory": "find", "stocktake": "count", "add": "found",
    "price": "moulding-price", "waste": "numbers waste", "scrap": "write-off", "trash": "write-off",
    "sell": "part-with", "sample": "part-with --as sample", "gift": "part-with --as gift",
    "buy": "order", "deliver": "orders receive", "config": "settings", "today": "now",
    "miscut": "cut --piece PIECE --miscut RAIL", "lost": "cut --piece PIECE --missing",
    "help": "commands",
}  # fmt: skip
"""Other words for a command; those that take other words after them name a PIECE."""
DAY = ("Counter", "Morning", "At the saw", "Bench", "Rack", "Weekly", "Catalogue", "Record", "Shop")
"""The panels in the order of the day."""
WIDE = 80


def one_screen(said: Callable[[str], str] = translated) -> str:
    """All commands by the parts of the day, on one screen of 80 columns."""
    lines = [said("A picture framer's rack, jobs, cuts and orders."), ""]
    for panel in DAY:
        names = [name for name, listed in COMMANDS.items() if listed.panel == panel]
        lines += textwrap.wrap(
            f"{said(panel):<12}{' '.join(names)}", WIDE, subsequent_indent=" " * 12,
            break_on_hyphens=False, break_long_words=False,
        )  # fmt: skip
    return "\n".join([
        *lines, "",
        said(
            "stockroom alone says what matters now, stockroom commands what each one does,\n"
            "stockroom COMMAND --help how it is typed. Before a command: --shop FILE|URL,\n"
            "--who NAME, --day DAY, --wait SECONDS, --key KEY; --install-completion once."
        ), "",
    ])  # fmt: skip
