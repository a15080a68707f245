"""One reading, as the command line shows it and as other programs get it."""

from collections.abc import Mapping, Sequence

from intake.cli.context import CommandContext
from intake.flow.lookup.identify import explain
from intake.flow.lookup.number_lists import written_alike
from intake.model.identifiers import Identifier, NumberKind
from intake.model.readings import Reading


def reading_contract(reading: Reading) -> dict[str, object]:
    """Give one reading the form that other programs rely on."""
    return {
        "number": reading.number,
        "kind": reading.kind.value,
        "add_on": reading.add_on,
        "add_on_unread": reading.add_on_unread,
        "accepted": reading.accepted,
        "methods": list(reading.methods),
        "score": round(reading.score, 4),
        "runner_up": reading.runner_up,
        "misprint": misprint_in(reading),
        "corners": [[round(x, 1), round(y, 1)] for x, y in reading.corners],
    }


def say_readings(context: CommandContext, name: str, readings: Sequence[Reading], titles: Mapping[str, str]) -> None:
    """Print what was read, whether it is certain, and what else it may be."""
    written = written_alike(number for reading in readings for number in (reading.number, *reading.candidates))
    for reading in readings:
        _say_reading(context, name, reading, titles, written)


def _say_reading(
    context: CommandContext, name: str, reading: Reading, titles: Mapping[str, str], written: Mapping[str, str]
) -> None:
    add_on = f" + {reading.add_on}" if reading.add_on else ""
    sure = "read" if reading.accepted else "perhaps"
    title = f"  {titles[reading.number]}" if reading.number in titles else ""
    explained = explain(reading.number)
    wrong = "" if isinstance(explained, Identifier) else f": {explained.reason}"
    number = written.get(reading.number, reading.number)
    context.say(f"{name}: {sure} {reading.kind.value.upper()} {number}{add_on}{title}{wrong}")
    if reading.add_on_unread:
        context.say("    what is beside it may be an add-on; none was read", style="yellow")
    if (misprint := misprint_in(reading)) and misprint != reading.number:
        context.say(f"    the bars read {misprint}, which fails its check digit", style="yellow")
    for other, words in zip(reading.candidates, reading.beside, strict=False):
        title = f"  {titles[other]}" if other in titles else ""
        context.say(f"    printed: {written.get(other, other)}{f' ({words})' if words else ''}{title}")


def misprint_in(reading: Reading) -> str | None:
    """Return the digits of bars that fail their check digit; of what a reading names, no others do. Else None."""
    if reading.accepted or reading.kind is NumberKind.OWN:
        return None
    named = (reading.number, *reading.candidates)
    return next((number for number in named if not isinstance(explain(number), Identifier)), None)
