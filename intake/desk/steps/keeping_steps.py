"""The library itself: exported, backed up, checked, and a printed list checked against it."""

import zipfile
from collections.abc import Mapping
from pathlib import Path

from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    fixed,
    whole,
)
from intake.errors import UsageError
from intake.flow.lists.everything_files import NUMBERS_FILE
from intake.flow.lists.everything_words import left_behind
from intake.flow.lists.export_everything import export_everything
from intake.flow.lists.export_records import ExportFormat, ExportKind, export_records
from intake.flow.lists.remark_words import export_lines
from intake.flow.lookup.action_words import unarchived_words
from intake.flow.lookup.status import library_status
from intake.flow.papers import verify_list, verify_rows
from intake.flow.papers.option_fields import BYTE_ORDER_MARK
from intake.flow.safekeeping import backups
from intake.flow.safekeeping.before_papers import end_caution
from intake.flow.safekeeping.check_library import check_library
from intake.flow.safekeeping.finding_words import caveat, report_lines, verdict_words
from intake.flow.safekeeping.remedies import lost_by_archive, remedy
from intake.flow.safekeeping.restored_words import written_lines
from intake.units.counts import counted

EVERYTHING = "everything"
MOST_DAILY = 1000
_SUFFIXES = {
    ExportFormat.CSV: "csv",
    ExportFormat.XLSX: "xlsx",
    ExportFormat.MARC: "mrc",
    ExportFormat.MARCXML: "xml",
    ExportFormat.ONIX: "xml",
}
_FORMATS = (
    (ExportFormat.CSV, "CSV, with the columns of the import"),
    (ExportFormat.XLSX, "XLSX, with the columns of the import"),
    (ExportFormat.MARC, "MARC 21 (ISO 2709, UTF-8)"),
    (ExportFormat.MARCXML, "MARCXML"),
    (ExportFormat.ONIX, "ONIX for Books 3.0, of editions"),
)
_WHAT = (
    (ExportKind.EDITIONS.value, "Editions: the catalog"),
    (ExportKind.COPIES.value, "Copies: box lists with states and values"),
    (EVERYTHING, "Everything, as a folder of CSV files in a zip"),
)


def _export(context: StepContext) -> StepOutcome:
    caution = end_caution(context.library)
    folder, what = context.desk.uploads.new_folder(), context.text("what")
    if what == EVERYTHING:
        path, lines = _everything(context, folder)
    else:
        kind = context.choice("what", ExportKind)
        form = context.choice("format", ExportFormat) or ExportFormat.CSV
        if kind is None:
            raise UsageError("The export", "does not say of what", "choose editions, copies or everything")
        path = folder / f"{kind.value}.{_SUFFIXES[form]}"
        xml = form.value if _SUFFIXES[form] == "xml" else None
        result = export_records(
            context.library, kind, path, format_=xml, marked=context.flag(BYTE_ORDER_MARK.name), today=context.today
        )
        lines = (
            *export_lines(result.remarks),
            f"{counted(result.count, kind.value[:-1], kind.value)} are in {path.name}.",
        )
    key = context.desk.uploads.keep_paths(context.session.id, [path])
    return StepOutcome(
        lines=lines, cautions=(caution,) if caution else (), links=((f"/kept/{key}", f"Save {path.name}"),)
    )


def _everything(context: StepContext, folder: Path) -> tuple[Path, tuple[str, ...]]:
    written = export_everything(context.library, folder / EVERYTHING)
    path = folder / f"{EVERYTHING}.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted((folder / EVERYTHING).iterdir()):
            archive.write(file, f"{EVERYTHING}/{file.name}")
    rows = [f"  {name}: {count}" for name, count in written.rows.items() if count and name != NUMBERS_FILE]
    total = sum(count for name, count in written.rows.items() if name != NUMBERS_FILE)
    return path, (f"{counted(total, 'record')}:", *rows, left_behind(written))


def _export_word(values: Mapping[str, str]) -> str:
    return f"export {values.get('what', '')}, which may list values"


