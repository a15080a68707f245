"""The command `intake`: its only exit, and the only place where an error becomes a sentence and an exit status."""

import errno
import gc
import logging
import os
import sys
import tempfile
import traceback
from collections.abc import Sequence

import click

# Pictures are read on all cores as it is; threads inside one small matrix product only get in each other's way.
os.environ["OPENBLAS_NUM_THREADS"] = os.environ.get("OPENBLAS_NUM_THREADS", "1")

from intake.cli import startup
from intake.cli.commands import StagedGroup
from intake.cli.context import CommandContext, say_error
from intake.cli.parameters import library_name
from intake.errors import IntakeError

logger = logging.getLogger(__name__)


@click.group(cls=StagedGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option(
    "--library",
    type=library_name,
    default="",
    metavar="FOLDER|URL",
    help="Folder of the library, or postgresql://… of one on a server; "
    f"else ${startup.LIBRARY_VARIABLE}, else your data folder.",
)
@click.option("--verbose", is_flag=True, help="Show on standard error what the program does.")
@click.version_option(package_name="book-intake", prog_name="intake")
@click.pass_context
def intake(context: click.Context, library: str, *, verbose: bool) -> None:
    """Identify, check in, shelve, label and value a book collection that was packed and moved."""
    if verbose:
        startup.log_to_stderr()
    place = startup.place_of(library)
    if isinstance(place, startup.ServerAddress) and place.has_password:
        say_error(
            "Others on this machine can see a password that is given with --library: put it into the file .pgpass in "
            f"your home, or the URL into ${startup.LIBRARY_VARIABLE}."
        )
    context.obj = CommandContext(startup.read_settings(library))


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status: 0 done, 1 a job failed, 2 wrong use, 130 stopped by the person."""
    try:
        status = intake.main(
            args=list(arguments) if arguments is not None else None, prog_name="intake", standalone_mode=False
        )
        return status if isinstance(status, int) else 0
    except click.UsageError as error:
        _show_wrong_use(error)
        return 2
    except IntakeError as error:
        say_error(str(error))
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        say_error("Stopped; everything acknowledged so far is kept.")
        return 130
    except BrokenPipeError:
        return 1
    except OSError as error:
        say_error(_outside(error))
        return 1
    except MemoryError:
        say_error("The memory of this machine is used up; close other programs or work on fewer pictures at a time.")
        return 1
    except Exception:
        logger.exception("unexpected error")
        say_error(
            "An unexpected error stopped the command; nothing half-done was kept. 'intake check' tells whether the "
            f"library is whole. Details are in {_report()}."
        )
        return 1


def _show_wrong_use(error: click.UsageError) -> None:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):  # its message is the help of the group
        error.show()
        return
    command = error.ctx.command_path if error.ctx else "intake"
    message = error.format_message().rstrip(".")
    say_error(f"{message} See '{command} --help'." if message.endswith("?") else f"{message}; see '{command} --help'.")


def main() -> None:
    """Run the command and leave with its exit status."""
    startup.hush_libraries()
    _collect_rarely()
    sys.exit(run())


def _collect_rarely() -> None:
    # Most of what a long list or paper makes is rightly kept until its end; looking through it again and again for
    # circles of garbage took a tenth of an import's time.
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


def _outside(error: OSError) -> str:
    name = error.filename or "A file"
    if error.errno == errno.ENOSPC:
        return f"{name} cannot be written because the disk is full; make room and run the command again."
    return f"{name} cannot be used ({error.strerror or error}); check that it exists and that you may use it."


def _report() -> str:
    with tempfile.NamedTemporaryFile("w", prefix="intake-", suffix=".txt", delete=False, encoding="utf-8") as file:
        traceback.print_exc(file=file)
        return file.name


if __name__ == "__main__":
    main()
