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
    grades_seen,
    methods_words,
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
from intake.units.language import say, say_as, term
from intake.units.local_forms import day_text, moment_text
from intake.valuing import proof, sets
from intake.valuing.condition import UNOPENED, damage_words, defect_words, grade_words
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
        (say("Contributors"), "; ".join(edition.contributors)),
        (say("Edition"), edition_words(edition)),
        (say("Publisher"), edition.publisher),
        (say("Number"), written_number(edition)),
        (say("Printing"), printing_words(printing)),
        (say("Printed in"), edition.printed_in),
        (say("Pages"), str(edition.pages or "")),
        (say("Binding"), binding_words(copy)),
        (say("Signed, numbered"), signed_words(copy)),
        (say("Condition"), _condition(copy)),
        (say("Damage"), damage_words(damage)),
        (say("Where"), where_words(reader, copy) or say(copy.state.value)),
        (say_as("stage of the move", "State"), say(copy.state.value)),
        (say("Travelled in box"), copy.box or ""),
        (say("Note"), copy.note),
    )


def _condition(copy: Copy) -> str:
    """Write grade and defects; of a wrapped copy the grade where one was stated, and that it was not opened."""
    graded = grade_words(copy.grade, copy.jacket, has_jacket=copy.has_jacket)
    seen = [] if copy.wrapped and copy.grade is None and copy.jacket is None else [graded]
    return "; ".join(filter(None, (*seen, say(UNOPENED) if copy.wrapped else "", defect_words(copy.condition))))


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
            _of_this(printing_words(one) or say("unknown"), is_this=one.id == copy.printing_id),
            str(one.year or ""),
            one.number_line,
            one.points,
            ", ".join(worths.get(one.id, [])),
        )
        for one in sorted(known, key=lambda one: (one.ordinal or 0, one.id))
    )
    columns = (
        (term("Printing"), 2.4), (term("Year"), 0.9), (term("Number line"), 2.6), (term("What tells it apart"), 4.6),
        (term("Worth"), 2.0),
    )  # fmt: skip
    return Section(heading=say("Known printings of this edition"), columns=columns, rows=rows)


def _of_this(printing: str, *, is_this: bool) -> str:
    return say("{printing} (this copy)", printing=printing) if is_this else printing


def _reports(reports: Sequence[ConditionReport]) -> Section | None:
    rows = tuple(
        (day_text(r.at.date()), say(r.occasion.value), grades_seen(r), defect_words(r.condition) or "–", r.note)
        for r in reports
    )
    columns = (
        (term("Day"), 1.5), (term("Occasion"), 1.9), (term("Grade"), 2.4), (term("Defects and what is stated"), 4.6),
        (term("Note"), 2.0),
    )  # fmt: skip
    return Section(heading=say("Condition reports"), columns=columns, rows=rows) if rows else None


def _values(valuations: Sequence[Valuation]) -> Section:
    if not valuations:
        return Section(heading=say("Values"), sentences=(say("No value is recorded."),))
    rows = tuple(
        (day_text(v.on), amount_text(v.amount, v.currency), say(v.basis.value), v.source, v.note)
        for v in reversed(valuations)
    )
    columns = (
        (term("Day"), 1.5), (term("Value"), 2.0), (term("Basis"), 1.6), (term("Source"), 3.6), (term("Note"), 3.0),
    )  # fmt: skip
    counts, latest = counting_value(valuations), latest_by_basis(valuations)
    sentences = []
    if counts:
        sentences.append(say("In lists that ask for no basis counts: {value}.", value=recorded_words(counts)))
    if len(latest) > 1:
        values = "; ".join(map(recorded_words, latest.values()))
        sentences.append(say("The latest on each basis: {values}.", values=values))
    return Section(heading=say("Values"), sentences=tuple(sentences), columns=columns, rows=rows)


