"""Totals, reviews and losses of sets in lines, as a person reads them at a terminal."""

from collections.abc import Iterator, Sequence

from intake.documents.schedules import sets_words
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_words, volumes_words
from intake.flow.values.exchange_rates import how_old, missing_words
from intake.flow.values.like_copies import outlier_words
from intake.flow.values.value_copies import Review
from intake.flow.values.value_sets import SetLosses
from intake.model.currencies import amount_text, range_text
from intake.model.editions import Copy, Edition
from intake.model.valuations import Basis
from intake.model.volumes import split_volumes
from intake.units.advice import advice
from intake.units.counts import counted
from intake.units.language import say
from intake.units.local_forms import day_text
from intake.valuing.set_values import CountedSet
from intake.valuing.totals import ROUNDING, PartTotal, ValueTotal


def total_lines(added: ValueTotal, *, limit: int, basis: Basis | None = None) -> Iterator[str]:
    """Yield a total: what is at risk and what is lost, each by basis, and what is left out; lists cut at a limit.

    Args:
        added: the total.
        limit: of its lists.
        basis: the only one that counts; None for whichever counts for a copy.
    """
    if left := len(added.unconverted):
        are = counted(left, "valued copy is", "valued copies are")
        yield f"Incomplete: {are} in no sum below, as a rate into {added.currency} is missing"
    yield from _part_lines("At risk", added.at_risk, added, lost=False)
    if added.lost.copies:
        yield from _part_lines("Lost since the move, and not at risk", added.lost, added, lost=True)
    for words in (*added.rates, *((how_old(),) if added.rates else ()), ROUNDING):
        yield f"  {words}"
    yield from (f"  {_counted_words(one.part.counted)}" for one in added.sets if not one.part.lost)
    yield from (f"  {singly_words(counted)}" for counted in added.singly)
    if added.unvalued:
        copies = counted(len(added.unvalued), "copy", "copies")
        lost = f", {len(added.lost.unvalued)} of them lost," if added.lost.unvalued else ","
        on_it = f" on the basis {basis}" if basis else ""
        how = advice(f"; see 'intake value review {added.currency}'", "")
        yield f"{copies} without a value{on_it}{lost} in no total{how}"
    whys = {worth.copy: worth.why for worth in added.worths}
    yield from cut([f"  {copy} not converted: {whys[copy]}" for copy in added.unconverted], limit)


def review_lines(records: LibraryReader, review: Review, *, years: int, limit: int) -> Iterator[str]:
    """Yield what a person should look at again; lists cut at a limit."""
    code = review.added.currency
    yield f"Values more than {years} years old: {len(review.old)}"
    yield from cut([f"  {old.copy}  {amount_text(old.amount, old.currency)}, {old.basis}, {old.on}"
                    for old in review.old], limit)  # fmt: skip
    yield f"Values unlike those of like copies: {len(review.unlike)}"
    yield from cut([f"  {unlike.copy}  {outlier_words(unlike, code)}" for unlike in review.unlike], limit)
    unconverted = review.added.unconverted
    if review.added.missing:
        yield f"Values that cannot be converted into {code}: {len(unconverted)}"
        yield from cut([f"  {copy}" for copy in unconverted], limit)
    yield f"Copies without a value: {len(review.estimates) + len(review.alone)}"
    yield from _estimate_lines(records, review, code, limit)
    if review.alone:
        names = ", ".join(review.alone[:limit])
        more = f" and {len(review.alone) - limit} more{advice(' (--limit)', '')}" if len(review.alone) > limit else ""
        yield f"  too few like copies for a range: {names}{more}"


def loss_lines(losses: SetLosses) -> Iterator[str]:
    """Yield what the loss of each volume of a set costs, and of which volumes that cannot be said."""
    currency = losses.whole.currency
    too = "further " if losses.gaps else ""
    for loss in losses.losses:
        before, after = amount_text(loss.before, currency), amount_text(loss.after, currency)
        yield (
            f"  {too}loss of {volumes_words([loss.volume])}: {amount_text(loss.difference, currency)} ({before} less "
            f"{after}, {loss.method})"
        )
    if losses.unknown:
        yield f"  {too}loss of {volumes_words(losses.unknown)}: not known; {unknown_loss_words(losses)}"
        yield from (f"  missing rate: {missing_words(rate)}" for rate in losses.missing)


