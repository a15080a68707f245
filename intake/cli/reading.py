"""`intake read` and `intake explain`: what a picture shows or a number means, without a library."""

import json
import os
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TypedDict, Unpack

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context, say_aside
from intake.cli.cover_lines import covers_contract, known_covers, show_covers
from intake.cli.list_options import ListPerson, ReadingArguments
from intake.cli.many_books import read_many, show_film
from intake.cli.read_lines import reading_contract, say_readings
from intake.errors import UsageError
from intake.flow.lists.catalog_file import Catalog, read_catalog
from intake.flow.lists.import_file import ListAudience
from intake.flow.lists.list_guess import ListGuess
from intake.flow.lookup.identify import explain
from intake.flow.pictures.read_files import (
    ReadPicture,
    find_pictures,
    further_pages_words,
    passed_over_words,
    read_files,
)
from intake.flow.pictures.watch_camera import watch
from intake.model.identifiers import Identifier
from intake.model.readings import PictureReadings
from intake.units.counts import counted


class ReadFlags(TypedDict):
    """The options of `intake read` that are said or not."""

    as_json: bool
    bars_only: bool
    many: bool


def workers() -> int:
    """Return how many pictures to read at a time: one for each core."""
    return os.cpu_count() or 1


@click.command("read")
@click.option(
    "--catalog",
    type=PathArgument,
    help="A list with ISBN and title, in any form that 'intake import editions' takes, or MARC or ONIX records.",
)
@click.option("--map", "pairs", multiple=True, metavar="FIELD=HEADING", help="The catalog's column of isbn or title.")
@click.option("--encoding", default="", metavar="NAME", help="Encoding of the catalog, such as cp1252.")
@click.option("--sheet", default="", metavar="NAME", help="Sheet of the catalog, if it is a workbook.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a line for each picture.")
@click.option("--camera", metavar="N", help="Watch camera N (0 is the first), or a video file, instead of pictures.")
@click.option("--bars-only", is_flag=True, help="Do not look for a printed number where the bars give none.")
@click.option("--covers", type=PathArgument, help="Folder of pictures of covers to compare with, see below.")
@click.option("--many", is_flag=True, help="Each picture shows many books: a stack, a box, a shelf; see below.")
@click.argument("picture", nargs=-1, type=PathArgument)
@pass_context
def read_command(
    context: CommandContext,
    catalog: Path | None,
    pairs: tuple[str, ...],
    encoding: str,
    sheet: str,
    camera: str | None,
    *,
    covers: Path | None,
    picture: tuple[Path, ...],
    **flags: Unpack[ReadFlags],
) -> None:
    """Read the symbols in pictures, files or whole folders, or before a camera; books nothing.

    Where the bars give no sure number, and [ocr] is installed, the printed number is looked for: under the bars
    or after "ISBN" on a copyright page.

    A catalog of more than a megabyte is parsed once: its parsed rows are kept beside it, in a hidden file named by its
    content, or in the cache folder where that place may not be written.

    With --covers each picture is compared with those in a folder, taken earlier, of covers; a picture there is named
    by what it shows, the number of a copy or a key of your own ("KEY.jpg", "KEY (2).jpg" or "KEY/front.jpg"). Two
    books that wear one cover are both named. What was computed of the folder is kept in it, in a hidden folder, as
    above.

    With --many every symbol in a picture is looked for, however small, and with [ocr] the text on every spine; both are
    shown in the order in which the books stand or lie, and with --json there is a field "spines". With --camera FILM
    --many, a film taken along a shelf, each book is shown once, in that order, when the film ends; in films the text on
    spines is not read.

    A file that cannot be opened is reported with the reason and the run goes on; the exit status is 1 if all failed.
    """
    as_json, bars_only, many = flags["as_json"], flags["bars_only"], flags["many"]
    said = ReadingArguments(pairs=pairs, encoding=encoding, sheet=sheet)
    _check_options(catalog, said, camera, covers, many=many)
    known = _catalog(context, catalog, said) if catalog is not None else None
    if many and camera is None:
        read_many(context, picture, known, as_json=as_json, spines=not bars_only)
        return
    if camera is not None:
        if many:
            show_film(context, camera, known, as_json=as_json, spines=not bars_only)
        else:
            _watch(context, camera, known, as_json=as_json)
        return
    titles: Mapping[str, str] = known.titles if known is not None else {}
    book = known.book if known is not None else None
    paths = find_pictures(picture)
    if left_out := passed_over_words(picture):
        say_aside(left_out)
    decoders = context.decoders()
    look = known_covers(context, covers) if covers is not None else None
    failed = 0
    with context.progress("Reading", len(paths)) as bar:
        step = partial(bar.advance, bar.task_ids[0])
        printed = not bars_only
        for read in read_files(paths, decoders, workers=workers(), known=book, printed=printed, tick=step):
            failed += read.result.error is not None
            seen = look(read) if look is not None else None
            if as_json:
                shown = contract(read.result) | ({"covers": covers_contract(seen)} if look is not None else {})
                click.echo(json.dumps(shown, ensure_ascii=False))
            else:
                _show(context, read, titles)
                show_covers(context, read.path, seen)
    if failed == len(paths):
        raise click.exceptions.Exit(1)