def _backup(context: StepContext) -> StepOutcome:
    if context.is_look:
        with context.library.reading() as records:
            entries = library_status(records).counts.entries
        state = backups.backup_words(
            backups.backup_state(context.library.folder), entries, context.now, with_place=False
        )
        where = "One archive with all records, the ledger and the pictures is written into the library's own folder."
        return StepOutcome(
            lines=(state, where, "Save it on another disk then, by the link that follows."), is_plan=True
        )
    file, result = backups.back_up_beside(context.library, context.now)
    cautions = () if result.is_whole else ("The library is not whole; the archive has it as it is. Check the library.",)
    return StepOutcome(
        lines=tuple(written_lines(result, Path(file.name))),
        cautions=cautions,
        links=((f"/archives/{file.name}", f"Save {file.name}"), ("/steps/check", "Check the library")),
    )


def _daily(context: StepContext) -> StepOutcome:
    keep = context.count("keep", least=0, most=MOST_DAILY)
    if keep is None:
        raise UsageError("The number", "is missing", "write how many are kept, such as 14")
    done = (
        f"At each day's first change an archive is written; the latest {keep} are kept."
        if keep
        else "No archive is written by itself."
    )
    if not context.is_look:
        backups.set_daily(context.library.folder, keep)
    return StepOutcome(lines=(done,), is_plan=context.is_look)


def _check(context: StepContext) -> StepOutcome:
    report = check_library(context.library, against=context.text("against"))
    wrong = () if report.is_sound else (f"The library is not whole: {remedy(context.library.place, report)}.",)
    lost = map(unarchived_words, lost_by_archive(report))
    lines = (verdict_words(report), *report_lines(report, None), *lost, caveat(context.library.place))
    return StepOutcome(lines=lines, cautions=wrong)


def _verify(context: StepContext) -> StepOutcome:
    files, text = context.files.get("file", ()), context.text("text")
    proof = verify_list.read_proof(text) if text else verify_list.find_proof(files[0]) if files else None
    if proof is None:
        raise UsageError("The proof", "cannot be read", "choose the file of the list, or type all words of its proof")
    rows = verify_rows.read_rows(files[0]) if files else None
    verdict = verify_list.verify(context.library, proof, rows)
    return StepOutcome(lines=tuple(verify_list.result_lines(verdict, shown=None)))


KEEPING_STEPS = (
    DeskStep(
        name="export",
        title="Export",
        group=StepGroup.LISTS,
        is_question=True,
        at_once=False,
        run=_export,
        word=_export_word,
        summary="Editions, copies or everything, as a file for other people and programs.",
        fields=fixed(
            StepField(name="what", label="What", kind=FieldKind.CHOICE, choices=_WHAT, required=True),
            StepField(
                name="format",
                label="As",
                kind=FieldKind.CHOICE,
                choices=tuple((form.value, words) for form, words in _FORMATS),
            ),
            StepField(
                name=BYTE_ORDER_MARK.name,
                label=BYTE_ORDER_MARK.label,
                kind=FieldKind.FLAG,
                hint="Of editions or copies. Some spreadsheets misread the letters of a file without one.",
            ),
        ),
    ),
    DeskStep(
        name="backup",
        title="Write a backup",
        group=StepGroup.LIBRARY,
        verb="Write it",
        run=_backup,
        fields=fixed(),
        summary="One archive of the library, to be kept on another disk.",
        looks_twice=False,
        word=lambda _values: "write a backup of the library",
    ),
    DeskStep(
        name="daily",
        title="Daily backups",
        group=StepGroup.LIBRARY,
        verb="Keep it so",
        run=_daily,
        fields=fixed(StepField(name="keep", label="How many are kept", hint="0 for none.", reads=whole(0, MOST_DAILY))),
        summary="An archive by itself, at each day's first change, in the library's own folder.",
        word=lambda values: f"keep {values.get('keep', '')} daily backups",
    ),
    DeskStep(
        name="check",
        title="Check the library",
        group=StepGroup.LIBRARY,
        is_question=True,
        at_once=False,
        run=_check,
        summary="Database, ledger, every record against the ledger, every picture.",
        fields=fixed(
            StepField(name="against", label="A head printed earlier", hint="Which the ledger must have; 64 digits.")
        ),
    ),
    DeskStep(
        name="verify",
        title="Check a printed list",
        group=StepGroup.LIBRARY,
        is_question=True,
        run=_verify,
        summary="Whether a schedule or list is this library's, was true, and what changed since.",
        word=lambda _values: "check a printed list, which lists values",
        fields=fixed(
            StepField(name="file", label="Its file, or a photograph of its symbol", kind=FieldKind.FILE),
            StepField(name="text", label="Or the words of its proof", kind=FieldKind.LONG),
        ),
    ),
)
