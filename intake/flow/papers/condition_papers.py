"""Condition reports of copies, before and after the move side by side."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from intake.documents import dossiers
from intake.edges import fonts
from intake.edges.store.queries.boxes import damage_of_copies
from intake.edges.store.queries.papers import copies_with_editions, reports_of_copies
from intake.edges.store.queries.values import latest_valuations_of
from intake.errors import RefusedError
from intake.flow.condition.condition_report import before_and_after
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import edition_words, title_words, written_number
from intake.flow.papers.copy_words import binding_words, grades_seen, signed_words
from intake.flow.papers.look_here import LookHere, look_here
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource
from intake.flow.papers.proofs import claim_of, entry_now
from intake.flow.papers.report_pictures import ReportPictures, pictures_of_reports, seen_by, with_pairs
from intake.model.condition import PARTS, ConditionReport, split_parts
from intake.model.editions import Copy, Edition
from intake.model.schedules import Dossier, Section
from intake.units.advice import advice
from intake.units.language import say, term
from intake.valuing import proof
from intake.valuing.condition import INSIDE, MEANINGS, compare_reports, damage_words, defect_words, is_worse

SIGNERS = (term("Owner, place, date"), term("Carrier, place, date"))
INITIALLED = (
    term("Carrier's code and initials, before the move"),
    term("Carrier's code and initials, after the move"),
)


def gather_condition(source: PaperSource, options: PaperOptions) -> tuple[Dossier, ...]:
    """Gather the reports of each copy named, or of every copy that has one.

    Raises:
        RefusedError: there is no such copy, one that is named has no report, or none has any.
    """
    reader = source.reader
    named = list(dict.fromkeys(find_copy(reader, text).accession for text in options.copies))
    reports = reports_of_copies(reader, named or None)
    chosen = named or list(reports)
    if not chosen:
        why = "has a condition report yet"
        raise RefusedError(
            "No copy of the library", why, ("record one with 'intake condition record'", "inspect one on its page")
        )
    for number in chosen:
        if number not in reports:
            remedy = advice(f"record one with 'intake condition record {number}'", "inspect it on its page")
            raise RefusedError(f"Copy {number}", "has no condition report", remedy)
    pairs = copies_with_editions(reader, chosen)
    pictures = pictures_of_reports(source, chosen, reports)
    proofs = _proofs(source, chosen)
    damage = damage_of_copies(reader, chosen)
    looked = look_here(source, {number: pairs[number] for number in chosen})
    return tuple(
        _with_places(
            _dossier(
                source,
                *pairs[number],
                reports[number],
                pictures[number],
                proof_words=proofs[number],
                damage=damage_words(damage.get(number)),
            ),
            looked.get(number, LookHere()),
        )
        for number in chosen
    )


def _with_places(dossier: Dossier, looked: LookHere) -> Dossier:
    """Add where to look, before what the grades mean, and both pictures with the places."""
    *sections, meanings = dossier.sections
    compared, others = with_pairs(dossier.compared, dossier.photographs, looked.compared)
    return replace(
        dossier,
        sections=(*sections, *looked.sections, meanings),
        compared=(*looked.compared, *compared),
        photographs=others,
    )


def lay_out_condition(sheets: Sequence[Dossier], options: PaperOptions) -> PaperPages:
    """Set condition reports one after the other, each on pages of its own."""
    pages = dossiers.lay_out_all(sheets, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=say("Condition reports"), pages=pages, proof=sheets[0].proof if len(sheets) == 1 else "")


def copies_on_reports(sheets: Sequence[Dossier]) -> Iterable[str]:
    """Return the own numbers of the copies reported."""
    return (sheet.number for sheet in sheets)


def _proofs(source: PaperSource, numbers: Sequence[str]) -> dict[str, str]:
    """Return the words of the proof of each copy's sheet."""
    values = latest_valuations_of(source.reader, numbers)
    entry = entry_now(source.reader)
    return {
        number: proof.to_text(
            claim_of(
                1,
                [values[number]] if number in values else [],
                purpose="condition report",
                scope=f"copy {number}",
                on=source.on,
                entry=entry,
            )
        )
        for number in numbers
    }


