"""`intake unpack`: photographs, a handheld scanner or the keyboard at one open box."""

from __future__ import annotations

import sys
import uuid
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context, say_aside
from intake.cli.cover_lines import unusable_words
from intake.cli.many_books import look
from intake.cli.reading import workers
from intake.cli.typed_ahead import take_typed_ahead
from intake.errors import IntakeError, LibraryBusyError, RefusedError, UsageError
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import whole_words
from intake.flow.pictures.read_files import find_pictures, further_pages_words, passed_over_words
from intake.flow.unpacking.book_pictures import book_pictures
from intake.flow.unpacking.book_scan import book_scan, check_unpackable
from intake.flow.unpacking.box_scene import book_scene
from intake.flow.unpacking.busy_library import until_free
from intake.flow.unpacking.cover_evidence import CoverLookup
from intake.flow.unpacking.scan_results import (
    Booked,
    BookedBefore,
    Choose,
    LabelScan,
    Option,
    Question,
    Queued,
    Scan,
    ScanResult,
    defer_to_queue,
    option_words,
)
from intake.model.boxes import Box
from intake.units.counts import counted

if TYPE_CHECKING:
    from intake.cli.startup import Library

OUTPUT_CLOSED = (
    "The output was closed, and the command stopped: perhaps not everything was booked. What was booked is kept, "
    "and is not booked twice if the same pictures are named again."
)


@click.command("unpack")
@click.argument("box_text", metavar="BOX")
@click.argument("picture", nargs=-1, type=PathArgument)
@click.option("--ask/--no-ask", default=None, help="Ask about what is uncertain; else it waits on the query pile.")
@click.option("--covers", type=PathArgument, help="Folder of further pictures of covers, named by their copies.")
@click.option("--many", is_flag=True, help="Each picture shows many books; see below.")
@click.option("--dry-run", is_flag=True, help="With --many: compare with the list of the box, and book nothing.")
@pass_context
def unpack_command(
    context: CommandContext,
    box_text: str,
    picture: tuple[Path, ...],
    covers: Path | None,
    *,
    ask: bool | None,
    many: bool,
    dry_run: bool,
) -> None:
    """Take copies out of a BOX that has arrived.

    With PICTURES (files or folders) each symbol in them is taken; where none tells for certain what a picture shows,
    its cover is compared with the photographs of copies taken earlier, and with those in the folder --covers, each
    named by the number or key of its copy ("KEY.jpg", "KEY (2).jpg" or "KEY/front.jpg").
    The exit status is 1 if none of the pictures could be read.

    With --many the pictures show many books each, a stack or the opened box from above, those of one stack together:
    every symbol in them is looked for, and with [ocr] the text on every spine. The answer is a list: found, not listed,
    asked about, not seen. What was read for certain is booked as if it had been scanned alone; what was not, and what
    only a spine says, is shown and books nothing.

    Without pictures, every line of standard input is one scan: a handheld scanner types the number and presses Enter, a
    person may type a number or a few words of the title. While others write to the library a scan waits and is tried
    again; one that cannot be booked is said at once and at the end, and the next is read.
    """
    scanned: list[str] = []
    asks = sys.stdin.isatty() if ask is None else ask
    choose: Choose = asker(context, scanned if not picture else None) if asks else defer_to_queue
    try:
        with context.library() as library:
            with library.reading() as records:
                box = find_box(records, box_text)
            check_unpackable(box)
            if many or dry_run:
                _from_scenes(context, library, box, picture, choose, book=_many_allowed(picture, covers, many, dry_run))
            elif picture:
                _from_pictures(context, library, box, picture, choose, CoverLookup(library, workers(), covers))
            elif covers is not None:
                raise UsageError(str(covers), "is compared with pictures only", "name the pictures that were taken")
            else:
                _from_lines(context, library, box, choose, scanned)
    except (BrokenPipeError, SystemExit):  # the latter is how rich ends a command whose output was closed
        if not dry_run:
            say_aside(OUTPUT_CLOSED)
        raise
    finally:
        if rest := () if picture else (*scanned, *take_typed_ahead()):
            context.say(f"Typed after the end, and not booked: {', '.join(rest)}", style="yellow")


def _many_allowed(picture: tuple[Path, ...], covers: Path | None, many: bool, dry_run: bool) -> bool:  # noqa: FBT001 - options as given
    """Return whether to book what pictures of many books show.

    Raises:
        UsageError: an option does not go with the others.
    """
    if not many:
        raise UsageError("--dry-run", "is about pictures of many books", "add --many, and name the pictures")
    if not picture:
        raise UsageError("--many", "is about pictures", "name the pictures that were taken")
    if covers is not None:
        raise UsageError("Pictures of many books", "are not compared with covers", "leave out --covers")
    return not dry_run


def _from_scenes(
    context: CommandContext, library: Library, box: Box, named: tuple[Path, ...], choose: Choose, *, book: bool
) -> None:
    answer = look(context, library, box, named)
    if not book:
        context.say("Nothing was booked: this was a dry run.")
        return
    busy = partial(_say_busy, context, "a picture")
    station = context.settings.station
    for outcome in book_scene(
        library, box.number, answer, choose=choose, station=station, now=startup.now, on_busy=busy
    ):
        show_outcome(context, outcome)


