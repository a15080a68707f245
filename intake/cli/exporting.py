"""`intake export KIND FILE`: lists and records for other people and programs."""

from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.everything import export_all
from intake.flow.lists.export_records import XML_FORMATS, ExportKind, export_records
from intake.flow.lists.remark_words import export_lines
from intake.flow.papers.option_fields import BYTE_ORDER_MARK
from intake.units.counts import counted

FormatOption = click.option(
    "--format",
    "format_",
    type=click.Choice([one.value for one in XML_FORMATS]),
    help="What kind of XML a .xml file is.",
)
MarkOption = click.option("--bom", "marked", is_flag=True, help=BYTE_ORDER_MARK.summary)


@click.group("export")
def export_group() -> None:
    """Export editions, copies, or everything that is recorded.

    The suffix of FILE says how it is written: .csv and .xlsx have the columns of the import, .mrc is MARC 21 (ISO 2709,
    UTF-8), .xml is MARCXML or ONIX for Books 3.0 and needs --format. A file that is there is replaced. What the format
    cannot hold is said.
    """


@export_group.command("editions")
@click.argument("file", type=PathArgument)
@FormatOption
@MarkOption
@pass_context
def export_editions(context: CommandContext, file: Path, format_: str | None, *, marked: bool) -> None:
    """Export every edition: a catalog, MARC 21 records or an ONIX message."""
    _export(context, ExportKind.EDITIONS, file, format_, marked=marked)


@export_group.command("copies")
@click.argument("file", type=PathArgument)
@FormatOption
@MarkOption
@pass_context
def export_copies(context: CommandContext, file: Path, format_: str | None, *, marked: bool) -> None:
    """Export every copy: a box list, or MARC 21 records with their items (852, 876)."""
    _export(context, ExportKind.COPIES, file, format_, marked=marked)


def _export(context: CommandContext, kind: ExportKind, file: Path, format_: str | None, *, marked: bool) -> None:
    with context.library() as library:
        context.say_end_caution(library)
        result = export_records(library, kind, file, format_=format_, marked=marked, today=startup.today())
    for line in export_lines(result.remarks):
        context.say(f"{file.name}: {line}")
    one = {ExportKind.EDITIONS: "edition", ExportKind.COPIES: "copy"}[kind]
    context.say(f"{file.name}: wrote {counted(result.count, one, kind.value)}")


export_group.add_command(export_all)

COMMANDS = (export_group,)
