"""Everything about one copy, and its condition before and after the move, as PDF."""

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path

from intake.documents import dossiers
from intake.edges import fonts
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports, copy_pictures
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import printings_of
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.queries.values import latest_valuations, valuations_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.condition.condition_report import before_and_after
from intake.flow.lookup.history import history
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import edition_words, title_words, where_words, written_number
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.papers.proofs import proof_now
from intake.flow.papers.schedule_lines import binding_words, printing_words, recorded_words
from intake.flow.papers.schedules import save_pages
from intake.flow.values.value_copies import losses_of_one, set_states
from intake.model.condition import PARTS, ConditionReport, CopyPicture, split_parts
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Edition, Printing
from intake.model.pages import PrintReport
from intake.model.papers import A4_MM
from intake.model.schedules import Dossier, Section
from intake.valuing import proof as proof_words
from intake.valuing.condition import MEANINGS, UNOPENED, compare_reports, grade_words, is_worse

HISTORY = 200
SIGNERS = ("Owner, place, date", "Carrier, place, date")


def print_dossier(
    library: Library, copy_text: str, path: Path, *, on: date, paper_mm: tuple[float, float] = A4_MM
) -> PrintReport:
    """Write everything that is recorded of one copy.

    Raises:
        RefusedError: there is no such copy.
    """
    with library.reading() as records:
        copy = find_copy(records, copy_text)
        edition = _edition(records, copy)
        proof = proof_words.to_text(proof_now(records, "copy", f"copy {copy.accession}", on=on))
        dossier = Dossier(
            title=title_words(edition),
            number=copy.accession,
            on=on,
            facts=_copy_facts(records, copy, edition),
            sections=tuple(
                section
                for section in (
                    _printings(records, copy),
                    _reports(condition_reports(records, copy.accession)),
                    _values(records, copy),
                    _set(records, edition, on),
                    _seen(records, copy),
                    _history(records, copy),
                )
                if section is not None
            ),
            photographs=photographs_of(library, records, copy_pictures(records, copy.accession), {}),
            proof=proof,
        )
    pages = dossiers.lay_out(dossier, measure=fonts.measure, paper_mm=paper_mm)
    return save_pages(path, pages, f"{copy.accession} {edition.title}", proof)


def print_condition(
    library: Library, copies: Sequence[str], path: Path, *, on: date, paper_mm: tuple[float, float] = A4_MM
) -> PrintReport:
    """Write condition reports, before and after the move side by side: of these copies, or of all that have one.

    Raises:
        RefusedError: there is no such copy, or none has a report.
    """
    with library.reading() as records:
        wanted = [find_copy(records, text) for text in copies]
        if not wanted:
            reported = dict.fromkeys(report.copy for report in condition_reports(records))
            wanted = [copy for number in reported if (copy := records.get(Copy, number)) is not None]
        if not wanted:
            why = "has a condition report yet"
            raise RefusedError("No copy of the library", why, "record one with 'intake condition record'")
        sheets = [_condition(library, records, copy, on) for copy in wanted]
    pages = dossiers.lay_out_all(sheets, measure=fonts.measure, paper_mm=paper_mm)
    return save_pages(path, pages, "Condition reports", sheets[0].proof if len(sheets) == 1 else "")


def _condition(library: Library, records: LibraryReader, copy: Copy, on: date) -> Dossier:
    edition = _edition(records, copy)
    reports = condition_reports(records, copy.accession)
    if not reports:
        remedy = f"record one with 'intake condition record {copy.accession}'"
        raise RefusedError(f"Copy {copy.accession}", "has no condition report", remedy)
    before, after = before_and_after(reports)
    shown = [picture for picture in copy_pictures(records, copy.accession) if picture.report is not None]
    return Dossier(
        title="Condition report",
        number=copy.accession,
        on=on,
        facts=(
            ("Title", title_words(edition)),
            ("Edition", edition_words(edition)),
            ("Number", written_number(edition)),
            ("Binding", binding_words(copy)),
            ("Box", copy.box or ""),
        ),
        sections=(_side_by_side(before, after), *_differences(before, after), _meanings(reports)),
        photographs=photographs_of(library, records, _by_occasion(shown, reports), {}),
        signatures=SIGNERS,
        proof=proof_words.to_text(proof_now(records, "condition report", f"copy {copy.accession}", on=on)),
    )


