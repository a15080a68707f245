"""`intake demo`: the whole line on the scans that come with the tool."""

from pathlib import Path

import click

from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.reading import workers
from intake.flow.demo.run_demo import run_demo


@click.command("demo")
@click.argument("scans", required=False, type=PathArgument)
@click.option(
    "--into", default=Path("intake_demo"), show_default=True, type=PathArgument, help="Folder for the results."
)
@pass_context
def demo_command(context: CommandContext, scans: Path | None, into: Path) -> None:
    """Run the main job on an invented household's books, from photographs to a valued inventory."""
    with context.progress("Photographs", 1) as bar:

        def advance(done: int, total: int) -> None:
            bar.update(bar.task_ids[0], completed=done, total=total)

        run_demo(scans, into, decoders=context.decoders(), workers=workers(), write_line=context.say, progress=advance)


COMMANDS = (demo_command,)
