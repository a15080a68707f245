"""The periods of a claim in words: until when to give notice and to sue, of each delivery and of what never came."""

from collections.abc import Iterator
from datetime import date

from intake.carriage.periods import OverduePeriod, Period, moved_day
from intake.flow.moving.claims import Claim
from intake.flow.moving.deliveries import Delivery
from intake.model.carriage import Counting, LiabilityTerms, PeriodRule
from intake.model.moving_papers import PeriodRow
from intake.units.counts import counted
from intake.units.language import say, say_of
from intake.units.local_forms import day_text


def delivered_words(delivery: Delivery) -> str:
    """Write which boxes came on a day, and for which of them the person stated it."""
    words = say("Delivered on {day}: {boxes}", day=day_text(delivery.day), boxes=", ".join(delivery.boxes))
    if not delivery.stated:
        return words
    return say("{words}; of {boxes} the day is the one you stated", words=words, boxes=", ".join(delivery.stated))


def period_rows(claim: Claim, today: date) -> Iterator[PeriodRow]:
    """Yield (for what, last day and what is left of it, how it is counted, what lateness costs, article).

    Where the boxes came on several days, the last day is a line for each of them.
    """
    if not claim.periods:
        return
    several = len(claim.periods) > 1
    for nth, rule in enumerate(claim.terms.regime.periods):
        lasts = [
            _left_words(periods[nth], today)
            + (f" ({say('delivered {day}', day=day_text(delivery.day))})" if several else "")
            + _moved_words(periods[nth], claim.terms)
            for delivery, periods in claim.periods
        ]
        if rule.length is None:
            lasts = [say("not known")]
        words = _rule_words(rule, holidays=bool(claim.terms.holidays))
        yield say(rule.occasion.value), "\n".join(lasts), words, say(rule.late.value), say(rule.source)


def overdue_rows(claim: Claim, today: date) -> Iterator[PeriodRow]:
    """Yield, for boxes that never came, from when they may be treated as lost and what runs without a delivery."""
    boxes = ", ".join(claim.never_came)
    for period in claim.overdue:
        rule, start = period.rule, period.start
        last, counted_from, source = _last_words(period, today), say(start.words), say(start.source)
        if rule is None:
            still = say("the carrier may still deliver")
            yield say("may be treated as lost: {boxes}", boxes=boxes), last, counted_from, still, source
            continue
        what = say("{period}, never delivered: {boxes}", period=say(rule.occasion.value), boxes=boxes)
        yield what, last, "; ".join(filter(None, (_length(rule), counted_from))), say(rule.late.value), source


def _last_words(period: OverduePeriod, today: date) -> str:
    """Write until when, or from when; both are so only where the carrier had agreed to no time."""
    if period.last is None:
        return say("not known")
    if period.rule is not None:
        left = _left_words(Period(period.rule, period.last), today)
        return f"{left} ({say('if no time was agreed')})"
    day = day_text(period.last)
    words = say("after {day}: passed", day=day) if today > period.last else say("after {day}: not yet", day=day)
    return f"{words} ({say('if no time was agreed')})"


def _left_words(period: Period, today: date) -> str:
    left = period.left(today)
    if period.last is None or left is None:
        return say("not known")
    day = day_text(period.last)
    if left < 0:
        return say("{day}: over", day=day)
    if left == 0:
        return say("{day}: today", day=day)
    return say_of(left, "{day}: {count} day left", "{day}: {count} days left", day=day)


def _moved_words(period: Period, terms: LiabilityTerms) -> str:
    """Write to which day a last day that is no working day arguably moves; empty where it does not."""
    law, last = terms.regime.last_day_law, period.last
    moved = last if last is None else moved_day(last, terms.holidays)
    if not law or moved == last:
        return ""
    return "; " + say("no working day, so arguably until {day} ({law})", day=day_text(moved), law=say(law))


def _rule_words(rule: PeriodRule, *, holidays: bool) -> str:
    """Write how a period is counted from a delivery, and which holidays were left out."""
    return "; ".join(filter(None, (_from_delivery(rule, holidays=holidays), say(rule.note))))


def _from_delivery(rule: PeriodRule, *, holidays: bool) -> str:
    if rule.length is None:
        return ""
    if rule.length == 0:
        return say("at the delivery")
    if rule.counting is Counting.MONTHS:
        return say_of(rule.length, "{count} month from delivery", "{count} months from delivery")
    length = say_of(rule.length, "{count} day from delivery", "{count} days from delivery")
    if rule.counting is not Counting.WORKING_DAYS:
        return length
    if holidays:
        return say("{length}, not counting Sundays and the holidays you named", length=length)
    return say(
        "{length}, not counting Sundays and public holidays: no list of holidays was used",
        length=length,
    )


def _length(rule: PeriodRule) -> str:
    """Write how long a period is that begins at another moment than a delivery."""
    if rule.length is None:
        return ""
    if rule.counting is Counting.MONTHS:
        return counted(rule.length, "month", "months")
    return counted(rule.length, "day", "days")
