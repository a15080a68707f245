"""Everything about one copy: its edition and printings, condition, values, set, sightings, photographs and history."""

from collections.abc import Sequence
from datetime import date

from intake.documents import dossiers
from intake.edges import fonts
from intake.edges.store.queries.boxes import damage_of_copies
from intake.edges.store.queries.condition import condition_reports, copy_pictures
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import editions_of_set, printings_of
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.queries.values import latest_valuations_of, valuations_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.history import copy_history
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import (
    edition_words,
    title_words,
    volumes_words,
    where_each_is,
    where_words,
    written_number,
)
from intake.flow.papers.copy_words import (
    binding_words,
    damage_words,
    grades_seen,
    printing_words,
    recorded_words,
    signed_words,
)
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.papers.proofs import claim_of, entry_now
from intake.flow.values.exchange_rates import missing_words
from intake.flow.values.set_words import set_remarks
from intake.flow.values.value_sets import SetLosses, losses_of_one
from intake.flow.values.value_words import unknown_loss_words
from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import BookSet, Copy, Edition, Printing
from intake.model.schedules import Dossier, Section
from intake.model.valuations import SetValue, Valuation
from intake.model.volumes import split_volumes
from intake.valuing import proof, sets
from intake.valuing.condition import UNOPENED, grade_words
from intake.valuing.counting import counting_value, latest_by_basis


def gather_copy(source: PaperSource, options: PaperOptions) -> Dossier:
    """Gather everything that is recorded of one copy.

    Raises:
        RefusedError: there is no such copy.
    """
    reader = source.reader
    copy = find_copy(reader, options.copy)
    edition = reader.get(Edition, copy.edition_id)
    if edition is None:
        raise RefusedError(
            f"Copy {copy.accession}", "has lost its edition", ("run 'intake check'", "check the library")
        )
    values = valuations_of(reader, copy.accession)
    claimed = claim_of(
        1, values[-1:], purpose="copy", scope=f"copy {copy.accession}", on=source.on, entry=entry_now(reader)
    )
    sections = (
        _printings(reader, copy),
        _reports(condition_reports(reader, copy.accession)),
        _values(values),
        _set(reader, edition, source.on),
        _seen(reader, copy),
        _history(reader, copy, why=options.show_why),
    )
    return Dossier(
        title=title_words(edition),
        number=copy.accession,
        on=source.on,
        facts=_copy_facts(reader, copy, edition),
        sections=tuple(section for section in sections if section is not None),
        photographs=photographs_of(source, copy_pictures(reader, copy.accession), {}),
        proof=proof.to_text(claimed),
    )


def lay_out_copy(dossier: Dossier, options: PaperOptions) -> PaperPages:
    """Set the dossier of a copy on pages."""
    pages = dossiers.lay_out(dossier, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=f"{dossier.number} {dossier.title}", pages=pages, proof=dossier.proof)


def copies_on_dossier(dossier: Dossier) -> tuple[str, ...]:
    """Return the own number of the copy."""
    return (dossier.number,)


def _copy_facts(reader: LibraryReader, copy: Copy, edition: Edition) -> tuple[tuple[str, str], ...]:
    printing = reader.get(Printing, copy.printing_id) if copy.printing_id is not None else None
    damage = damage_of_copies(reader).get(copy.accession)
    return (
        ("Contributors", "; ".join(edition.contributors)),
        ("Edition", edition_words(edition)),
        ("Publisher", edition.publisher),
        ("Number", written_number(edition)),
        ("Printing", printing_words(printing)),
        ("Printed in", edition.printed_in),
        ("Pages", str(edition.pages or "")),
        ("Binding", binding_words(copy)),
        ("Signed, numbered", signed_words(copy)),
        ("Condition", _condition(copy)),
        ("Damage", damage_words(damage)),
        ("Where", where_words(reader, copy) or str(copy.state)),
        ("State", str(copy.state)),
        ("Travelled in box", copy.box or ""),
        ("Note", copy.note),
    )


def _condition(copy: Copy) -> str:
    """Write grade and defects; of a wrapped copy the grade where one was stated, and that it was not opened."""
    graded = grade_words(copy.grade, copy.jacket, has_jacket=copy.has_jacket)
    seen = [] if copy.wrapped and copy.grade is None and copy.jacket is None else [graded]
    return "; ".join(filter(None, (*seen, UNOPENED if copy.wrapped else "", copy.condition)))


def _printings(reader: LibraryReader, copy: Copy) -> Section | None:
    """List the known printings, what tells them apart, and what copies of each are worth."""
    known = printings_of(reader, copy.edition_id)
    if not known:
        return None
    copies = copies_of_editions(reader, [copy.edition_id])
    values = latest_valuations_of(reader, [other.accession for other in copies])
    worths: dict[int, list[str]] = {}
    for other in copies:
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
    rows = tuple(
        (r.at.date().isoformat(), str(r.occasion), grades_seen(r), r.condition or "–", r.note) for r in reports
    )
    columns = (("Day", 1.5), ("Occasion", 1.9), ("Grade", 2.4), ("Defects and what is stated", 4.6), ("Note", 2.0))
    return Section(heading="Condition reports", columns=columns, rows=rows) if rows else None


