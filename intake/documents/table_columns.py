"""The columns of a table: as wide as what they hold, and none narrower than an amount or a number in it.

Where everything fits on one line, it does; what is left over is shared out. Otherwise a column gets more the more text
it has to hold. Where not even the longest numbers fit side by side, the table is set in smaller type.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from intake.documents.text_fit import Setter
from intake.model.pages import Align
from intake.units.language import say, say_as

BODY_PT = 9.0
SIZES_PT = (BODY_PT, 8.0, 7.0, 6.0, 5.0)
HEAD_PT = 7.5
GAP_MM = 3.0
"""Space between two columns."""
WORD_MM, NUMBER_MM = 24.0, 80.0
"""A longer word may be broken between its letters; so may a longer number, which no amount is."""
COMMON = 0.95
"""The share of the cells that count for how much text a column holds: one very long title does not make it wide."""


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column of a table.

    Attributes:
        share: what it gets of room that no column needs, relative to the others.
        context: of its head where that is another word in another context, as `say_as` has it.
    """

    head: str
    share: float
    align: Align = Align.LEFT
    bold: bool = False
    context: str = ""

    def spoken_head(self) -> str:
        """Return its head in the language of the paper."""
        return say_as(self.context, self.head) if self.context else say(self.head)


@dataclass(frozen=True, slots=True)
class ColumnWidths:
    """The columns with the (x, width) of each from the left edge of the table, and the size of the type in them."""

    columns: tuple[TableColumn, ...]
    spans: tuple[tuple[float, float], ...]
    size_pt: float = BODY_PT


def size_columns(
    columns: Sequence[TableColumn], rows: Iterable[Sequence[str]], setter: Setter, width_mm: float
) -> ColumnWidths:
    """Return the widths of columns, with their heads in the language of the paper.

    Args:
        columns: as they are declared.
        rows: of all the tables that are to have the same widths.
        setter: measures the texts.
        width_mm: of the whole table.
    """
    columns = [replace(column, head=column.spoken_head()) for column in columns]
    cells = list(zip(*rows, strict=True)) or [()] * len(columns)
    measured = [_measure(column, texts, setter) for column, texts in zip(columns, cells, strict=True)]
    heads = [max((setter.unit(word, bold=False) for word in column.head.split()), default=0.0) for column in columns]
    free = width_mm - GAP_MM * (len(columns) - 1)
    for size in SIZES_PT:
        least = [
            max(min(number * size, NUMBER_MM), min(word * size, WORD_MM), head * HEAD_PT)
            for (number, word, _, _), head in zip(measured, heads, strict=True)
        ]
        if sum(least) <= free:
            break
    else:
        least = [width * free / sum(least) for width in least]
    texts = [text * size for _, _, _, text in measured]
    heads = [min(setter.unit(column.head, bold=False) * HEAD_PT, WORD_MM) for column in columns]
    wanted = [max(sizes) for sizes in zip(least, (line * size for _, _, line, _ in measured), heads, strict=True)]
    left = free - sum(wanted)
    if left >= 0:
        shares = sum(column.share for column in columns)
        widths = [width + left * column.share / shares for width, column in zip(wanted, columns, strict=True)]
    else:
        widths = _shared(least, wanted, texts, free)
    return ColumnWidths(tuple(columns), _spans(widths), size)


def _measure(column: TableColumn, texts: Sequence[str], setter: Setter) -> tuple[float, float, float, float]:
    """Return, in mm at 1 pt, the widths of the longest number and word, of a common long line and of a long cell."""
    number = word = 0.0
    lines: list[float] = []
    cells: list[float] = []
    for text in dict.fromkeys(texts):
        sizes = [setter.sizes(paragraph, bold=column.bold) for paragraph in text.split("\n")]
        number = max(number, *(size.number for size in sizes))
        word = max(word, *(size.word for size in sizes))
        lines.append(max(size.line for size in sizes))
        cells.append(sum(size.line for size in sizes))
    return number, word, _common(lines), _common(cells)


def _common(widths: list[float]) -> float:
    return sorted(widths)[min(len(widths) - 1, int(COMMON * len(widths)))] if widths else 0.0


def _shared(least: list[float], most: list[float], texts: list[float], free: float) -> list[float]:
    """Give each column what it needs at least, and the rest by the text in it, as far as it can use that."""
    widths = dict(enumerate(least))
    growing = {n for n in widths if most[n] > least[n]}
    left = free - sum(least)
    while growing and left > 1e-9:
        # A column to be written in by hand holds nothing, and is to be as wide as its head all the same.
        weights = {n: max(min(texts[n], free * 2), 1.0) for n in growing}
        unit = left / sum(weights.values())
        for n in sorted(growing):
            widths[n] += min(unit * weights[n], most[n] - widths[n])
        left = free - sum(widths.values())
        growing = {n for n in growing if most[n] - widths[n] > 1e-9}
    return [widths[n] for n in range(len(least))]


def _spans(widths: Sequence[float]) -> tuple[tuple[float, float], ...]:
    spans, x = [], 0.0
    for width in widths:
        spans.append((x, width))
        x += width + GAP_MM
    return tuple(spans)
