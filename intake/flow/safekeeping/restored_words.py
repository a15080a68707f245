"""Words for a library that was made from an archive or a ledger, and for an archive that was written."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from intake.edges.store.archive_writing import ArchiveResult
from intake.edges.store.beside_ledger import record_names
from intake.edges.store.rebuild import RebuiltLibrary
from intake.edges.store.rows import table_words
from intake.flow.safekeeping.backups import RestoredLibrary
from intake.flow.safekeeping.finding_words import finding_words
from intake.model.findings import LibraryFinding
from intake.units.advice import advice
from intake.units.counts import counted

SHOWN = 5


def rebuilt_lines(made: RebuiltLibrary) -> Iterator[str]:
    """Yield what is not as the damaged library had it: records lost, altered or brought back, pictures."""
    beside = made.beside
    yield from _named("Found by its content, and given its own name again", made.renamed)
    yield from _named("Left out, for it is a second file of a picture", made.doubled)
    yield from _named("Left out, for its content is not that of a picture that any record names", made.left_out)
    for detail in made.cut:
        yield f"Lost, for the ledger was cut or replaced: {detail}."
    if beside.unknown:
        yield (
            f"Lost, for the ledger does not have them: {counted(len(beside.unknown), 'record')} "
            f"({record_names(beside.unknown)})."
        )
    if beside.altered:
        yield (
            f"As the ledger left them, not as the damaged tables had them: {counted(len(beside.altered), 'record')} "
            f"({record_names(beside.altered)})."
        )
    if beside.missing:
        yield (
            f"Brought back, for the damaged tables had lost them: {counted(len(beside.missing), 'record')} "
            f"({record_names(beside.missing)})."
        )
    if beside.unread:
        tables = ", ".join(table_words(name) for name in beside.unread)
        yield f"Could not be compared with the damaged tables, which cannot be read to their end: {tables}."
    if made.taken:
        yield f"Taken out of {made.archive}: {counted(made.taken, 'picture')}."
    if made.archive_fault:
        yield f"No pictures were taken out of {made.archive}: it {made.archive_fault}."
    if made.missing:
        yield (
            f"Lost: {counted(len(made.missing), 'picture')} that no file has; {_check_names()} An archive "
            "that has them gives them back: repeat this into another folder, with --pictures-from ARCHIVE.zip."
        )


def restored_lines(made: RestoredLibrary) -> Iterator[str]:
    """Yield what is wrong with a library that was made from an archive, or was left out of it."""
    if made.is_cut:
        yield (
            "The archive is cut short: its list of members is lost. They were found one after the other, and are what "
            "its manifest says."
        )
    yield from _named("Left out, for the archive's manifest does not name it", made.unnamed)
    for name in made.left_out:
        yield f"Left out, for it is damaged in the archive: {name}"
    for name in made.altered:
        yield f"Not whole: {name} was altered before it was archived; it is here as it was"
    if made.missing:
        yield (
            f"Not whole: {counted(len(made.missing), 'picture')} whose file was missing when the archive was written; "
            f"{_check_names()}"
        )
    yield from _finding_lines(made.findings)


def _named(what: str, names: Sequence[str]) -> Iterator[str]:
    for name in names[:SHOWN]:
        yield f"{what}: {name if name.isprintable() else ascii(name)[1:-1]}"
    if len(names) > SHOWN:
        yield f"{what}: {len(names) - SHOWN} more"


def _finding_lines(findings: Sequence[LibraryFinding]) -> Iterator[str]:
    for finding in findings[:SHOWN]:
        yield f"Not whole: {finding_words(finding)}"
    if len(findings) > SHOWN:
        yield f"Not whole: {counted(len(findings) - SHOWN, 'more finding')}"


def written_lines(result: ArchiveResult, file: Path) -> Iterator[str]:
    """Yield what was written into an archive, and of what."""
    made = result.manifest
    rows = sum(table.rows for table in made.tables.values())
    what = f"{counted(rows, 'row')}, {counted(len(made.files) - len(made.tables), 'picture')}, entry {made.entries}"
    if result.is_whole:
        yield f"Wrote {file}: {what}; read again and found whole."
    else:
        yield f"Wrote {file}, of a library that is not whole: {what}; it was read again, and is what was written."
    yield f"Its head is {made.head}."
    yield from _finding_lines(result.findings)
    for name in result.altered:
        yield f"Not whole: {name} was altered; it is in the archive as it is"
    if made.missing:
        yield f"It has not {counted(len(made.missing), 'picture')} whose file is missing; {_check_names()}"
    yield from _named("Left out, for its name is not that of a picture of the library", result.left_out)


def _check_names() -> str:
    return advice("'intake check' names them.", "a check names them.")