def _set(reader: LibraryReader, edition: Edition, on: date) -> Section | None:
    book_set = reader.get(BookSet, edition.set_id) if edition.set_id is not None else None
    if book_set is None:
        return None
    editions = editions_of_set(reader, book_set.id)
    state = sets.set_state(book_set, list(editions), list(copies_of_editions(reader, [one.id for one in editions])))
    sentences = [say("“{title}”, {complete}.", title=book_set.title, complete=_complete(state))]
    if state.doubles:
        sentences.append(say("More than once: {volumes}.", volumes=volumes_words(state.doubles)))
    sentences += (f"{words[:1].upper()}{words[1:]}." for words in set_remarks(state))
    sentences += _losses(reader, state, edition, on)
    where = where_each_is(reader, [copy for volume in state.volumes for copy in volume.copies])
    rows = tuple(
        (volume.name, volume.title, ", ".join(copy.accession for copy in volume.copies) or say("none"),
         ", ".join(where[copy.accession] or say(copy.state.value) for copy in volume.copies))
        for volume in state.volumes
    )  # fmt: skip
    columns = ((term("Volume"), 1.2), (term("Title"), 4.6), (term("Copies"), 2.0), (term("Where"), 4.0))
    return Section(heading=say("The set it belongs to"), sentences=tuple(sentences), columns=columns, rows=rows)


def _complete(state: sets.SetState) -> str:
    if state.complete is None:
        return say("no gap seen")
    return say("complete") if state.complete else say("lacks {volumes}", volumes=volumes_words(state.gaps))


def _losses(reader: LibraryReader, state: sets.SetState, edition: Edition, on: date) -> list[str]:
    computed = losses_of_one(reader, state, on=on)
    if computed is None:
        return []
    whole, gone = computed.whole, edition.volume
    return [
        say(
            "Worth {of} {amount}, {basis}, {day}.",
            of=_of_what(whole),
            amount=amount_text(whole.amount, whole.currency),
            basis=say(whole.basis.value),
            day=day_text(whole.on),
        ),
        *(_loss_words(loss, whole.currency) for loss in computed.losses if loss.volume == gone),
        *(_unknown_words(computed, volume) for volume in computed.unknown if volume == gone),
    ]


def _loss_words(loss: sets.VolumeLoss, currency: str) -> str:
    return say(
        "Loss of {volumes}: {before} before, {after} after ({method}), so {difference}; a fair proportion would be "
        "{proportion}.",
        volumes=volumes_words([loss.volume]),
        before=amount_text(loss.before, currency),
        after=amount_text(loss.after, currency),
        method=say(loss.method),
        difference=amount_text(loss.difference, currency),
        proportion=amount_text(loss.proportion, currency),
    )


def _unknown_words(computed: SetLosses, volume: str) -> str:
    named = {"volumes": volumes_words([volume]), "remedy": unknown_loss_words(computed)}
    rates = "; ".join(map(missing_words, computed.missing))
    if not rates:
        return say("What the loss of {volumes} would cost is not known: {remedy}.", **named)
    return say(
        "What the loss of {volumes} would cost is not known: {remedy} in {currency}; missing rates: {rates}.",
        currency=computed.whole.currency,
        rates=rates,
        **named,
    )


def _of_what(value: SetValue) -> str:
    if value.lacking:
        return say("without {volumes}", volumes=volumes_words(split_volumes(value.lacking)))
    return say("as a whole")


def _seen(reader: LibraryReader, copy: Copy) -> Section | None:
    rows = tuple(
        (moment_text(s.at), s.station, methods_words(s.methods), s.box or "", s.place or "")
        for s in sightings_of(reader, copy.accession)
    )
    columns = (
        (term("When (UTC)"), 2.2), (term("Station"), 2.0), (term("How"), 3.0), (term("Box"), 1.5), (term("Place"), 1.5),
    )  # fmt: skip
    return Section(heading=say("When it was seen"), columns=columns, rows=rows) if rows else None


def _history(reader: LibraryReader, copy: Copy, *, why: bool) -> Section:
    lines = copy_history(reader, copy.accession, why=why)
    rows = tuple((line.entries, line.when, line.station, line.what, line.changed) for line in lines)
    columns = (
        (term("Entry"), 1.0), (term("When (UTC)"), 2.4), (term("Station"), 1.5), (term("What"), 2.4),
        (term("Changed"), 5.0),
    )  # fmt: skip
    return Section(heading=say("Its history in the ledger"), columns=columns, rows=rows)
