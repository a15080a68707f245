"""The sentences of schedules: what a total leaves out, how sets count, how it compares with the sum insured."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from intake.documents.schedules import basis_words
from intake.flow.lookup.wording import volumes_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.schedule_lines import Gathered, estimate_sums, set_number
from intake.flow.values.exchange_rates import missing_words, rates_words
from intake.flow.values.set_words import set_remarks
from intake.flow.values.value_words import singly_words, unknown_fall_words
from intake.model.currencies import amount_text, range_text, rounded
from intake.model.schedules import ScheduleLine
from intake.model.valuations import Basis
from intake.units.counts import counted, some_of
from intake.units.language import say, say_of, term
from intake.valuing.condition import MEANINGS
from intake.valuing.insurance import apply_average
from intake.valuing.set_values import CountedSet
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
        like = term("{copies} without a value: by like copies {between}, in no total.")
        sentences.append(say(like, copies=count, between=between))
    if others and options.basis is not None:
        sentences.append(
            say_of(
                others,
                "{count} copy has no {value}, but a value on another basis, in no total here.",
                "{count} copies have no {value}, but a value on another basis, in no total here.",
                value=basis_words(options.basis),
            )
        )
    if gathered.alone:
        count = counted(len(gathered.alone), "copy", "copies")
        alone = term("{copies} without a value and without enough like copies: not estimated.")
        sentences.append(say(alone, copies=count))
    sentences += unconverted_sentences(added)
    sentences += counted_set_sentences(added)
    sentences += damaged_sentences(gathered)
    if options.single_limit is not None and added.at_risk.unconverted:
        sentences.append(say("What could not be converted is not compared with the limit of single articles."))
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
        kept = term("Not converted into {currency}, each in the currency it was valued in: {copies}.")
        sentences.append(say(kept, currency=added.currency, copies=some_of(names, NAMED)))
    rates = "; ".join(map(missing_words, added.missing))
    return (*sentences, say_of(len(added.missing), "Missing rate: {rates}.", "Missing rates: {rates}.", rates=rates))


def counted_set_sentences(added: ValueTotal) -> tuple[str, ...]:
    """Return how each set that has a value of its own is counted."""
    whole = [one.part.counted for one in added.sets if not one.part.lost]
    sentences = [_counted_set_sentence(one) + unknown_fall_words(one) for one in whole]
    return (*sentences, *map(singly_words, added.singly))


def damaged_sentences(gathered: Gathered) -> tuple[str, ...]:
    """Return of what is at risk which copies came damaged, and that nothing is taken off their values for it."""
    damaged = [
        say("{copy} (in {set})", copy=one.line.number, set=one.line.in_set) if one.line.in_set else one.line.number
        for one in gathered.listed
        if one.valued.damage is not None and not one.valued.lost
    ]
    if not damaged:
        return ()
    words = say(
        "Came damaged, and counted at the value recorded for it, or for its set; nothing is taken off for the damage: "
        "{copies}.",
        copies=some_of(damaged, NAMED),
    )
    return (words,)


def how_many_sentence(gathered: Gathered, listed: Sequence[ScheduleLine]) -> str:
    """Write how many copies are on a high-value list, and which cannot be."""
    in_sets = sum(bool(line.in_set) for line in listed)
    count = say_of(
        len(gathered.listed),
        "{listed} of {count} copy",
        "{listed} of {count} copies",
        listed=len(listed),
    )
    if in_sets:
        count = say_of(
            in_sets,
            "{copies}, {count} of these as a volume of a set, whose value counts instead",
            "{copies}, {count} of these as volumes of a set, whose value counts instead",
            copies=count,
        )
    return say(
        "{copies}; those without a value, or without a rate to convert it, cannot be on this list.", copies=count
    )


def insured_sentences(added: ValueTotal, insured: Decimal, basis: Basis | None = None) -> list[str]:
    """Compare the sum insured with what is at risk; with what a loss of a tenth would pay under average."""
    part, code = added.at_risk, added.currency
    if part.amount == 0:
        words = term("Sum insured {amount}: nothing at risk has a value in {currency} to compare it with.")
        return [say(words, amount=amount_text(insured, code), currency=code)]
    sentences = []
    loss = max(rounded(part.amount / 10, code), min(part.amount, rounded(Decimal(1), code)))
    worked = apply_average(loss=loss, insured=insured, at_risk=part.amount, currency=code)
    if worked.underinsured:
        average = term("Under the condition of average a loss of {loss} would pay {working}.")
        sentences += [
            say("{sums}: underinsured.", sums=worked.working[0]),
            say(average, loss=amount_text(loss, code), working=worked.working[1]),
        ]
    else:
        sentences.append(say("{sums}: the sum insured covers what has a value here.", sums=worked.working[0]))
    if not part.whole:
        rest = term("That is not all that is at risk: it leaves out {left_out}.")
        sentences.append(say(rest, left_out=left_out_words(part, basis)))
    if len(part.converted) > 1:
        sentences.append(say("It adds values on several bases; the policy says which basis is insured."))
    return sentences


def left_out_words(part: PartTotal, basis: Basis | None = None) -> str:
    """Write what the amount of a part leaves out; empty where nothing.

    Args:
        part: of a total.
        basis: the basis whose values alone were counted; None for the one that counts.
    """
    unvalued = ""
    if part.unvalued:
        copies = counted(len(part.unvalued), "copy", "copies")
        value = basis_words(basis) if basis else ""
        without = term("{copies} without a {value}")
        unvalued = say(without, copies=copies, value=value) if value else say("{copies} without a value", copies=copies)
    others = [say("{amount} not converted", amount=amount_text(one.amount, one.currency)) for one in part.unconverted]
    return ", ".join(filter(None, (*others, unvalued)))


def method_sentences(added: ValueTotal, basis: Basis | None) -> tuple[str, ...]:
    """Return how the figures of a list were made, in sentences."""
    if basis:
        which = term("For each copy the latest {value} counts; its basis, source and day stand beside it.")
        first = say(which, value=basis_words(basis))
    else:
        first = say(
            "For each copy the latest valuation, or what was paid where there is none, counts; its basis, source and "
            "day stand beside it."
        )
    grades = "; ".join(f"{say(grade.value)}: {say(meaning)}" for grade, meaning in MEANINGS.items())
    proof = say("The proof counts the copies' own values as recorded, not those of sets.") if added.sets else ""
    legend = say("Grades, book/jacket. {grades}.", grades=grades)
    return tuple(filter(None, (first, rates_words(added.on, added.rates), say(ROUNDING), proof, legend)))


def set_sentences(states: Iterable[SetState]) -> list[str]:
    """Return of each set what is missing, what is there twice, and what is still in boxes."""
    sentences: list[str] = []
    for one in states:
        gaps = say("lacks {volumes}", volumes=volumes_words(one.gaps)) if one.gaps else ""
        twice = say("has {volumes} more than once", volumes=volumes_words(one.doubles)) if one.doubles else ""
        boxed = ", ".join(say("{volume} in {box}", volume=name, box=box) for name, box in one.boxed.items())
        still = say("still boxed: {volumes}", volumes=boxed) if boxed else ""
        if words := "; ".join(filter(None, (gaps, twice, *set_remarks(one), still))):
            sentences.append(say("Set “{title}”: {remarks}.", title=one.set.title, remarks=words))
    return sentences


def _counted_set_sentence(one: CountedSet) -> str:
    name = {"number": one.book_set.id, "title": one.book_set.title}
    if not one.gaps:
        return say("Set {number}, “{title}”, counts once: its volumes' own values are in no total.", **name)
    return say(
        "Set {number}, “{title}”, counts once at its value without {volumes}: its volumes' own values are in no total.",
        volumes=volumes_words(one.gaps),
        **name,
    )
