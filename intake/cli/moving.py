"""`intake lift`, `weigh`, `parcel`: who may lift a box, and what a closed box or a parcel contains."""

from collections.abc import Mapping, Sequence

import click

from intake.cli.boxes import AS_WEIGHED
from intake.cli.context import SHOW_ALL, CommandContext, pass_context
from intake.cli.parameters import height, length, mass
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box
from intake.flow.moving.box_masses import box_lift
from intake.flow.moving.guess_parcel import (
    LEAST,
    NONE_LIKELY,
    SUPPOSED,
    Looked,
    left_out_words,
    look_into,
    sampled_words,
)
from intake.flow.moving.lift import (
    HOLDS,
    LiftAdvice,
    caution_words,
    judge_lift,
    lift_words,
    limit_words,
    mass_words,
    remedy_words,
)
from intake.flow.moving.masses import doubt_words
from intake.flow.moving.weigh_box import (
    LESS_LIKELY,
    NOTHING_TO_COMPARE,
    explanation_rows,
    look_first_words,
    opened_words,
    record_mass,
    weigh_box,
    words_of,
)
from intake.units.convert import kg_text

SHOWN = 10


@click.command("lift")
@click.argument("load")
@click.option("--reach", type=length, default="35 cm", show_default=True, help="Hands in front of the ankles.")
@click.option("--from", "start", type=height, default="20 cm", show_default=True, help="Height of the hands at first.")
@click.option("--to", "end", type=height, default="75 cm", show_default=True, help="Height of the hands at last.")
@click.option("--turn", default=0.0, show_default=True, help="Degrees that the trunk is turned.")
@click.option("--per-minute", default=1.0, show_default=True, help="Lifts per minute.")
@click.option("--hours", default=1.0, show_default=True, help="How long it lasts, up to 8.")
@click.option("--hold", type=click.Choice(HOLDS), default="fair", show_default=True)
@pass_context
def lift_command(context: CommandContext, /, load: str, hold: str, **situation: float) -> None:
    """Check whether LOAD, "18 kg" or a box, may be lifted this way, by the revised NIOSH lifting equation."""
    advice = judge_lift(
        _load_g(context, load),
        reach_mm=situation["reach"],
        start_mm=situation["start"],
        end_mm=situation["end"],
        turn_deg=situation["turn"],
        per_minute=situation["per_minute"],
        hours=situation["hours"],
        hold=hold,
    )
    _say_advice(context, advice)


def _say_advice(context: CommandContext, advice: LiftAdvice) -> None:
    limit = advice.limit
    context.say(limit_words(advice))
    context.say(
        f"  23 kg x {limit.horizontal:.2f} reach x {limit.vertical:.2f} height x {limit.distance:.2f} travel"
        f" x {limit.asymmetry:.2f} turn x {limit.frequency:.2f} frequency x {limit.coupling:.2f} hold"
    )
    remedy = remedy_words(advice)
    if remedy:
        context.say(f"  {remedy}", style="yellow")
    context.say(f"  {advice.caution}")
    context.say(f"  Source: {advice.source}.")


def _load_g(context: CommandContext, load: str) -> float:
    """Return the mass in grams: of a text with a unit, that mass; of the number of a box, what the box weighs."""
    if any(unit in load.casefold() for unit in ("g", "lb", "oz")):
        return mass(load)
    with context.library() as library, library.reading() as records:
        box = find_box(records, load)
        lift = box_lift(records, box)
    if lift.mass_g is None or lift.empty:
        why = "is unpacked" if lift.empty else "was never weighed and nothing is on its list"
        raise RefusedError(f"Box {box.number}", why, 'give a mass, such as "18 kg"')
    context.say(f"Box {box.number}: {mass_words(lift)}{' as weighed' if lift.weighed else ''}")
    return lift.mass_g


