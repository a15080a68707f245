"""`intake print …`: labels, packing lists and inventories."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.edges import templates
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.flow.lookup.resolve import find_box, find_copy, find_shelf
from intake.flow.papers import printing, shelf_papers
from intake.flow.papers.paper_contents import by_serial
from intake.model.editions import Copy, CopyState
from intake.model.pages import PrintReport
from intake.model.papers import A4_MM, LETTER_MM, LabelUse
from intake.model.places import Place

Command = TypeVar("Command", bound=Callable[..., None])

PAPERS = {"a4": A4_MM, "letter": LETTER_MM}

output_option = click.option("-o", "--output", "path", required=True, type=PathArgument, help="File to write.")
paper_option = click.option("--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True)

changed_option = click.option(
    "--changed", "only_changed", is_flag=True, help="Only those that changed since last printed."
)


def label_options(template: str) -> Callable[[Command], Command]:
    """Add the options that all labels share."""

    def add(command: Command) -> Command:
        names = ", ".join(templates.names())
        with_start = click.option(
            "--start",
            type=click.IntRange(1),
            default=1,
            show_default=True,
            help="First label that is still on the sheet.",
        )(command)
        return click.option(
            "--template", default=template, show_default=True, help=f"One of {names}, or a TOML file of your own."
        )(with_start)

    return add


@click.group("print")
def print_group() -> None:
    """Print labels, packing lists and inventories."""


@print_group.command("shelf-labels")
@click.argument("shelf", nargs=-1)
@changed_option
@label_options(printing.SHELF_TEMPLATE)
@output_option
@pass_context
def shelf_labels_command(
    context: CommandContext, shelf: tuple[str, ...], *, template: str, start: int, path: Path, only_changed: bool
) -> None:
    """Print labels for the SHELVES named, or for all."""
    with context.library() as library:
        with library.reading() as records:
            shelves = [find_shelf(records, text) for text in shelf] or shelves_in_order(records)
        on = printing.LabelStock(template, start)
        _print_labels(context, library, (LabelUse.SHELF, shelves), on, path, only_changed=only_changed)


@print_group.command("copy-flags")
@click.argument("copy", nargs=-1)
@changed_option
@label_options(printing.FLAG_TEMPLATE)
@output_option
@pass_context
def copy_flags_command(
    context: CommandContext, copy: tuple[str, ...], *, template: str, start: int, path: Path, only_changed: bool
) -> None:
    """Print slips to be laid into the COPIES named, or into all that stand on shelves; never stick one on."""
    with context.library() as library:
        copies = _copies(library, copy)
        on = printing.LabelStock(template, start)
        _print_labels(context, library, (LabelUse.FLAG, copies), on, path, only_changed=only_changed)


@print_group.command("spine-labels")
@click.argument("copy", nargs=-1)
@changed_option
@label_options(shelf_papers.SPINE_TEMPLATE)
@output_option
@pass_context
def spine_labels_command(
    context: CommandContext, copy: tuple[str, ...], *, template: str, start: int, path: Path, only_changed: bool
) -> None:
    """Print narrow labels for loose jacket covers and slipcases of the COPIES named, or of all that stand on shelves.

    Never stick one on a book or on its own jacket.
    """
    with context.library() as library:
        copies = _copies(library, copy)
        on = printing.LabelStock(template, start)
        _print_labels(context, library, (LabelUse.SPINE, copies), on, path, only_changed=only_changed)


def _copies(library: Library, texts: tuple[str, ...]) -> list[Copy]:
    """Return the copies named, or all that stand on shelves."""
    with library.reading() as records:
        if texts:
            return [find_copy(records, text) for text in texts]
        return by_serial(found for found, _ in all_copies(records) if found.state is CopyState.SHELVED)


def _print_labels(
    context: CommandContext,
    library: Library,
    what: tuple[LabelUse, Sequence[Place] | Sequence[Copy]],
    on: printing.LabelStock,
    path: Path,
    *,
    only_changed: bool,
) -> None:
    report, count = shelf_papers.print_labels(
        library, *what, on, path, only_changed=only_changed, station=context.settings.station
    )
    if report is None:
        context.say("Every label says what it said when last printed; nothing was written.")
        return
    context.say("1 label." if count == 1 else f"{count} labels.")
    _done(context, path, report)


@print_group.command("box-labels")
@click.argument("box", nargs=-1)
@label_options(printing.BOX_TEMPLATE)
@output_option
@pass_context
def box_labels_command(context: CommandContext, box: tuple[str, ...], template: str, start: int, path: Path) -> None:
    """Print labels for the BOXES named, or for all."""
    with context.library() as library, library.reading() as records:
        boxes = [find_box(records, text) for text in box] or list_boxes(records)
        report = printing.print_box_labels(records, boxes, printing.LabelStock(template, start), path)
    _done(context, path, report)


@print_group.command("packing-list")
@click.argument("box", nargs=-1)
@paper_option
@output_option
@pass_context
def packing_list_command(context: CommandContext, box: tuple[str, ...], paper: str, path: Path) -> None:
    """Print what is in the BOXES named, or in all."""
    with context.library() as library, library.reading() as records:
        boxes = [find_box(records, text) for text in box] or list_boxes(records)
        report = printing.print_packing_lists(records, boxes, path, on=startup.today(), paper_mm=PAPERS[paper])
    _done(context, path, report)


@print_group.command("master-list")
@click.argument("reference")
@paper_option
@output_option
@pass_context
def master_list_command(context: CommandContext, reference: str, paper: str, path: Path) -> None:
    """Print the list of all boxes of the consignment with this carrier REFERENCE."""
    with context.library() as library, library.reading() as records:
        report = printing.print_master_list(records, reference, path, on=startup.today(), paper_mm=PAPERS[paper])
    _done(context, path, report)


@print_group.command("inventory")
@click.option("--owner", default="", help="Whose books they are, as it is to be printed.")
@paper_option
@output_option
@pass_context
def inventory_command(context: CommandContext, owner: str, paper: str, path: Path) -> None:
    """Write the valued inventory as .pdf, .xlsx or .csv."""
    with context.library() as library, library.reading() as records:
        report = printing.print_inventory(records, path, owner=owner, on=startup.today(), paper_mm=PAPERS[paper])
    _done(context, path, report)


def _done(context: CommandContext, path: Path, report: PrintReport) -> None:
    context.say(f"Wrote {path}{f', {report.pages} pages' if report.pages > 1 else ''}.")
    if report.missing:
        context.say(f"No font has {' '.join(report.missing)}: printed as a replacement sign.", style="yellow")
    if report.unshaped:
        context.say(f"Printed one by one, not joined: {' '.join(report.unshaped)}", style="yellow")


COMMANDS = (print_group,)
