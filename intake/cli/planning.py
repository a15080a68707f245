"""`intake plan`: what goes into which box."""

from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.flow.moving import plan_packing
from intake.flow.papers.kept_options import usual_options
from intake.flow.papers.plan_papers import PLAN_HEADS, box_names, plan_paper, plan_remarks, planned_facts
from intake.flow.papers.registry import PACKING_PLAN
from intake.flow.papers.render import draw, format_of, save, speaking_as
from intake.model.packing import PackingRules


@click.command("plan")
@click.option(
    "--kind",
    "kinds",
    nargs=5,
    multiple=True,
    metavar="NAME SIZE TARE LIMIT COUNT",
    help="A kind of empty box, such as: --kind 'book box' '42x33x31 cm' '900 g' '18 kg' 40 (or - for any number).",
)
@click.option(
    "--seconds",
    default=20.0,
    show_default=True,
    type=click.FloatRange(0, 3600),
    help="Time for the whole command; 0 prints the first plan without improving it.",
)
@click.option("--shelved", is_flag=True, help="Also pack copies that are unpacked or on shelves.")
@click.option("--split-sets", is_flag=True, help="Let the volumes of a set lie in different boxes.")
@click.option(
    "--share",
    type=click.FloatRange(0, 1),
    help="Largest part of the total value in one box, from 0 to 1; else a quarter to a half.",
)
@click.option("--book", is_flag=True, help="Open the boxes and pack the copies into them as planned.")
@click.option("-o", "--output", "path", type=PathArgument, help="Print the plan (.pdf, .xlsx, .csv).")
@pass_context
def plan_command(
    context: CommandContext,
    kinds: tuple[tuple[str, str, str, str, str], ...],
    seconds: float,
    path: Path | None,
    *,
    shelved: bool,
    split_sets: bool,
    share: float | None,
    book: bool,
) -> None:
    """Plan which copy goes into which box and layer, into open boxes first, then into new ones."""
    form = format_of(PACKING_PLAN, path) if path is not None else None
    before = plan_packing.parts_of_time(seconds)
    with context.library() as library:
        with library.reading() as records:
            planned = plan_packing.plan_copies(
                records,
                [plan_packing.read_kind(*kind) for kind in kinds],
                states=plan_packing.STANDING if shelved else plan_packing.AT_HAND,
                rules=PackingRules(together=not split_sets, share=share),
                going=before(plan_packing.PLANNING),
                in_time=before(plan_packing.PLANNING) if seconds else None,
                reading=before(plan_packing.READING) if seconds else None,
            )
        numbers: tuple[str, ...] = ()
        if book:
            numbers, entry = plan_packing.book(library, planned, station=context.settings.station)
    for remark in plan_remarks(planned):
        context.say(remark)
    context.table(
        PLAN_HEADS,
        (
            (name, *planned_facts(box))
            for name, box in zip(numbers or box_names(planned.plan.boxes), planned.plan.boxes, strict=True)
        ),
        wraps=("Room",),
    )
    for left in planned.plan.left:
        context.say(f"Not planned: {left.item.key}  {planned.titles[left.item.key]}: {left.why}", style="yellow")
    if book:
        context.say(f"Booked with ledger entry {entry}; 'intake undo {entry}' takes it back.")
    if path is not None and form is not None:
        options = usual_options(library, PACKING_PLAN)
        with speaking_as(options):
            paper = plan_paper(planned, startup.today())
        save(draw(PACKING_PLAN, paper, options, form), path)
        context.say(f"Wrote {path}.")


COMMANDS = (plan_command,)
