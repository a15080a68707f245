"""The sentences of schedules: what a total leaves out, how sets count, how it compares with the sum insured."""

from collections.abc import Iterable
from decimal import Decimal

from intake.flow.lookup.wording import volumes_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.schedule_lines import Gathered, estimate_sums, set_number
from intake.flow.values.exchange_rates import HOW_OLD, missing_words
from intake.flow.values.set_words import set_remarks
from intake.flow.values.value_words import singly_words, unknown_fall_words
from intake.model.currencies import amount_text, range_text, rounded
from intake.model.valuations import Basis
from intake.units.counts import counted, noun
from intake.valuing.condition import MEANINGS
from intake.valuing.insurance import apply_average
from intake.valuing.sets import SetState
from intake.valuing.totals import ROUNDING, PartTotal, ValueTotal

NAMED = 12
"""Copies named in one sentence; more are counted."""


def summary_sentences(gathered: Gathered, options: PaperOptions, *, others: int = 0) -> tuple[str, ...]:
    """Return what the total leaves out, and how it compares with the sum insured.

    Args:
        gathered: the copies.
        options: of the paper.
        others: copies at risk that have a value, but none on the basis of the paper.
    """
    added, code = gathered.added, options.currency
    sentences: list[str] = []
    if gathered.estimates:
        count = counted(len(gathered.estimates), "copy", "copies")
        between = range_text(*estimate_sums(gathered), code)
        sentences.append(f"{count} without a value: by like copies {between}, in no total.")
    if others:
        count = counted(others, "copy has", "copies have")
        sentences.append(f"{count} no {options.basis} value, but a value on another basis, in no total here.")
    if gathered.alone:
        count = counted(len(gathered.alone), "copy", "copies")
        sentences.append(f"{count} without a value and without enough like copies: not estimated.")
    sentences += unconverted_sentences(added)
    sentences += counted_set_sentences(added)
    sentences += damaged_sentences(gathered)
    if options.single_limit is not None and added.at_risk.unconverted:
        sentences.append("What could not be converted is not compared with the limit of single articles.")
    if options.insured is not None:
        sentences += insured_sentences(added, options.insured, options.basis)
    return tuple(sentences)


def unconverted_sentences(added: ValueTotal) -> tuple[str, ...]:
    """Return which values stand in their own currency, and which rates are missing; nothing where none is."""
    if not added.missing:
        return ()
    names = [*added.unconverted, *(set_number(one.set_id) for one in added.sets if one.missing)]
    sentences = []
    if names:
        named = ", ".join(names[:NAMED]) + (f" and {len(names) - NAMED} more" if len(names) > NAMED else "")
        sentences.append(f"Not converted into {added.currency}, each in the currency it was valued in: {named}.")
    rates = "; ".join(map(missing_words, added.missing))
    return (*sentences, f"Missing {noun(len(added.missing), 'rate')}: {rates}.")


def counted_set_sentences(added: ValueTotal) -> tuple[str, ...]:
    """Return how each set that has a value of its own is counted."""
    whole = [one.part.counted for one in added.sets if not one.part.lost]
    sentences = [
        f"{set_number(one.book_set.id).capitalize()}, “{one.book_set.title}”, counts once{_without(one.gaps)}: "
        f"its volumes' own values are in no total.{unknown_fall_words(one)}"
        for one in whole
    ]
    return (*sentences, *map(singly_words, added.singly))


def damaged_sentences(gathered: Gathered) -> tuple[str, ...]:
    """Return of what is at risk which copies came damaged, and that nothing is taken off their values for it."""
    damaged = [
        one.line.number + (f" (in {one.line.in_set})" if one.line.in_set else "")
        for one in gathered.listed
        if one.valued.damage is not None and not one.valued.lost
    ]
    if not damaged:
        return ()
    named = ", ".join(damaged[:NAMED]) + (f" and {len(damaged) - NAMED} more" if len(damaged) > NAMED else "")
    kept = "counted at the value recorded for it, or for its set; nothing is taken off for the damage"
    return (f"Came damaged, and {kept}: {named}.",)


def insured_sentences(added: ValueTotal, insured: Decimal, basis: Basis | None = None) -> list[str]:
    """Compare the sum insured with what is at risk; with what a loss of a tenth would pay under average."""
    part, code = added.at_risk, added.currency
    if part.amount == 0:
        return [f"Sum insured {amount_text(insured, code)}: nothing at risk has a value in {code} to compare it with."]
    sentences = []
    loss = max(rounded(part.amount / 10, code), min(part.amount, rounded(Decimal(1), code)))
    worked = apply_average(loss=loss, insured=insured, at_risk=part.amount, currency=code)
    if worked.underinsured:
        tenth = f"Under the condition of average a loss of {amount_text(loss, code)} would pay"
        sentences += [f"{worked.working[0]}: underinsured.", f"{tenth} {worked.working[1]}."]
    else:
        sentences.append(f"{worked.working[0]}: the sum insured covers what has a value here.")
    if not part.whole:
        sentences.append(f"That is not all that is at risk: it leaves out {left_out_words(part, basis)}.")
    if len(part.converted) > 1:
        sentences.append("It adds values on several bases; the policy says which basis is insured.")
    return sentences


def left_out_words(part: PartTotal, basis: Basis | None = None) -> str:
    """Write what the amount of a part leaves out; empty where nothing.

    Args:
        part: of a total.
        basis: the basis whose values alone were counted; None for the one that counts.
    """
    value = "value" if basis is None else f"{basis.value} value"
    unvalued = f"{counted(len(part.unvalued), 'copy', 'copies')} without a {value}" if part.unvalued else ""
    others = [f"{amount_text(one.amount, one.currency)} not converted" for one in part.unconverted]
    return ", ".join(filter(None, (*others, unvalued)))


def method_sentences(added: ValueTotal, basis: Basis | None) -> tuple[str, ...]:
    """Return how the figures of a list were made, in sentences."""
    which = (
        f"the latest {basis.value} value" if basis else "the latest valuation, or what was paid where there is none,"
    )
    rates = f"Rates on {added.on.isoformat()}: {'; '.join(added.rates)}. {HOW_OLD}" if added.rates else ""
    first = f"For each copy {which} counts; its basis, source and day stand beside it."
    grades = "; ".join(f"{grade.value}: {meaning}" for grade, meaning in MEANINGS.items())
    proof = "The proof counts the copies' own values as recorded, not those of sets." if added.sets else ""
    return tuple(filter(None, (first, rates, ROUNDING, proof, f"Grades, book/jacket. {grades}.")))


def set_sentences(states: Iterable[SetState]) -> list[str]:
    """Return of each set what is missing, what is there twice, and what is still in boxes."""
    sentences: list[str] = []
    for one in states:
        gaps = f"lacks {volumes_words(one.gaps)}" if one.gaps else ""
        twice = f"has {volumes_words(one.doubles)} more than once" if one.doubles else ""
        boxed = ", ".join(f"{name} in {box}" for name, box in one.boxed.items())
        still = f"still boxed: {boxed}" if boxed else ""
        if words := "; ".join(filter(None, (gaps, twice, *set_remarks(one), still))):
            sentences.append(f"Set “{one.set.title}”: {words}.")
    return sentences


def _without(gaps: tuple[str, ...]) -> str:
    return f" at its value without {volumes_words(gaps)}" if gaps else ""