@click.command("weigh")
@click.argument("box_text", metavar="BOX")
@click.argument("gross", required=False, type=mass)
@click.option("--scale", type=mass, default="50 g", show_default=True, help="How far the scale may be off.")
@AS_WEIGHED
@pass_context
def weigh_command(
    context: CommandContext, box_text: str, gross: float | None, scale: float, *, as_weighed: bool
) -> None:
    """Record the GROSS mass of a closed BOX, and compare it with its list and with the mass at packing.

    Once books were taken out of it, its mass is compared, and not recorded: the mass on arrival stays.
    """
    with context.library() as library:
        recorded = None
        if gross is not None:
            recorded = record_mass(library, box_text, gross, as_weighed=as_weighed, station=context.settings.station)
        with library.reading() as records:
            opened_g = None if recorded else gross
            weighed = weigh_box(records, box_text, opened_g=opened_g, scale_g=scale)
            lift = box_lift(records, weighed.box, opened_g=opened_g)
    if recorded is not None and gross is not None:
        context.say(f"Box {recorded.number} weighs {kg_text(gross)} ({recorded.state}).")
    elif gross is not None:
        context.say(opened_words(weighed.box, gross))
    if caution_words(lift):
        context.say(lift_words(lift), style="yellow")
    for check in filter(None, (weighed.by_packing, weighed.by_list)):
        context.say(words_of(check), style=None if check is weighed.by_list else "bold")
    telling = weighed.telling
    if telling is None:
        context.say(NOTHING_TO_COMPARE)
    elif telling.explanations:
        rows = explanation_rows(telling, weighed.titles, weighed.elsewhere)
        context.say(f"{look_first_words(telling)}:")
        context.table(("Probability", "What would be gone"), rows, wraps=("What would be gone",))
        context.say_left_out(len(telling.explanations), len(rows), LESS_LIKELY)
    _say_doubted(context, weighed.doubted, weighed.titles)


@click.command("parcel")
@click.argument("weight", type=mass)
@click.option("--box", help="The box that it came out of; its list comes first.")
@click.option("--thickness", type=length, help="Thickness of the whole parcel.")
@click.option("--height", type=length, help="The longest side.")
@click.option("--scale", type=mass, default="10 g", show_default=True, help="How far the scale may be off.")
@click.option("--bare", is_flag=True, help="The book is not wrapped.")
@SHOW_ALL
@pass_context
def parcel_command(
    context: CommandContext,
    weight: float,
    box: str | None,
    thickness: float | None,
    height: float | None,
    scale: float,
    *,
    bare: bool,
    show_all: bool,
) -> None:
    """List the books that a wrapped parcel of this WEIGHT may contain, before it is opened."""
    with context.library() as library, library.reading() as records:
        looked = look_into(
            records,
            box,
            mass_g=weight,
            scale_g=scale,
            thickness_mm=thickness,
            height_mm=height,
            wrapped=not bare,
        )
    _show_parcel(context, looked, None if show_all else SHOWN)


def _show_parcel(context: CommandContext, looked: Looked, most: int | None) -> None:
    answer = looked.answer
    context.say(looked.words)
    shown = [guess for guess in answer.guesses[:most] if guess.probability >= LEAST]
    rows = [
        (f"{100 * guess.probability:.1f} %", key if n == 0 else f"+ {key}", looked.titles[key], looked.boxes[key])
        for guess in shown
        for n, key in enumerate(guess.keys)
    ]
    if rows:
        context.table(("Probability", "Copy", "Title", "Listed in"), rows, wraps=("Title",))
        context.say_left_out(len(answer.guesses), len(shown))
    elif answer.guesses:
        context.say(NONE_LIKELY)
    context.say(f"{100 * answer.on_no_list:.1f} %  something that is on no list")
    if untried := left_out_words(answer):
        context.say(untried, style="yellow")
    context.say(f"Supposed beforehand: {SUPPOSED}")
    _say_doubted(context, looked.doubted, looked.titles)
    if sampled := sampled_words(answer):
        context.say(sampled)


def _say_doubted(context: CommandContext, doubted: Sequence[str], titles: Mapping[str, str]) -> None:
    if doubted:
        context.say(doubt_words([f"{key} {titles[key]}" for key in doubted]), style="yellow")


COMMANDS = (lift_command, weigh_command, parcel_command)
