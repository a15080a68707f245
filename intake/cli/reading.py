"""`intake read` and `intake explain`: what a picture shows or a number means, without a library."""

import json
import os
from collections.abc import Mapping
from functools import partial
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.cover_lines import covers_contract, known_covers, show_covers
from intake.errors import UsageError
from intake.flow.lists.catalog_file import Catalog, read_catalog
from intake.flow.lookup.identify import explain
from intake.flow.pictures.read_files import ReadPicture, find_pictures, read_files
from intake.flow.pictures.watch_camera import watch
from intake.model.identifiers import Identifier
from intake.model.readings import PictureReadings, Reading


def workers() -> int:
    """Return how many pictures to read at a time: one for each core."""
    return os.cpu_count() or 1


@click.command("read")
@click.option("--catalog", type=PathArgument, help="CSV with at least the columns isbn and title.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a line for each picture.")
@click.option("--camera", metavar="N", help="Watch camera N (0 is the first), or a video file, instead of pictures.")
@click.option("--bars-only", is_flag=True, help="Do not look for a printed number where the bars give none.")
@click.option("--covers", type=PathArgument, help="Folder of pictures of covers to compare with, see below.")
@click.argument("picture", nargs=-1, type=PathArgument)
@pass_context
def read_command(
    context: CommandContext,
    catalog: Path | None,
    camera: str | None,
    covers: Path | None,
    *,
    as_json: bool,
    bars_only: bool,
    picture: tuple[Path, ...],
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

    A file that cannot be opened is reported with the reason and the run goes on; the exit status is 1 if all failed.
    """
    known = read_catalog(catalog) if catalog is not None else None
    if known is not None and (left_out := known.titles.left_out):
        click.echo(f"{catalog}: {left_out} rows without a usable number or title were left out.", err=True)
    if camera is not None and covers is not None:
        raise UsageError("The frames of a camera", "are not compared with covers", "name pictures instead of --camera")
    if camera is not None:
        _watch(context, camera, known, as_json=as_json)
        return
    titles: Mapping[str, str] = known.titles if known is not None else {}
    book = known.book if known is not None else None
    paths = find_pictures(picture)
    if not paths:
        names = ", ".join(str(path) for path in picture) or "The command line"
        raise UsageError(
            names, "contains no pictures", "name files or folders of JPEG, PNG, WebP, TIFF or HEIC pictures"
        )
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


def _watch(context: CommandContext, camera: str, known: Catalog | None, *, as_json: bool) -> None:
    titles: Mapping[str, str] = known.titles if known is not None else {}
    book = known.book if known is not None else None
    source = int(camera) if camera.isdecimal() else Path(camera)
    name = f"camera {source}" if isinstance(source, int) else str(source)
    started = startup.now()
    for reading in watch(source, context.decoders(), book):
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
        "readings": [_reading(reading) for reading in result.readings],
    }


def _reading(reading: Reading) -> dict[str, object]:
    return {
        "number": reading.number,
        "kind": reading.kind.value,
        "add_on": reading.add_on,
        "accepted": reading.accepted,
        "methods": list(reading.methods),
        "score": round(reading.score, 4),
        "runner_up": reading.runner_up,
        "corners": [[round(x, 1), round(y, 1)] for x, y in reading.corners],
    }


def _show(context: CommandContext, read: ReadPicture, titles: Mapping[str, str]) -> None:
    if read.result.error:
        context.say(read.result.error)
        return
    if not read.result.readings:
        context.say(f"{read.path}: nothing read")
    for reading in read.result.readings:
        add_on = f" + {reading.add_on}" if reading.add_on else ""
        sure = "read" if reading.accepted else "perhaps"
        title = f"  {titles[reading.number]}" if reading.number in titles else ""
        context.say(f"{read.path}: {sure} {reading.kind.value.upper()} {_written(reading.number)}{add_on}{title}")
        for number, words in zip(reading.candidates, reading.beside, strict=False):
            title = f"  {titles[number]}" if number in titles else ""
            context.say(f"    printed: {_written(number)}{f' ({words})' if words else ''}{title}")


def _written(text: str) -> str:
    explained = explain(text)
    return explained.written if isinstance(explained, Identifier) else text


@click.command("explain")
@click.argument("text", nargs=-1, required=True)
@pass_context
def explain_command(context: CommandContext, text: tuple[str, ...]) -> None:
    """Explain a number: its kind, or the check that it fails and how to correct it, numbers in the library first."""
    words = " ".join(text)
    if context.settings.library.exists():
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
