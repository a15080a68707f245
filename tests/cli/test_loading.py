"""What a run of the command loads, told by a fresh interpreter; times depend on the machine, names do not."""

import json
import os
import subprocess
import sys

import pytest

HEAVY = {"alembic", "babel", "cv2", "icu", "jinja2", "numpy", "PIL", "pikepdf", "rich", "sqlalchemy", "starlette",
         "uvicorn", "xlsxwriter", "zxingcpp"}  # fmt: skip
SCRIPT = """
import json, sys
from intake.cli.main import run
try:
    status = run(sys.argv[1:])
finally:
    print(json.dumps([status, sorted(sys.modules)]), file=sys.stderr)
"""


def loaded(*arguments: str) -> tuple[int, set[str]]:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, *arguments], capture_output=True, text=True, check=True, timeout=120
    )
    status, names = json.loads(done.stderr.strip().splitlines()[-1])
    return status, set(names)


@pytest.mark.parametrize("arguments", [("--help",), ("--version",)])
def test_help_and_version_load_none_of_the_large_libraries(arguments: tuple[str, ...]) -> None:
    status, names = loaded(*arguments)
    assert status == 0
    assert names & HEAVY == set()


def test_a_search_loads_the_database_and_what_prints_a_table(tmp_path: object) -> None:
    library = f"{tmp_path}/library"
    assert loaded("--library", library, "box", "open")[0] == 0
    status, names = loaded("--library", library, "find", "nothing")
    assert status == 1
    assert names & HEAVY <= {"sqlalchemy", "rich", "numpy"}
    assert not {"psycopg", "sqlalchemy.dialects.postgresql"} & names, "what only a library on a server needs"


INTERRUPTED = """
import sys
class CtrlC:
    def find_spec(self, name, path=None, target=None):
        if name == {name!r}:
            raise KeyboardInterrupt
sys.meta_path.insert(0, CtrlC())
sys.argv = ["intake", "status"]
from intake.__main__ import main
main()
"""


@pytest.mark.parametrize("name", ["click", "intake.cli.main", "intake.cli.lookup", "sqlalchemy"])
def test_ctrl_c_while_the_program_loads_is_a_sentence(name: str, tmp_path: object) -> None:
    """Whichever module is being loaded when the person presses it."""
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED.format(name=name)],
        capture_output=True, text=True, check=False, timeout=120, env={**os.environ, "INTAKE_LIBRARY": str(tmp_path)},
    )  # fmt: skip
    assert done.returncode == 130
    assert done.stderr.strip().startswith("Stopped")
    assert "Traceback" not in done.stderr