def _by_occasion(shown: Iterable[CopyPicture], reports: Sequence[ConditionReport]) -> list[CopyPicture]:
    """Order photographs by their report, and say under each to which it belongs."""
    said = {report.id: f"{report.occasion}, {report.at.date().isoformat()}" for report in reports}
    ordered = sorted(shown, key=lambda picture: (picture.report or 0, picture.id))
    return [
        CopyPicture(
            id=one.id,
            copy=one.copy,
            picture=one.picture,
            report=one.report,
            note=", ".join(filter(None, (said.get(one.report or 0, ""), one.note))),
        )
        for one in ordered
    ]


def _side_by_side(before: ConditionReport | None, after: ConditionReport | None) -> Section:
    """Set what was seen on both sides of the move beside each other, part by part."""
    rows = [("Book and jacket", *(_grade(report) for report in (before, after)))]
    parts = [split_parts(report.condition) if report else {} for report in (before, after)]
    for part in (*PARTS, ""):
        said = tuple(
            _part(report, held.get(part, ""), part) for report, held in zip((before, after), parts, strict=True)
        )
        rows.append((part.capitalize() or "Also stated", *said))
    rows.append(("Seen by, on", *(_seen_by(report) for report in (before, after))))
    rows.append(("Note", *((report.note if report else "") for report in (before, after))))
    columns = (("", 2.0), ("Before the move", 5.0), ("After the move", 5.0))
    return Section(heading="Before and after", columns=columns, rows=tuple((a, b, c) for a, b, c in rows))


def _grade(report: ConditionReport | None) -> str:
    if report is None:
        return "no report"
    return UNOPENED if report.wrapped else grade_words(report.grade, report.jacket, has_jacket=report.has_jacket)


def _part(report: ConditionReport | None, words: str, part: str) -> str:
    if report is None:
        return ""
    return words or ("unseen" if report.wrapped and part in ("block", "leaves") else "–")


def _seen_by(report: ConditionReport | None) -> str:
    return f"{report.station}, {report.at:%Y-%m-%d %H:%M} UTC" if report else ""


def _differences(before: ConditionReport | None, after: ConditionReport | None) -> list[Section]:
    if before is None or after is None:
        lacking = "before" if before is None else "after"
        return [Section(heading="What differs", sentences=(f"There is no report {lacking} the move to compare with.",))]
    found = compare_reports(before, after)
    if not found:
        return [Section(heading="What differs", sentences=("The two reports say the same.",))]
    told = ("Book or jacket is graded lower after the move.",) if is_worse(before, after) else ()
    columns = (("Of", 2.0), ("Before the move", 5.0), ("After the move", 5.0))
    rows = tuple((one.what.capitalize(), one.before, one.after) for one in found)
    return [Section(heading="What differs", sentences=told, columns=columns, rows=rows)]


def _meanings(reports: Sequence[ConditionReport]) -> Section:
    used = {grade for report in reports for grade in (report.grade, report.jacket) if grade}
    said = tuple(f"{grade.value}: {MEANINGS[grade]}." for grade in MEANINGS if grade in used)
    return Section(heading="What the grades mean", sentences=said or ("No grade was given.",))


def _edition(records: LibraryReader, copy: Copy) -> Edition:
    edition = records.get(Edition, copy.edition_id)
    if edition is None:
        raise RefusedError(f"Copy {copy.accession}", "has lost its edition", "run 'intake check'")
    return edition


def _copy_facts(records: LibraryReader, copy: Copy, edition: Edition) -> tuple[tuple[str, str], ...]:
    printing = records.get(Printing, copy.printing_id) if copy.printing_id is not None else None
    jacket = grade_words(copy.grade, copy.jacket, has_jacket=copy.has_jacket)
    return (
        ("Contributors", "; ".join(edition.contributors)),
        ("Edition", edition_words(edition)),
        ("Publisher", edition.publisher),
        ("Number", written_number(edition)),
        ("Printing", printing_words(printing)),
        ("Printed in", edition.printed_in),
        ("Pages", str(edition.pages or "")),
        ("Binding", binding_words(copy)),
        ("Condition", "; ".join(filter(None, (UNOPENED if copy.wrapped else jacket, copy.condition)))),
        ("Where", where_words(records, copy) or str(copy.state)),
        ("State", str(copy.state)),
        ("Travelled in box", copy.box or ""),
        ("Note", copy.note),
    )


