"""`intake lookup`: what libraries' servers have under a number, beside what is known; taken only when told to."""

from collections.abc import Sequence

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.ask_servers import LookupResult, look_up
from intake.flow.lookup.lookup_targets import LookupTarget, lookup_targets, waiting_targets
from intake.flow.lookup.server_words import (
    FIELD_WORDS,
    answer_words,
    left_out_words,
    note_words,
    value_words,
)
from intake.flow.lookup.take_fields import FIELDS, TakePlan, choose_record, field_offers, fields_named, plan_take, take
from intake.flow.lookup.wording import whole_words
from intake.model.lookups import LookedUpRecord


@click.command("lookup")
@click.argument("number", nargs=-1)
@click.option("--from", "urls", multiple=True, metavar="URL", help="Base URL of a server, with its database.")
@click.option("--title", default="", help="Look up words of a title instead.")
@click.option("--waiting", is_flag=True, help="Look up every unknown number that waits on the query pile.")
@click.option(
    "--take",
    "take_names",
    multiple=True,
    metavar="FIELD",
    help=f"Write this field of the record into the catalog; all, or {', '.join(FIELDS)}.",
)
@click.option("--record", "nth", type=click.IntRange(1), help="Of several records, take from this one.")
@click.option("--dry-run", is_flag=True, help="With --take: show what would be written, and write nothing.")
@click.option("--fresh", is_flag=True, help="Ask anew what was answered within the last day.")
@pass_context
def lookup_command(
    context: CommandContext,
    number: tuple[str, ...],
    urls: tuple[str, ...],
    title: str,
    take_names: tuple[str, ...],
    nth: int | None,
    *,
    waiting: bool,
    dry_run: bool,
    fresh: bool,
) -> None:
    """Look up each NUMBER, or own key of an edition, at a library's server (SRU).

    What comes back is printed beside what is known. Nothing is written unless --take says so, and undo takes it back.
    The servers are those of --from, else those of the setting lookup.urls: a list urls under [lookup] in the file
    settings.toml in the library's folder.
    """
    fields = fields_named(take_names)
    if dry_run and not fields:
        raise UsageError("--dry-run", "is about what is taken", "add --take FIELD or --take all")
    targets = _targets(context, number, title, waiting=waiting)
    servers = urls or startup.lookup_urls(context.settings.library)
    if not servers:
        file = context.settings.folder / startup.SETTINGS_FILE
        remedy = f'give one with --from URL, or write [lookup] and below it urls = ["URL"] in {file}'
        raise UsageError("The look-up", "needs the address of a library's SRU server", remedy)
    results: list[LookupResult] = []
    for result in look_up(targets, servers, cache=None if fresh else startup.lookup_cache()):
        _show(context, result)
        results.append(result)
    _summary(context, results)
    found = [result for result in results if result.found]
    if found and fields:
        _take(context, found, fields, nth, dry_run=dry_run)
    elif found:
        context.say("Nothing was written; --take FIELD or --take all writes it into the catalog.")
    if targets and not found:
        raise click.exceptions.Exit(1)


def _targets(context: CommandContext, numbers: Sequence[str], title: str, *, waiting: bool) -> tuple[LookupTarget, ...]:
    if waiting and (numbers or title):
        raise UsageError("--waiting", "looks up the numbers that wait", "give no number and no title with it")
    if waiting:
        with context.library() as library, library.reading() as records:
            targets = waiting_targets(records)
        if not targets:
            context.say("No unknown number waits on the query pile.")
        return targets
    if not numbers and not title.strip():
        raise UsageError("The look-up", "has nothing to look up", "give a number, --title or --waiting")
    if not context.has_library():
        return lookup_targets(None, numbers, title)
    with context.library() as library, library.reading() as records:
        return lookup_targets(records, numbers, title)


def _show(context: CommandContext, result: LookupResult) -> None:
    """Show one thing that was looked up: what is known, what each server answered, every record field by field."""
    target = result.target
    kind = target.identifier.kind.value.upper() if target.identifier else "Title"
    known = "; ".join(whole_words(edition) for edition in target.editions) or "not in the catalog"
    context.say(f"{kind} {target.name}: {known}", style="bold")
    for answer in result.answers:
        context.say(f"  {answer_words(answer)}")
    for nth, (_, record) in enumerate(result.found, 1):
        if len(result.found) > 1:
            context.say(f"  Record {nth} of {len(result.found)}{f', {record.id}' if record.id else ''}")
        _show_record(context, target, record)


def _show_record(context: CommandContext, target: LookupTarget, record: LookedUpRecord) -> None:
    offers = field_offers(target, record)
    context.table(
        ("", "Field", "Known", "Library", "Converted from"),
        (
            (
                "" if offer.is_new else "=",
                offer.name,
                value_words(offer.known),
                value_words(offer.found),
                "; ".join(map(note_words, offer.notes)),
            )
            for offer in offers
        ),
        wraps=("Known", "Library", "Converted from"),
    )
    if record.left_out:
        context.say("  Also in the record, and kept in no field:")
    for tag, text in record.left_out:
        context.say(f"    {left_out_words(tag, text)}")


def _summary(context: CommandContext, results: Sequence[LookupResult]) -> None:
    """Say which numbers were not found, and which nobody could answer for."""
    nowhere = [result.target.name for result in results if result.answered and not result.found]
    unanswered = [result.target.name for result in results if not result.answered]
    if nowhere:
        context.say(f"Not found: {', '.join(nowhere)}.")
    if unanswered:
        context.say(
            f"No server answered for {', '.join(unanswered)}; look it up again later. "
            "Numbers on the query pile wait for 'intake lookup --waiting'."
        )


def _take(
    context: CommandContext,
    results: Sequence[LookupResult],
    fields: frozenset[str],
    nth: int | None,
    *,
    dry_run: bool,
) -> None:
    """Take one record of each; of several things, one whose records differ is left for a run of its own, and said."""
    chosen: list[tuple[LookupTarget, str, LookedUpRecord]] = []
    for result in results:
        try:
            chosen.append(choose_record(result.target, result.found, fields, nth))
        except RefusedError as error:
            if len(results) == 1:
                raise
            context.say(f"Left out: {error}")
    with context.library() as library:
        plan = plan_take(library, chosen, fields)
        _show_plan(context, plan, fields, dry_run=dry_run)
        if not dry_run and (entry := take(library, plan, station=context.settings.station)) is not None:
            context.say(f"Written as ledger entry {entry.seq}; undo takes it back.")


def _show_plan(context: CommandContext, plan: TakePlan, fields: frozenset[str], *, dry_run: bool) -> None:
    verb = "Would take" if dry_run else "Taken"
    for taken in plan.taken:
        what = "new edition" if not taken.target.editions else whole_words(taken.target.editions[0])
        context.say(f"{verb} for {taken.target.name} ({what}): {'' if taken.offers else 'nothing new'}")
        for offer in taken.offers:
            was = f" instead of {value_words(offer.known)}" if offer.known is not None else ""
            context.say(f"  {FIELD_WORDS[offer.name]}: {value_words(offer.found)}{was}")
        has = {offer.name for offer in field_offers(taken.target, taken.record)}
        missing = [FIELD_WORDS[name] for name in FIELDS if name in fields and name not in has]
        if missing and len(fields) < len(FIELDS):
            context.say(f"  not in the record: {', '.join(missing)}")


COMMANDS = (lookup_command,)
