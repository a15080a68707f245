"""The words for what servers answered: faults, how values were converted, values beside each other."""

from collections.abc import Callable, Mapping

from intake.model.lookups import RecordNote, RecordNoteKind, RecordValue, ServerAnswer, ServerFault, ServerTrouble

LEFT_OUT_LENGTH = 100

_FAULTS: Mapping[ServerTrouble, Callable[[str], str]] = {
    ServerTrouble.BAD_ADDRESS: lambda _: "is not an address; correct it",
    ServerTrouble.UNREACHABLE: lambda why: f"cannot be reached ({why}); check the address and the network",
    ServerTrouble.TIMED_OUT: lambda s: f"had not answered completely after {s} seconds; try again later",
    ServerTrouble.CUT_OFF: lambda _: "broke off in the middle of its answer; try again later",
    ServerTrouble.TOO_LARGE: lambda mb: f"sent more than {mb} MB; check that the address is that of an SRU server",
    ServerTrouble.REDIRECTED: lambda host: f"sends on to {host}; if you trust that, give its address instead",
    ServerTrouble.STATUS: lambda status: f"refused the request (HTTP status {status}); check the address",
    ServerTrouble.COMPRESSED: lambda how: (
        f"compressed its answer ({how}) though it was asked not to; use another server"
    ),
    ServerTrouble.HTML: lambda _: "sent a web page; give the address of its SRU service, with the database",
    ServerTrouble.NOT_XML: lambda why: f"sent what is not XML ({why}); try again later, or use another server",
    ServerTrouble.DOCTYPE: lambda _: "sent a document type, in which anything could be hidden; use another server",
    ServerTrouble.NOT_SRU: lambda what: (
        f"sent something else than an answer to a search ({what}); check the address, with the database"
    ),
    ServerTrouble.NO_RECORDS: lambda count: f"says it has {count} but sent no record; try again later",
    ServerTrouble.DIAGNOSTIC: lambda _: "",
}

_CURES = {
    1: "try again later",
    2: "try again later",
    3: "use a server that asks for no account",
    68: "use a server that asks for no account",
    69: "use a server that asks for no account",
}
"""By the number of the diagnostic."""


def fault_words(fault: ServerFault) -> str:
    """Write what a server did, and what to do about it.

    >>> fault_words(ServerFault(ServerTrouble.DIAGNOSTIC, "Unsupported index: bath.isbn", 16))
    'answered with a fault: Unsupported index: bath.isbn (diagnostic 16); use another server'
    """
    if fault.kind is not ServerTrouble.DIAGNOSTIC:
        return _FAULTS[fault.kind](fault.detail)
    number = f"diagnostic {fault.diagnostic}" if fault.diagnostic is not None else "an unknown diagnostic"
    words = f"{fault.detail} ({number})" if fault.detail else number
    return f"answered with a fault: {words}; {_CURES.get(fault.diagnostic or 0, 'use another server')}"


def answer_words(answer: ServerAnswer) -> str:
    """Write what one server answered, with everything that is not shown."""
    if not answer.answered and answer.fault is not None:
        return f"{answer.server} {fault_words(answer.fault)}"
    parts = [f"{len(answer.records)} found" if answer.records else "not found"]
    if answer.others:
        parts.append(f"{answer.others} sent that are something else and were left out")
    if answer.unreadable:
        parts.append(f"{answer.unreadable} that it could not give in a known format")
    if answer.total > answer.seen:
        parts.append(f"{answer.total - answer.seen} more not looked at")
    if answer.fault is not None:
        parts.append(f"for the rest it {fault_words(answer.fault)}")
    if answer.kept:
        parts.append("as answered within the last day")
    return f"{answer.server}: {'; '.join(parts)}"


NOTE_WORDS: Mapping[RecordNoteKind, str] = {
    RecordNoteKind.HEIGHT_ROUNDED_UP: "libraries round up to whole centimetres",
    RecordNoteKind.YEAR_OF_COPYRIGHT: "the year of copyright",
    RecordNoteKind.YEAR_UNCERTAIN: "the library is not sure of it",
    RecordNoteKind.YEAR_FIRST_OF_SEVERAL: "the first of several years",
    RecordNoteKind.YEAR_OF_DATE: "of the date, only the year is kept",
    RecordNoteKind.PAGES_ADDED: "its sequences of pages were added up",
    RecordNoteKind.OTHER_SCRIPT: "the script of the book is kept",
    RecordNoteKind.NAME_SEPARATOR: "a comma stands for the semicolon, which parts names here",
}


def note_words(note: RecordNote) -> str:
    """Write how a value differs from what the record says.

    >>> note_words(RecordNote(RecordNoteKind.YEAR_OF_COPYRIGHT, "year", "c1980."))
    'c1980.: the year of copyright'
    """
    return f"{note.text}: {NOTE_WORDS[note.kind]}"


def value_words(value: RecordValue | None) -> str:
    """Write a value; nothing for what is not known."""
    if value is None:
        return ""
    if isinstance(value, tuple):
        return "; ".join(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


FIELD_WORDS: Mapping[str, str] = {
    "title": "Title",
    "set": "Set",
    "volume": "Volume",
    "contributors": "Persons",
    "publisher": "Publisher",
    "year": "Year",
    "statement": "Edition, as printed",
    "binding": "Binding",
    "language": "Language",
    "subject": "Subject",
    "call_number": "Call number",
    "printed_in": "Printed in",
    "pages": "Pages",
    "height_mm": "Height, mm",
    "width_mm": "Width, mm",
    "thickness_mm": "Thickness, mm",
    "mass_g": "Mass, g",
}


def left_out_words(tag: str, text: str) -> str:
    """Write what a record says that no field takes, as far as it fits on a line.

    >>> left_out_words("490", "Shore studies ; 12")
    '490 Shore studies ; 12'
    """
    return f"{tag} {text if len(text) <= LEFT_OUT_LENGTH else text[:LEFT_OUT_LENGTH] + '…'}"
