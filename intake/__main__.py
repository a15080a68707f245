"""`python -m intake` and the command `intake`: a person may stop it from its first moment on, without a traceback."""

import sys


def main() -> None:
    """Load the program, run the command and leave with its exit status."""
    try:
        from intake.cli.main import main as run_command  # noqa: PLC0415 - loading takes a moment: Ctrl-C may come then
    except KeyboardInterrupt:
        sys.stderr.write("Stopped before anything was begun.\n")
        sys.exit(130)
    run_command()


if __name__ == "__main__":
    main()
