"""`intake compare`: what looks different between two pictures of one book."""

import json
from pathlib import Path

import click

from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.parameters import length
from intake.flow.condition.change_words import change_lines
from intake.flow.condition.picture_changes import compare_files, save_comparison
from intake.model.cover_changes import CompareVerdict, CoverChange, CoverChanges, SpineSide


@click.command("compare")
@click.argument("before", type=PathArgument)
@click.argument("after", type=PathArgument)
@click.option("--size", nargs=2, type=length, metavar="WIDTH HEIGHT", help="Of the cover, such as 24cm 30cm.")
@click.option(
    "--spine", type=click.Choice([side.value for side in SpineSide]), help="Side of the spine in the earlier picture."
)
@click.option("--save", type=PathArgument, help="Save both covers beside each other, the places outlined.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@pass_context
def compare_command(
    context: CommandContext,
    before: Path,
    after: Path,
    *,
    size: tuple[float, float] | None,
    spine: str | None,
    save: Path | None,
    as_json: bool,
) -> None:
    """Compare an earlier and a later picture of one book, and say where to look.

    Both must show the same side with all its edges. They are laid over each other, and light, sharpness and the side
    they were taken from are evened out; what then differs is named by its part of the book, and measured in millimetres
    if the size is known, else as a share of the cover. It is never a verdict. What glare hides is not judged, and that
    is said. The exit status is 1 if they cannot be compared.
    """
    found = compare_files(before, after, size_mm=size, spine=SpineSide(spine) if spine else None)
    if as_json:
        click.echo(json.dumps(changes_contract(found)))
    else:
        for line in change_lines(found):
            context.say(line)
    if found.verdict is not CompareVerdict.COMPARED:
        raise click.exceptions.Exit(1)
    if save is not None:
        save_comparison(before, after, found, save)
        if not as_json:
            context.say(f"Wrote {save}.")


def changes_contract(found: CoverChanges) -> dict[str, object]:
    """Give a comparison the form that other programs rely on."""
    return {
        "verdict": found.verdict.value,
        "places": found.places,
        "changes": [_change(change) for change in found.changes],
        "not_judged": {why.value: round(share, 4) for why, share in found.unjudged.items()},
    }


def _change(change: CoverChange) -> dict[str, object]:
    def mm(length: float | None) -> float | None:
        return None if length is None else round(length, 1)

    return {
        "part": change.part.value,
        "tone": change.tone.value,
        "share": round(change.share, 6),
        "length_mm": mm(change.length_mm),
        "width_mm": mm(change.width_mm),
        "before": [[round(x, 1), round(y, 1)] for x, y in change.in_before],
        "after": [[round(x, 1), round(y, 1)] for x, y in change.in_after],
    }


COMMANDS = (compare_command,)
