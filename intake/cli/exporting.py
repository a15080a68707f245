"""`intake export`: records for other people and programs, and for another library."""

import click

from intake.cli.everything import export_all


@click.group("export")
def export_group() -> None:
    """Export everything that is recorded."""


export_group.add_command(export_all)

COMMANDS = (export_group,)
