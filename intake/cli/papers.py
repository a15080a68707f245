"""`intake print …`: every paper of the registry, each with its own options, in every format it has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument
from intake.flow.papers.kept_options import usual_options
from intake.flow.papers.label_papers import UnchangedError, template_names
from intake.flow.papers.options import SIZES_MM, PaperOption, PaperOptions, Suggestion
from intake.flow.papers.paper import Paper, PaperFormat, PaperGroup
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import print_paper
from intake.model.pages import PrintReport
from intake.units.counts import counted

METAVARS = {
    "parse_amount": "AMOUNT",
    "parse_day": "DAY",
    "parse_mass_g": "MASS",
    "currency_code": "CODE",
    "count": "NUMBER",
    "days": "DAYS",
    "seconds": "SECONDS",
}
"""How the help calls what is read by these functions."""

PAPER_SIZE = click.option(
    "--paper",
    "size",
    type=click.Choice(list(SIZES_MM), case_sensitive=False),
    default="a4",
    show_default=True,
    envvar=startup.PAPER_VARIABLE,
)
"""For commands that print a paper beside what they do."""


def paper_command(paper: Paper[Any], name: str | None = None) -> click.Command:
    """Return the command that prints a paper.

    Args:
        paper: a record of the registry.
        name: of the command; None for the paper's own.
    """

    @click.pass_obj
    def run(context: CommandContext, /, path: Path, **given: Any) -> None:
        with context.library() as library:
            options = options_of(library, paper, given)
            if not paper.is_acted_on:  # else it is refused
                context.say_end_caution(library)
            try:
                rendered = print_paper(
                    library, paper, options, path, on=startup.today(), station=context.settings.station
                )
            except UnchangedError as error:
                context.say(f"{error.thing} {error.why}; nothing was written.")
                return
        say_written(context, path, rendered.report, labels=rendered.labels)
        for notice in rendered.notices:
            context.say(notice, style="yellow")

    return click.Command(
        name or paper.name,
        params=[*(parameter(option, paper.defaults) for option in paper.options), _output(paper)],
        callback=run,
        short_help=paper.summary,
        help=f"{paper.title}. {paper.summary}",
    )


def options_of(library: startup.Library, paper: Paper[Any], given: Mapping[str, Any]) -> PaperOptions:
    """Return the options of a paper: as is usual in the library, but for those that a person or the environment names.

    Args:
        library: its settings keep what is usual.
        paper: a record of the registry.
        given: what parameters of the running command were given; of those that the paper has not, none is heeded.
    """
    source = click.get_current_context().get_parameter_source
    named = {
        option.name: _chosen(option, given[option.name])
        for option in paper.options
        if option.name in given and source(option.name) is not ParameterSource.DEFAULT
    }
    return replace(usual_options(library, paper), **named)


def parameter(option: PaperOption, defaults: PaperOptions) -> click.Parameter:
    """Return the parameter of a command that asks for an option of a paper."""
    default = getattr(defaults, option.name)
    if option.choices and default is not None:
        default = str(default)
    if not option.flag:
        many = -1 if option.many else 1
        metavar = f"[{option.name.upper()}]..." if option.many else option.name.upper()
        return click.Argument([option.name], nargs=many, required=option.required, type=_type(option), metavar=metavar)
    flag = f"--{option.flag}"
    if option.is_flag:
        return click.Option([flag, option.name], is_flag=True, help=option.summary)
    return click.Option(
        [flag, option.name],
        type=_type(option),
        default=default,
        required=option.required and not default,
        show_default=default not in (None, ""),
        help=_help(option),
        envvar=startup.PAPER_VARIABLE if option.name == "size" else None,
        metavar=None if option.choices else METAVARS.get(_reader_name(option), "TEXT"),
    )


def _type(option: PaperOption) -> Any:
    """Return the type of an argument; a default is a value already, and what several are is read as text."""
    if option.choices:
        return click.Choice(option.choices, case_sensitive=False)
    return lambda value: option.read(value) if isinstance(value, str) else value


def _chosen(option: PaperOption, given: Any) -> Any:
    """Return the value of a choice; any other is one already."""
    return option.read(given) if option.choices and given is not None else given


def _reader_name(option: PaperOption) -> str:
    return getattr(option.read, "__name__", "")


def _help(option: PaperOption) -> str:
    if option.suggests is Suggestion.TEMPLATES:
        return f"One of {', '.join(template_names())}, or a TOML file of your own."
    return option.summary


def _output(paper: Paper[Any]) -> click.Option:
    suffixes = ", ".join(f".{form}" for form in paper.formats)
    what = "File to write, or new folder" if PaperFormat.ZIP in paper.formats else "File to write"
    return click.Option(["-o", "--output", "path"], required=True, type=PathArgument, help=f"{what} ({suffixes}).")


class GroupedPapers(click.Group):
    """A group of commands whose help lists the papers under the headings of their groups."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - given by click
        """Write a section for each group of papers."""
        width = max(map(len, self.commands))
        for group in PaperGroup:
            papers = [paper for paper in PAPERS if paper.group is group and paper.name in self.commands]
            with formatter.section(group.value):
                formatter.write_dl([(paper.name.ljust(width), paper.summary) for paper in papers])


def say_written(context: CommandContext, path: Path, report: PrintReport, *, labels: int | None = None) -> None:
    """Say what was written, and which letters could not be printed as they should be."""
    if labels is not None:
        context.say(f"{counted(labels, 'label')}.")
    pages = f", {counted(report.pages, 'page')}" if report.pages > 1 else ""
    context.say(f"Wrote {path}{pages}.")
    if report.missing:
        context.say(f"No font has {' '.join(report.missing)}: printed as a replacement sign.", style="yellow")


print_group = GroupedPapers(
    "print", commands=[paper_command(paper) for paper in PAPERS], help="Print any paper, as the file's name ends."
)

COMMANDS = (print_group,)