def asker(context: CommandContext, scanned: list[str] | None = None) -> Choose:
    """Return what asks the person at the terminal.

    Args:
        context: of the command.
        scanned: takes what is scanned where an answer was expected, to be booked after the answer; None where nothing
            is scanned beside the questions.
    """

    def ask(question: Question) -> Option | None:
        context.say(f"{question.scan.text or 'a picture'}: {reasons_words(question.why)}")
        for number, option in enumerate(question.options, 1):
            context.say(f"  {number}  {whole_words(option.edition)}: {option_words(option)}")
        context.say("  0  none of these: put it on the query pile")
        chosen = _chosen(context, len(question.options), scanned)
        return question.options[chosen - 1] if chosen else None

    return ask


LONGEST_ANSWER = 3
"""Digits of an answer; more are a scan."""


def _chosen(context: CommandContext, count: int, scanned: list[str] | None) -> int:
    """Ask until one of the answers from 0 to `count` is given."""
    while True:
        text: str = click.prompt("Which", default="0").strip()
        if text.isdecimal() and len(text) <= LONGEST_ANSWER and int(text) <= count:
            return int(text)
        if scanned is not None and len(text) > LONGEST_ANSWER:
            scanned.append(text)
            context.say(f"  {text} was scanned before this was answered; it is booked next. Answer this first.")
        else:
            context.say(f"  {text} is not one of the answers, 0 to {count}, and was not booked.")


def show_outcome(context: CommandContext, result: ScanResult) -> None:
    """Show the result of one scan: what it is, where it goes, what is special about it."""
    match result:
        case LabelScan():
            what = result.words or "a box or a place that is not in this library"
            context.say(f"{result.number}: a label ({what}), nothing was booked", style="yellow")
        case BookedBefore():
            context.say(f"{result.scan.text or 'picture'}: booked before, nothing changed")
        case Queued():
            why = reasons_words(result.why)
            context.say(f"{result.scan.text or 'picture'}: query {result.query.id}, {why}", style="yellow")
        case Booked():
            context.say(f"{result.copy.accession}  {whole_words(result.edition)}: {reasons_words(result.why)}")
            shelf = result.advice.shelf
            context.say(f"    {f'goes to {shelf}, ' if shelf else ''}{result.advice.where}")
            for sentence in (*result.advice.steps, *result.advice.remarks):
                context.say(f"    {sentence}")


def _from_pictures(
    context: CommandContext, library: Library, box: Box, named: tuple[Path, ...], choose: Choose, covers: CoverLookup
) -> None:
    paths = find_pictures(named)
    if left_out := passed_over_words(named):
        context.say(left_out, style="yellow")
    failed = 0
    with context.progress(f"Box {box.number}", len(paths)) as bar:
        results = book_pictures(
            library,
            box.number,
            paths,
            decoders=context.decoders(),
            workers=workers(),
            choose=choose,
            covers=covers,
            station=context.settings.station,
            now=startup.now,
            on_busy=partial(_say_busy, context, "a picture"),
        )
        for read, outcomes in results:
            bar.advance(bar.task_ids[0])
            failed += read.result.error is not None
            if read.result.error:
                context.say(read.result.error, style="yellow")
            if words := further_pages_words(str(read.path), read.result.pages):
                context.say(words, style="yellow")
            for outcome in outcomes:
                show_outcome(context, outcome)
    for cover in covers.unusable:
        context.say(unusable_words(cover), style="yellow")
    if failed == len(paths):
        raise click.exceptions.Exit(1)


def _from_lines(context: CommandContext, library: Library, box: Box, choose: Choose, scanned: list[str]) -> None:
    """Book line by line; a line that cannot be booked does not end the command, or the shell would get the next."""
    failures: list[tuple[str, Exception]] = []
    for text in _lines(box, scanned):
        scan = Scan(text, request=str(uuid.uuid4()))
        try:
            outcome = until_free(partial(_book, context, library, box, scan, choose), partial(_say_busy, context, text))
        except IntakeError as error:
            context.say(f"{text}: not booked. {error}", style="red")
            failures.append((text, error))
        except click.Abort:
            raise
        except Exception as error:  # noqa: BLE001 - it is raised again once all lines are read
            context.say(f"{text}: not booked, because of an unexpected error. What follows is tried.", style="red")
            failures.append((text, error))
        else:
            show_outcome(context, outcome)
    if unexpected := next((error for _, error in failures if not isinstance(error, IntakeError)), None):
        context.say(f"Not booked: {', '.join(text for text, _ in failures)}", style="red")
        raise unexpected
    if failures:
        why = f"not booked: {', '.join(text for text, _ in failures)}"
        raise RefusedError(counted(len(failures), "scan was", "scans were"), why, "see above why, and scan again")


def _book(context: CommandContext, library: Library, box: Box, scan: Scan, choose: Choose) -> ScanResult:
    return book_scan(library, box.number, scan, choose=choose, station=context.settings.station, now=startup.now())


def _say_busy(context: CommandContext, what: str, error: LibraryBusyError) -> None:
    context.say(f"{what}: waits. {error.thing} {error.why}. It is tried again until it is booked.", style="yellow")


def _lines(box: Box, scanned: list[str]) -> Iterator[str]:
    """Yield what is scanned or typed, until an empty line at a terminal or the end of the input.

    What was scanned while a question was open (`scanned`) comes first.
    """
    if not sys.stdin.isatty():
        for line in sys.stdin:
            if line.strip():
                yield line.strip()
            while scanned:
                yield scanned.pop(0)
        return
    while True:
        while scanned:
            yield scanned.pop(0)
        text: str = click.prompt(f"Box {box.number}, scan or type (empty line ends)", default="", show_default=False)
        if not text.strip():
            return
        yield text.strip()


COMMANDS = (unpack_command,)