def _printings(records: LibraryReader, copy: Copy) -> Section | None:
    """List the known printings, what tells them apart, and what copies of each are worth."""
    known = printings_of(records, copy.edition_id)
    if not known:
        return None
    values = latest_valuations(records)
    worths: dict[int, list[str]] = {}
    for other in copies_of_editions(records, [copy.edition_id]):
        value = values.get(other.accession)
        if value is not None and other.printing_id is not None:
            worths.setdefault(other.printing_id, []).append(amount_text(value.amount, value.currency))
    rows = tuple(
        (
            (printing_words(one) or "unknown") + (" (this copy)" if one.id == copy.printing_id else ""),
            str(one.year or ""),
            one.number_line,
            one.points,
            ", ".join(worths.get(one.id, [])),
        )
        for one in sorted(known, key=lambda one: (one.ordinal or 0, one.id))
    )
    columns = (("Printing", 2.4), ("Year", 0.9), ("Number line", 2.6), ("What tells it apart", 4.6), ("Worth", 2.0))
    return Section(heading="Known printings of this edition", columns=columns, rows=rows)


def _reports(reports: Sequence[ConditionReport]) -> Section | None:
    rows = tuple((r.at.date().isoformat(), str(r.occasion), _grade(r), r.condition or "–", r.note) for r in reports)
    columns = (("Day", 1.5), ("Occasion", 1.9), ("Grade", 2.4), ("Defects and what is stated", 4.6), ("Note", 2.0))
    return Section(heading="Condition reports", columns=columns, rows=rows) if rows else None


def _values(records: LibraryReader, copy: Copy) -> Section:
    held = valuations_of(records, copy.accession)
    if not held:
        return Section(heading="Values", sentences=("No value is recorded.",))
    rows = tuple(
        (v.on.isoformat(), amount_text(v.amount, v.currency), str(v.basis), v.source, v.note) for v in reversed(held)
    )
    columns = (("Day", 1.5), ("Value", 2.0), ("Basis", 1.6), ("Source", 3.6), ("Note", 3.0))
    latest = f"The latest counts in lists: {recorded_words(held[-1])}."
    return Section(heading="Values", sentences=(latest,), columns=columns, rows=rows)


def _set(records: LibraryReader, edition: Edition, on: date) -> Section | None:
    held = next((one for one in set_states(records) if one.set.id == edition.set_id), None)
    if held is None:
        return None
    words = {True: "complete", False: f"lacks volume {', '.join(held.gaps)}", None: "no gap seen"}[held.complete]
    sentences = [f"“{held.set.title}”, {words}."]
    if held.doubles:
        sentences.append(f"More than once: volume {', '.join(held.doubles)}.")
    if reckoned := losses_of_one(records, held, today=on):
        whole, losses = reckoned
        sentences.append(f"Worth as a whole {amount_text(whole.amount, whole.currency)}, {whole.basis}, {whole.on}.")
        sentences += [
            f"Loss of volume {loss.volume}: {amount_text(loss.before, whole.currency)} before, "
            f"{amount_text(loss.after, whole.currency)} after ({loss.method}), so "
            f"{amount_text(loss.difference, whole.currency)}; a fair proportion would be "
            f"{amount_text(loss.proportion, whole.currency)}."
            for loss in losses
            if loss.volume == edition.volume
        ]
    rows = tuple(
        (volume.name, volume.title, ", ".join(c.accession for c in volume.copies) or "none",
         ", ".join(where_words(records, c) or str(c.state) for c in volume.copies))
        for volume in held.volumes
    )  # fmt: skip
    columns = (("Volume", 1.2), ("Title", 4.6), ("Copies", 2.0), ("Where", 4.0))
    return Section(heading="The set it belongs to", sentences=tuple(sentences), columns=columns, rows=rows)


def _seen(records: LibraryReader, copy: Copy) -> Section | None:
    rows = tuple(
        (f"{s.at:%Y-%m-%d %H:%M}", s.station, s.methods, s.box or "", s.place or "")
        for s in sightings_of(records, copy.accession)
    )
    columns = (("When (UTC)", 2.2), ("Station", 2.0), ("How", 3.0), ("Box", 1.5), ("Place", 1.5))
    return Section(heading="When it was seen", columns=columns, rows=rows) if rows else None


def _history(records: LibraryReader, copy: Copy) -> Section:
    lines = history(records, copy.accession, HISTORY)
    rows = tuple((str(line.seq), line.when, line.station, line.what, line.changed) for line in lines)
    columns = (("Entry", 1.0), ("When (UTC)", 2.4), ("Station", 1.5), ("What", 2.4), ("Changed", 5.0))
    return Section(heading="Its history in the ledger", columns=columns, rows=rows)
