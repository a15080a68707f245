"""`intake import KIND FILE`: a person's own lists."""

from collections.abc import Callable, Sequence
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.everything import import_all
from intake.cli.list_options import ListPerson, ReadingArguments, reading_options
from intake.errors import RefusedError
from intake.flow.lists.column_help import column_help
from intake.flow.lists.field_forms import is_soft
from intake.flow.lists.import_file import ListAudience, import_file
from intake.flow.lists.import_list import COLUMNS, ImportResult, ListKind
from intake.flow.lists.import_words import import_lines
from intake.flow.lists.reasons import BadRow
from intake.units.counts import counted

BAD_ROWS_SHOWN = 20

SUMMARIES = {
    ListKind.EDITIONS: "Import a catalog: one row for each edition.",
    ListKind.PRINTINGS: "Import printings: what distinguishes the printings of an edition.",
    ListKind.PLACES: "Import rooms, bookcases and shelves: one row for each shelf.",
    ListKind.COPIES: (
        "Import box lists: one row for each copy, with its box, state and value. Its edition has to be in the catalog: "
        "of a table that has the titles as well, import the same file as editions first."
    ),
    ListKind.BOXES: "Import sizes, masses and seals of boxes.",
    ListKind.CONSIGNMENT: "Import consignments: who sends which boxes to whom by which carrier.",
}


@click.group("import")
def import_group() -> None:
    """Import a list from a table (CSV of any kind, XLSX, XLS, ODS), or from MARC 21, MARCXML or ONIX for Books records.

    The file is told by its content and the columns by their headings, in many languages; what was guessed, every column
    that is not used and every row that is left out are shown first, so look at --dry-run. All or nothing: one bad row
    stops the import and is shown with its line and reason. Each kind's own help lists its columns.
    """


class ListCommand(click.Command):
    """The import of one kind of list, whose help shows the columns."""

    def __init__(self, kind: ListKind, run: Callable[..., None]) -> None:
        super().__init__(
            kind.value,
            callback=run,
            help=SUMMARIES[kind],
            params=[
                click.Argument(["file"], type=PathArgument),
                click.Option(["--dry-run"], is_flag=True, help="Show what would change, and change nothing."),
                click.Option(["--skip-bad-rows"], is_flag=True, help="Import the good rows even if others are not."),
                click.Option(["--rows", "by_row"], is_flag=True, help="Show row by row what changes."),
                click.Option(["--all", "show_all"], is_flag=True, help="Show every row and column, however many."),
                *reading_options(),
            ],
        )
        self.kind = kind

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - given by click
        """Write the columns, with what each takes and an example, and a whole row."""
        columns = column_help(COLUMNS[self.kind])
        with formatter.section("Columns (* required)"):
            formatter.write_dl(
                [
                    (
                        f"{column.field}{'*' if column.required else ''}",
                        f"{column.meaning}"
                        + (f", such as {column.example}" if column.example else "")
                        + (f". Also headed: {', '.join(column.other_headings)}" if column.other_headings else ""),
                    )
                    for column in columns
                ]
            )
        with formatter.section("Example"):
            cells = [f'"{column.example}"' if "," in column.example else column.example for column in columns]
            formatter.write(f"  {','.join(column.field for column in columns)}\n  {','.join(cells)}\n")


def _run(kind: ListKind) -> Callable[..., None]:
    @pass_context
    def run(
        context: CommandContext,
        /,
        file: Path,
        *,
        dry_run: bool,
        skip_bad_rows: bool,
        by_row: bool,
        show_all: bool,
        **said: object,
    ) -> None:
        person = ListPerson(context, file.name, show_all=show_all)
        result = import_file(
            context.settings.library,
            kind,
            file,
            reading=ReadingArguments.taken_from(said).reading(),
            audience=ListAudience(person.choose, person.show),
            dry_run=dry_run,
            skip_bad_rows=skip_bad_rows,
            by_row=by_row,
            station=context.settings.station,
            today=startup.today(),
        )
        if dry_run and result.is_new_library:
            folder = context.settings.library
            context.say(f"There is no library in {folder} yet; a new one would be made with this list.")
        elif result.is_new_library and result.entries:
            context.say(f"Made a new library in {context.settings.library}.")
            context.say_own_folder()
        refused = bool(result.bad_rows) and not skip_bad_rows
        show_import(context, file.name, result, dry_run=dry_run, refused=refused, show_all=show_all)
        if refused:
            raise RefusedError(
                str(file),
                f"has {counted(len(result.bad_rows), 'row')} that cannot be used; "
                + ("the import would be refused" if dry_run else "nothing was imported"),
                _cure(result.bad_rows),
            )

    return run


for kind in ListKind:
    import_group.add_command(ListCommand(kind, _run(kind)))
import_group.add_command(import_all)


def show_import(
    context: CommandContext,
    name: str,
    result: ImportResult,
    *,
    dry_run: bool = False,
    refused: bool = False,
    show_all: bool = False,
) -> None:
    """Show what an import did, row by row where that was kept, and which rows cannot be used."""
    most = None if show_all else BAD_ROWS_SHOWN
    for line in import_lines(name, result, today=startup.today(), dry_run=dry_run, refused=refused, most=most):
        context.say(line)


def _cure(bad_rows: Sequence[BadRow]) -> str:
    """Return what can be done about bad rows."""
    soft = [bad for bad in bad_rows if all(is_soft(fault.field) for fault in bad.faults)]
    if not soft:
        return "correct them, or leave them out with --skip-bad-rows"
    fields = " or ".join(dict.fromkeys(fault.field for bad in soft for fault in bad.faults))
    return (
        "correct them, leave them out with --skip-bad-rows, or give --empty-bad-cells to keep those of which only "
        f"{fields} cannot be read"
    )


COMMANDS = (import_group,)
