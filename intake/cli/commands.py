"""Every command by the stage of the work it belongs to, and the module that is loaded when it runs.

The order is the order of the work; `intake --help` shows it. A module is loaded only for its own commands, so that help
and version come at once.
"""

from dataclasses import dataclass
from importlib import import_module

import click


@dataclass(frozen=True, slots=True)
class CommandEntry:
    """One command.

    Attributes:
        module: of `intake.cli`; its `COMMANDS` hold the command.
        summary: what it is for, in one line of the help.
    """

    name: str
    module: str
    summary: str


STAGES: tuple[tuple[str, tuple[CommandEntry, ...]], ...] = (
    (
        "Reading and looking up",
        (
            CommandEntry("read", "reading", "Read the barcodes in pictures, or from a camera."),
            CommandEntry("explain", "reading", "Say what a number is, or which check it fails and why."),
            CommandEntry("find", "lookup", "Find editions and copies by a number or by words."),
            CommandEntry("lookup", "servers", "Look up numbers at a library's server; take what it has."),
            CommandEntry("status", "lookup", "Show how far the work is."),
        ),
    ),
    (
        "Your own lists",
        (
            CommandEntry("import", "lists", "Import a list of editions, copies, boxes, places …"),
            CommandEntry(
                "export", "exporting", "Export editions, copies, or everything: tables, MARC 21, MARCXML, ONIX."
            ),
        ),
    ),
    (
        "Corrections",
        (
            CommandEntry("edition", "corrections", "Edit, merge and withdraw editions."),
            CommandEntry("copy", "corrections", "Edit, add, move and withdraw copies."),
        ),
    ),
    (
        "Packing",
        (
            CommandEntry("plan", "planning", "Plan which copy goes into which box and layer."),
            CommandEntry("box", "boxes", "Open, close, check in, finish and list boxes."),
            CommandEntry("pack", "boxes", "Put copies into an open box."),
            CommandEntry("lift", "moving", "Check whether a load may be lifted as described."),
            CommandEntry("weigh", "moving", "Record a box's gross mass and compare it with its list."),
            CommandEntry("consign", "arriving", "Put boxes into a consignment; its volume and mass."),
        ),
    ),
    (
        "Arrival and unpacking",
        (
            CommandEntry("parcel", "moving", "Guess what a wrapped parcel contains by its weight."),
            CommandEntry("unpack", "unpacking", "Take copies out of a box, scan by scan."),
            CommandEntry("pile", "pile", "See and decide what waits on the query pile."),
            CommandEntry("damage", "arriving", "Record that a copy came out of its box damaged."),
            CommandEntry("reconcile", "claiming", "Show what is missing, damaged or on no list."),
            CommandEntry("claim", "claiming", "Show the carrier's limit of liability and the notice periods."),
        ),
    ),
    (
        "Shelves",
        (
            CommandEntry("place", "shelves", "See rooms, bookcases and shelves, and make new ones."),
            CommandEntry("room", "shelving", "Show where a copy goes and what has to move for it."),
            CommandEntry("shelve", "shelves", "Record that copies stand on a shelf."),
            CommandEntry("order", "shelving", "Show or set the rule of order."),
            CommandEntry("arrange", "shelving", "Arrange all copies anew, with the fewest moves."),
            CommandEntry("check-shelf", "shelf_pictures", "Compare a photograph of a shelf with the record."),
            CommandEntry("loads", "shelving", "Compute the mass on shelves, and their sag."),
            CommandEntry("draw", "shelf_pictures", "Draw a bookcase with its books, to scale."),
        ),
    ),
    (
        "Serials",
        (CommandEntry("run", "runs", "Show what is held and missing of a serial, what to seek, what to spare."),),
    ),
    (
        "Condition and value",
        (
            CommandEntry("condition", "condition", "Record the condition of copies; print reports."),
            CommandEntry("compare", "comparing", "Compare an earlier and a later picture of one book."),
            CommandEntry("number-line", "valuing", "Read a printer's key as it is printed."),
            CommandEntry("value", "valuing", "Record what copies and sets are worth; totals; review."),
            CommandEntry("rates", "rates", "Import, enter and list exchange rates."),
            CommandEntry("sets", "valuing", "List sets with their missing and duplicate volumes."),
            CommandEntry("average", "valuing", "Compute what a loss pays under average."),
        ),
    ),
    (
        "Papers",
        (
            CommandEntry("print", "papers", "Print labels, packing lists and inventories."),
            CommandEntry("schedule", "schedules", "Write lists for insurer, carrier and customs."),
            CommandEntry("verify", "schedules", "Check a printed list against the library."),
        ),
    ),
    (
        "The ledger",
        (
            CommandEntry("history", "ledger", "Show the latest entries, or all about one copy."),
            CommandEntry("undo", "ledger", "Take back the last step, or the entry named."),
        ),
    ),
    (
        "Safekeeping",
        (
            CommandEntry("check", "safekeeping", "Check ledger, records, database and pictures."),
            CommandEntry("backup", "safekeeping", "Write the whole library into one archive."),
            CommandEntry("restore", "safekeeping", "Make a library from an archive."),
        ),
    ),
    (
        "The desk and the demonstration",
        (
            CommandEntry("serve", "serve", "Open the desk in the browser."),
            CommandEntry("demo", "demo", "Run the whole job on an invented household's books."),
        ),
    ),
)

ENTRIES: dict[str, CommandEntry] = {entry.name: entry for _, entries in STAGES for entry in entries}


class StagedGroup(click.Group):
    """A group that loads a command when it is run, and lists all of them by stage without loading any."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - given by click
        """Return the names in the order of the work."""
        return list(ENTRIES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - given by click
        """Load a command."""
        entry = ENTRIES.get(cmd_name)
        if entry is None:
            return None
        commands: tuple[click.Command, ...] = import_module(f"intake.cli.{entry.module}").COMMANDS
        return next(command for command in commands if command.name == cmd_name)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - given by click
        """Write a section for each stage."""
        width = max(map(len, ENTRIES))
        for stage, entries in STAGES:
            with formatter.section(stage):
                formatter.write_dl([(entry.name.ljust(width), entry.summary) for entry in entries])