def unknown_loss_words(losses: SetLosses) -> str:
    """Write what would have to be valued for the loss of a volume to be known."""
    others = say("every other volume by itself")
    if losses.missing:
        others = say("every other volume by itself, and enter the missing rates")
    if not losses.gaps:
        return say("value the set without it, or {others}", others=others)
    gone = volumes_words(losses.gaps)
    if losses.whole.lacking:
        return say(
            "the set is valued without {volumes}; value it without one more too, or {others}",
            volumes=gone,
            others=others,
        )
    return say("value the set as it is, without {volumes}; and without these and one more", volumes=gone)


def singly_words(counted: CountedSet) -> str:
    """Write why the value of a set does not count, and what counts instead; empty where it does count."""
    value = counted.unused
    if value is None:
        return ""
    of = say("as a complete set")
    if value.lacking:
        of = say("without {volumes}", volumes=volumes_words(split_volumes(value.lacking)))
    named = {
        "set": say("Set {number}, “{title}”", number=counted.book_set.id, title=counted.book_set.title),
        "of": of,
        "stated": ", ".join((amount_text(value.amount, value.currency), say(value.basis.value), day_text(value.on))),
    }
    if counted.other_basis:
        return say(
            "{set}: its value {of} ({stated}) is in no total, as it is on another basis; its volumes count one by one "
            "where they have a value on the basis asked for.",
            **named,
        )
    if counted.gaps:
        return say(
            "{set}: its value {of} ({stated}) is in no total, as it lacks {volumes} here, and was not valued without "
            "just that; its volumes count one by one.",
            volumes=volumes_words(counted.gaps),
            **named,
        )
    return say(
        "{set}: its value {of} ({stated}) is in no total, as all its volumes are here; its volumes count one by one.",
        **named,
    )


def _counted_words(counted: CountedSet) -> str:
    without = f" without {volumes_words(counted.gaps)}" if counted.gaps else ""
    words = f"Set {counted.book_set.id}, “{counted.book_set.title}”{without}, counts once in place of its volumes."
    return f"{words}{unknown_fall_words(counted)}"


def unknown_fall_words(counted: CountedSet) -> str:
    """Write, after another sentence, that it is not known what lost volumes took from a set; empty where it is."""
    if not counted.lost_singly:
        return ""
    return " " + say(
        "What the loss of {copies} took from it is not known: its value before the loss is not on record in the same "
        "currency and on the same basis. What is lost counts with its own value.",
        copies=", ".join(counted.lost_singly),
    )


def _part_lines(name: str, part: PartTotal, added: ValueTotal, *, lost: bool) -> Iterator[str]:
    """Yield the sum of a part, and a line for each basis and for each currency that was not converted."""
    if not part.subtotals and part.unvalued:
        yield f"{name}: {counted(part.copies, 'copy', 'copies')}, none of known value"
        return
    copies = counted(sum(one.copies for one in part.converted), "copy", "copies")
    yield f"{name}: {amount_text(part.amount, part.currency)} at the rates of {added.on}, {copies}"
    for one in part.subtotals:
        sets = sets_words(one, lost=lost)
        rest = "" if one.currency == part.currency else " (not converted, not in the sum)"
        copies = counted(one.copies, "copy", "copies")
        yield f"  {one.basis}: {amount_text(one.amount, one.currency)}, {copies}{sets}{rest}"


def _estimate_lines(records: LibraryReader, review: Review, code: str, limit: int) -> Iterator[str]:
    ranges = list(review.estimates.values())
    shown = ranges[:limit]
    copies = records.get_many(Copy, (one.copy for one in shown))
    editions = records.get_many(Edition, (copy.edition_id for copy in copies.values()))
    lines = [
        f"  {one.copy}  {range_text(one.low, one.high, code)} "
        f"({one.count} of the same {one.alike})  {title_words(editions[copies[one.copy].edition_id])}"
        for one in shown
    ]
    yield from cut(lines, limit, of=len(ranges))


def cut(lines: Sequence[str], limit: int, *, of: int | None = None) -> Iterator[str]:
    """Yield the first lines; then, where there are more, how many, and how to see them."""
    yield from lines[:limit]
    rest = (len(lines) if of is None else of) - limit
    if rest > 0:
        yield f"  … and {rest} more{advice(f': --limit {limit + rest} shows all', '')}"
