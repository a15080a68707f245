"""Help while a person types what an edition collects: what is understood, and of which serials."""

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.statement_words import fault_words, remark_sentence
from intake.flow.runs.serial_map import collected_parts
from intake.runs.notation import read_statement, serial_key, write_parts
from intake.runs.statements import StatementFault
from intake.units.counts import counted


def typed_collects(reader: LibraryReader, text: str) -> str:
    """Return sentences on a statement that is being typed; empty for an empty text."""
    if not text.strip():
        return ""
    collected = collected_parts(reader)
    read = read_statement(text, frozenset(collected.by_serial).__contains__)
    if isinstance(read, StatementFault):
        words = fault_words(read)
        return f"? {words[:1].upper()}{words[1:]}."
    sentences = []
    for one in read.collected:
        known = "" if serial_key(one.serial) in collected.by_serial else ", a serial that no edition collects yet"
        size = "open" if one.parts.is_open else counted(one.parts.count(), "part")
        sentences.append(f"✓ {one.serial}{known}: {write_parts(one.parts)} ({size}).")
    remarks = (remark_sentence(remark) for remark in read.remarks)
    return " ".join((*sentences, *(f"{words[:1].upper()}{words[1:]}." for words in remarks)))