def _check_options(
    catalog: Path | None, said: ReadingArguments, camera: str | None, covers: Path | None, *, many: bool
) -> None:
    """Refuse options that do not go together.

    Raises:
        UsageError: with what to name instead.
    """
    if catalog is None and said != ReadingArguments():
        raise UsageError("--map, --encoding and --sheet", "are about a catalog", "add --catalog FILE")
    if covers is not None and (camera is not None or many):
        what = "The frames of a camera" if camera is not None else "Pictures of many books"
        raise UsageError(what, "are not compared with covers", "name pictures of one book each")
    if many and camera is not None and camera.isdecimal():
        raise UsageError(f"Camera {camera}", "has no end, after which its books are put in order", "name a film")


def _catalog(context: CommandContext, path: Path, said: ReadingArguments) -> Catalog:
    """Read the catalog; what was guessed or left out is said beside the answers, never among them."""

    def show(guess: ListGuess) -> None:
        used = {column.guess.field: column.guess.heading.strip() for column in guess.columns if column.guess.field}
        if any(field != heading.casefold() for field, heading in used.items()):
            click.echo(f"{path}: {', '.join(f'{field} is {used[field]!r}' for field in used)}.", err=True)

    audience = ListAudience(ListPerson(context, path.name).choose, show)
    known = read_catalog(path, reading=said.reading(), audience=audience, today=startup.today())
    if left_out := known.titles.left_out:
        click.echo(f"{path}: {counted(left_out, 'row')} without a usable number or title left out.", err=True)
    return known


def _watch(context: CommandContext, camera: str, known: Catalog | None, *, as_json: bool) -> None:
    titles: Mapping[str, str] = known.titles if known is not None else {}
    book = known.book if known is not None else None
    source = int(camera) if camera.isdecimal() else Path(camera)
    name = f"camera {source}" if isinstance(source, int) else str(source)
    started = startup.now()
    for reading in watch(source, context.decoders(), book, on_cut=say_aside):
        ms = (startup.now() - started).total_seconds() * 1000
        result = PictureReadings(name, round(ms, 1), (reading,))
        if as_json:
            click.echo(json.dumps(contract(result), ensure_ascii=False))
        else:
            _show(context, ReadPicture(Path(name), result, None), titles)


def contract(result: PictureReadings) -> dict[str, object]:
    """Give one picture's result the form that other programs rely on."""
    return {
        "file": result.file,
        "ms": result.ms,
        "error": result.error,
        "pages": result.pages,
        "readings": [reading_contract(reading) for reading in result.readings],
    }


def _show(context: CommandContext, read: ReadPicture, titles: Mapping[str, str]) -> None:
    if read.result.error:
        context.say(read.result.error)
        return
    if not read.result.readings:
        context.say(f"{read.path}: nothing read")
    say_readings(context, str(read.path), read.result.readings, titles)
    if words := further_pages_words(str(read.path), read.result.pages):
        context.say(words, style="yellow")


@click.command("explain")
@click.argument("text", nargs=-1, required=True)
@pass_context
def explain_command(context: CommandContext, text: tuple[str, ...]) -> None:
    """Explain a number: its kind, or the check that it fails and how to correct it, numbers in the library first."""
    words = " ".join(text)
    if context.has_library():
        with context.library() as library, library.reading() as records:
            explained = explain(words, records)
    else:
        explained = explain(words)
    if isinstance(explained, Identifier):
        context.say(f"{explained.kind.value.upper()} {explained.written}")
        context.say(f"  number  {explained.number}")
        if explained.add_on:
            context.say(f"  add-on  {explained.add_on}")
        for note in explained.notes:
            context.say(f"  {note}")
        return
    context.say(f"{explained.text!r} is not a valid number: {explained.reason}.")
    for repair in explained.repairs:
        in_library = ", and it is in this library" if repair.in_catalog else ""
        context.say(f"  {repair.written}  would be valid: {repair.how}{in_library}")
    raise click.exceptions.Exit(1)


COMMANDS = (read_command, explain_command)
