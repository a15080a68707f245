"""`python -m intake` is the command `intake`."""

from intake.cli.main import main

main()
