"""Tables in the language of their paper: the heads of their columns, and cells that a spreadsheet can work with."""

from dataclasses import replace

from intake.documents.line_breaks import SOFT_HYPHEN
from intake.edges.sheets import Cell, SplitBy
from intake.flow.papers.paper import PaperTable
from intake.units.language import say, spoken


def in_language(table: PaperTable) -> PaperTable:
    """Return a table with its heads in the language of the paper, and no cell or note with a soft hyphen.

    Those of its terms are for pages, where a long word may have to be broken.
    """
    if spoken() is None:
        return table
    return replace(
        table,
        header=tuple(map(say, table.header)),
        rows=(tuple(map(_without_soft_hyphens, row)) for row in table.rows),
        totals={say(name): _split(by) for name, by in table.totals.items()},
        notes=tuple(note.replace(SOFT_HYPHEN, "") for note in table.notes),
    )


def _split(by: SplitBy) -> SplitBy:
    if by is None:
        return None
    return say(by) if isinstance(by, str) else tuple(map(say, by))


def _without_soft_hyphens(cell: Cell) -> Cell:
    return cell.replace(SOFT_HYPHEN, "") if isinstance(cell, str) else cell
