"""Pictures of many books at a time: `intake read --many` and `intake unpack --many`."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from intake.cli.context import CommandContext, say_aside
from intake.cli.read_lines import reading_contract, say_readings
from intake.flow.pictures.read_files import find_pictures, further_pages_words, passed_over_words
from intake.flow.pictures.read_film import film_lines, read_film
from intake.flow.pictures.read_scene import ReadScene, read_scenes
from intake.flow.unpacking.box_scene import look_into_box
from intake.flow.unpacking.box_scene_words import not_read_lines, scene_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from intake.cli.startup import Library
    from intake.flow.lists.catalog_file import Catalog
    from intake.flow.pictures.read_film import ReadFilm
    from intake.flow.unpacking.box_scene import BoxScene
    from intake.model.boxes import Box


def read_many(
    context: CommandContext, named: Sequence[Path], known: Catalog | None, *, as_json: bool, spines: bool
) -> None:
    """Read pictures of many books and show everything in them, in the order in which it stands there."""
    paths = find_pictures(named)
    if left_out := passed_over_words(named):
        say_aside(left_out)
    failed = 0
    with context.progress("Reading", len(paths)) as bar:
        step = partial(bar.advance, bar.task_ids[0])
        book = known.book if known is not None else None
        for shown in read_scenes(paths, context.decoders(), known=book, spines=spines, tick=step):
            failed += shown.error is not None
            if as_json:
                click.echo(json.dumps(scene_contract(shown), ensure_ascii=False))
            else:
                _show(context, shown, known)
    if failed == len(paths):
        raise click.exceptions.Exit(1)


def scene_contract(shown: ReadScene) -> dict[str, object]:
    """Give one picture's result the form that other programs rely on."""
    return {
        "file": str(shown.source) if not isinstance(shown.source, bytes) else shown.name,
        "error": shown.error,
        "readings": [reading_contract(reading) for reading in shown.scene.symbols],
        "spines": [
            {"text": spine.text, "score": round(spine.score, 4), "corners": [list(corner) for corner in spine.corners]}
            for spine in shown.scene.spines
        ],
        "text_missing": shown.text_missing,
        "left_out": shown.scene.left_out,
        "pages": shown.pages,
        "other_lines": shown.scene.other_lines,
    }


def _show(context: CommandContext, shown: ReadScene, known: Catalog | None) -> None:
    if shown.error:
        context.say(shown.error)
        return
    if not shown.scene.symbols and not shown.scene.spines:
        context.say(f"{shown.name}: nothing read")
    say_readings(context, shown.name, shown.scene.symbols, known.titles if known is not None else {})
    for spine in shown.scene.spines:
        context.say(f"{shown.name}: a spine reads '{spine.text}'")
    for line in not_read_lines(shown.scene.left_out, shown.scene.other_lines, text_missing=shown.text_missing):
        context.say(line, style="yellow")
    if words := further_pages_words(shown.name, shown.pages):
        context.say(words, style="yellow")


def show_film(context: CommandContext, film: str, known: Catalog | None, *, as_json: bool, spines: bool) -> None:
    """Read a film taken along a shelf and show each book once, in the order in which they stand."""
    with context.progress("Frames", None) as bar:

        def tick(nth: int, stated: int) -> None:
            bar.update(bar.task_ids[0], completed=nth, total=stated or None)

        book = known.book if known is not None else None
        shown = read_film(Path(film), context.decoders(), book, tick=tick)
    if as_json:
        click.echo(json.dumps(film_contract(film, shown), ensure_ascii=False))
        return
    if not shown.books:
        context.say(f"{film}: nothing read")
    say_readings(context, Path(film).name, shown.books, known.titles if known is not None else {})
    for line in film_lines(shown, spines=spines):
        context.say(line, style="yellow")


def film_contract(film: str, shown: ReadFilm) -> dict[str, object]:
    """Give what was read in a film the form that other programs rely on."""
    return {
        "file": film,
        "error": None,
        "readings": [reading_contract(reading) for reading in shown.books],
        "frames": shown.frames,
        "frames_read": shown.frames_read,
        "frames_empty": shown.frames_empty,
        "cut_short": shown.cut_short,
    }


def look(context: CommandContext, library: Library, box: Box, named: Sequence[Path]) -> BoxScene:
    """Read pictures of many books, compare them with the list of a box and show the answer; nothing is booked."""
    paths = find_pictures(named)
    if left_out := passed_over_words(named):
        context.say(left_out, style="yellow")
    with context.progress(f"Box {box.number}", len(paths)) as bar:
        step = partial(bar.advance, bar.task_ids[0])
        answer = look_into_box(library, box.number, paths, context.decoders(), tick=step)
    for line in scene_lines(answer, box.number):
        context.say(line)
    if not answer.was_seen:
        raise click.exceptions.Exit(1)
    return answer