def _values(valuations: Sequence[Valuation]) -> Section:
    if not valuations:
        return Section(heading="Values", sentences=("No value is recorded.",))
    rows = tuple(
        (v.on.isoformat(), amount_text(v.amount, v.currency), str(v.basis), v.source, v.note)
        for v in reversed(valuations)
    )
    columns = (("Day", 1.5), ("Value", 2.0), ("Basis", 1.6), ("Source", 3.6), ("Note", 3.0))
    counts, latest = counting_value(valuations), latest_by_basis(valuations)
    sentences = [f"In lists that ask for no basis counts: {recorded_words(counts)}."] if counts else []
    if len(latest) > 1:
        sentences.append(f"The latest on each basis: {'; '.join(map(recorded_words, latest.values()))}.")
    return Section(heading="Values", sentences=tuple(sentences), columns=columns, rows=rows)


def _set(reader: LibraryReader, edition: Edition, on: date) -> Section | None:
    book_set = reader.get(BookSet, edition.set_id) if edition.set_id is not None else None
    if book_set is None:
        return None
    editions = editions_of_set(reader, book_set.id)
    state = sets.set_state(book_set, list(editions), list(copies_of_editions(reader, [one.id for one in editions])))
    words = {True: "complete", False: f"lacks {volumes_words(state.gaps)}", None: "no gap seen"}[state.complete]
    sentences = [f"“{book_set.title}”, {words}."]
    if state.doubles:
        sentences.append(f"More than once: {volumes_words(state.doubles)}.")
    sentences += (f"{words[:1].upper()}{words[1:]}." for words in set_remarks(state))
    sentences += _losses(reader, state, edition, on)
    where = where_each_is(reader, [copy for volume in state.volumes for copy in volume.copies])
    rows = tuple(
        (volume.name, volume.title, ", ".join(copy.accession for copy in volume.copies) or "none",
         ", ".join(where[copy.accession] or str(copy.state) for copy in volume.copies))
        for volume in state.volumes
    )  # fmt: skip
    columns = (("Volume", 1.2), ("Title", 4.6), ("Copies", 2.0), ("Where", 4.0))
    return Section(heading="The set it belongs to", sentences=tuple(sentences), columns=columns, rows=rows)


def _losses(reader: LibraryReader, state: sets.SetState, edition: Edition, on: date) -> list[str]:
    computed = losses_of_one(reader, state, on=on)
    if computed is None:
        return []
    whole = computed.whole
    return [
        f"Worth {_of_what(whole)} {amount_text(whole.amount, whole.currency)}, {whole.basis}, {whole.on}.",
        *(
            f"Loss of {volumes_words([loss.volume])}: {amount_text(loss.before, whole.currency)} before, "
            f"{amount_text(loss.after, whole.currency)} after ({loss.method}), so "
            f"{amount_text(loss.difference, whole.currency)}; a fair proportion would be "
            f"{amount_text(loss.proportion, whole.currency)}."
            for loss in computed.losses
            if loss.volume == edition.volume
        ),
        *(
            f"What the loss of {volumes_words([volume])} would cost is not known: {unknown_loss_words(computed)}"
            f"{_missing_rates(computed)}."
            for volume in computed.unknown
            if volume == edition.volume
        ),
    ]


def _of_what(value: SetValue) -> str:
    return f"without {volumes_words(split_volumes(value.lacking))}" if value.lacking else "as a whole"


def _missing_rates(computed: SetLosses) -> str:
    rates = "; ".join(map(missing_words, computed.missing))
    return f" in {computed.whole.currency}; missing rates: {rates}" if rates else ""


def _seen(reader: LibraryReader, copy: Copy) -> Section | None:
    rows = tuple(
        (f"{s.at:%Y-%m-%d %H:%M}", s.station, s.methods, s.box or "", s.place or "")
        for s in sightings_of(reader, copy.accession)
    )
    columns = (("When (UTC)", 2.2), ("Station", 2.0), ("How", 3.0), ("Box", 1.5), ("Place", 1.5))
    return Section(heading="When it was seen", columns=columns, rows=rows) if rows else None


def _history(reader: LibraryReader, copy: Copy, *, why: bool) -> Section:
    lines = copy_history(reader, copy.accession, why=why)
    rows = tuple((line.entries, line.when, line.station, line.what, line.changed) for line in lines)
    columns = (("Entry", 1.0), ("When (UTC)", 2.4), ("Station", 1.5), ("What", 2.4), ("Changed", 5.0))
    return Section(heading="Its history in the ledger", columns=columns, rows=rows)
