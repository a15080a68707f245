"""What a picture shows by its cover, on the command line."""

from collections.abc import Callable
from pathlib import Path

import click

from intake.cli.context import CommandContext
from intake.errors import UsageError
from intake.flow.pictures.cover_folder import covers_in, look_at
from intake.flow.pictures.cover_library import CoverAnswer, CoverMatch, UnusableCover, open_covers
from intake.flow.pictures.read_files import ReadPicture
from intake.model.covers import CoverVerdict


def known_covers(context: CommandContext, folder: Path) -> Callable[[ReadPicture], CoverAnswer | None]:
    """Return what compares a picture with those in a folder; say which of these cannot be compared with.

    Raises:
        UsageError: none of them can.
    """
    known, unusable = covers_in(folder)
    with context.progress("Covers", len(known)) as bar:
        library = open_covers(folder, known, tick=lambda: bar.advance(bar.task_ids[0]))
    for left_out in (*unusable, *library.unusable):
        click.echo(unusable_words(left_out), err=True)
    if len(library.unusable) == len(known):
        raise UsageError(str(folder), "contains no picture that can be compared with", "name a folder of covers")
    return lambda read: look_at(library, read)


def unusable_words(cover: UnusableCover) -> str:
    """Say why a picture of a cover is left out."""
    if cover.error is not None:
        return f"{cover.name} was left out: {cover.error}"
    return f"{cover.name} was left out: it shows too little to tell it from others; take a picture of the whole cover"


def covers_contract(answer: CoverAnswer | None) -> list[dict[str, object]]:
    """Give the covers that a picture shows the form that other programs rely on, best first."""
    if answer is None:
        return []
    return [_contract(answer, match) for match in answer.matches]


def _contract(answer: CoverAnswer, match: CoverMatch) -> dict[str, object]:
    return {
        "name": match.known.owner,
        "file": match.known.name,
        "accepted": answer.verdict is CoverVerdict.SAME and match.known.owner == answer.owners[0],
        "probability": round(match.candidate.probability, 4),
        "places": match.candidate.inliers,
        "corners": [[round(x, 1), round(y, 1)] for x, y in match.candidate.corners],
    }


def show_covers(context: CommandContext, path: Path, answer: CoverAnswer | None) -> None:
    """Print what a picture shows by its cover; nothing where covers were not compared."""
    if answer is None:
        return
    match answer.verdict:
        case CoverVerdict.NONE:
            context.say(f"{path}: none of the covers")
        case CoverVerdict.SAME:
            best = answer.matches[0]
            agree = f"{best.candidate.inliers} places agree with {best.known.name}"
            context.say(f"{path}: the cover of {answer.owners[0]} ({agree})")
        case CoverVerdict.PERHAPS:
            where = "parts of it look different" if answer.matches[0].candidate.unlike else "few places agree"
            context.say(f"{path}: perhaps the cover of {' or '.join(answer.owners)}; {where}: compare the pictures")
        case CoverVerdict.SEVERAL:
            names = " and ".join(answer.owners)
            context.say(f"{path}: like the covers of {names}; the pictures do not tell which of them it is")
        case CoverVerdict.BESIDE:
            names = " and ".join(answer.owners)
            context.say(f"{path}: shows several books, with the covers of {names}; photograph each alone")