def _dossier(
    source: PaperSource,
    copy: Copy,
    edition: Edition,
    reports: tuple[ConditionReport, ...],
    pictures: ReportPictures,
    *,
    proof_words: str,
    damage: str,
) -> Dossier:
    before, after = before_and_after(reports)
    return Dossier(
        title=say("Condition report"),
        number=copy.accession,
        on=source.on,
        facts=(
            (say("Title"), title_words(edition)),
            (say("Edition"), edition_words(edition)),
            (say("Number"), written_number(edition)),
            (say("Binding"), binding_words(copy)),
            (say("Signed, numbered"), signed_words(copy)),
            (say("Box"), copy.box or ""),
        ),
        sections=(_side_by_side(before, after, damage), _differences(before, after, damage), _meanings(reports)),
        compared=pictures.compared,
        photographs=pictures.others,
        signatures=tuple(map(say, SIGNERS)),
        initialled=tuple(map(say, INITIALLED)),
        proof=proof_words,
    )


def _side_by_side(before: ConditionReport | None, after: ConditionReport | None, damage: str) -> Section:
    """Set what was seen on both sides of the move beside each other, part by part, with the damage reported."""
    rows = [(say("Book and jacket"), *(grades_seen(report) for report in (before, after)))]
    parts = [split_parts(report.condition) if report else {} for report in (before, after)]
    for part in (*PARTS, ""):
        seen = (
            _part(report, defects.get(part, ""), part) for report, defects in zip((before, after), parts, strict=True)
        )
        name = say(part) if part else say("Also stated")
        rows.append((name[:1].upper() + name[1:], *seen))
    if damage:
        rows.append((say("Damage"), "", damage))
    rows.append((say("Station, day"), *(seen_by(report) for report in (before, after))))
    rows.append((say("Note"), *((report.note if report else "") for report in (before, after))))
    columns = (("", 2.0), (term("Before the move"), 5.0), (term("After the move"), 5.0))
    return Section(heading=say("Before and after"), columns=columns, rows=tuple((a, b, c) for a, b, c in rows))


def _part(report: ConditionReport | None, words: str, part: str) -> str:
    if report is None:
        return ""
    return defect_words(words) or (say("unseen") if report.wrapped and part in INSIDE else "–")


def _differences(before: ConditionReport | None, after: ConditionReport | None, damage: str) -> Section:
    """Say what differs; damage by the discrepancy report comes first, whatever the reports of condition say of it."""
    section = _compared(before, after)
    if not damage:
        return section
    reported = say("By the discrepancy report: {damage}.", damage=damage)
    return replace(section, sentences=(reported, *section.sentences))


def _compared(before: ConditionReport | None, after: ConditionReport | None) -> Section:
    if before is None or after is None:
        none = say("There is no report after the move to compare with.")
        if before is None:
            none = say("There is no report before the move to compare with.")
        return Section(heading=say("What differs"), sentences=(none,))
    differences = compare_reports(before, after)
    if not differences:
        return Section(heading=say("What differs"), sentences=(say("The two reports say the same."),))
    sentences = (say("Book or jacket is graded lower after the move."),) if is_worse(before, after) else ()
    columns = ((term("Of"), 2.0), (term("Before the move"), 5.0), (term("After the move"), 5.0))
    rows = tuple(
        (one.what[:1].upper() + one.what[1:], defect_words(one.before), defect_words(one.after)) for one in differences
    )
    return Section(heading=say("What differs"), sentences=sentences, columns=columns, rows=rows)


def _meanings(reports: Sequence[ConditionReport]) -> Section:
    used = {grade for report in reports for grade in (report.grade, report.jacket) if grade}
    sentences = tuple(f"{say(grade.value)}: {say(MEANINGS[grade])}." for grade in MEANINGS if grade in used)
    return Section(heading=say("What the grades mean"), sentences=sentences or (say("No grade was given."),))
