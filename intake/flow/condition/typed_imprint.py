"""Help while the number line or the year of a book is typed: what it states, and what it contradicts."""

from datetime import date

from intake.edges.store.queries.editions import printings_of
from intake.edges.store.reader import LibraryReader
from intake.model.editions import MOVABLE_TYPE, Edition, Printing
from intake.valuing.number_line import NumberLine, parse_number_line


def line_help(reader: LibraryReader, edition: Edition | None, text: str) -> str:
    """Write what a number line states as far as it was typed; empty where nothing was typed."""
    if not text.strip():
        return ""
    line = parse_number_line(text)
    if line.printing is None:
        return f"It {line.why}." if line.why else "It states no printing."
    stated = f"Printing {line.printing}{f', {line.year}' if line.year else ''} ({line.form})."
    return " ".join(filter(None, (stated, *_compared(reader, edition, line))))


def _compared(reader: LibraryReader, edition: Edition | None, line: NumberLine) -> tuple[str, ...]:
    if edition is None:
        return ()
    recorded = [printing for printing in printings_of(reader, edition.id) if printing.ordinal == line.printing]
    years = {year for year in map(_year, recorded) if year and line.year and year != line.year}
    doubt = (f"But printing {line.printing} is recorded as of {min(years)}: read it again.",) if years else ()
    if edition.year and line.year and line.year < edition.year:
        doubt = (*doubt, f"But the edition is recorded as of {edition.year}, which is later: read both again.")
    return ("" if recorded else "It is not recorded yet.", *doubt)


def _year(printing: Printing) -> int | None:
    return printing.year or parse_number_line(printing.number_line).year


def year_help(reader: LibraryReader, edition: Edition | None, text: str, *, today: date) -> str:
    """Write what is wrong with a year as typed; empty where nothing is."""
    typed = text.strip()
    if not typed:
        return ""
    if not (typed.isascii() and typed.isdigit() and len(typed) == 4):
        return "A year has four digits."
    year = int(typed)
    if year > today.year + 1:
        return f"{year} is in the future."
    if year < MOVABLE_TYPE:
        return f"{year} is before printing with movable type, of about {MOVABLE_TYPE}."
    printings = printings_of(reader, edition.id) if edition is not None else ()
    earlier = [stated for printing in printings if (stated := _year(printing)) and stated < year]
    return (
        f"But a printing of {min(earlier)} is recorded: an edition is no later than its printings." if earlier else ""
    )
