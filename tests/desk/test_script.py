"""The page's script: its unit tests under node's own test runner (`tests/desk/script/`), and what is shipped of it."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from intake.desk.static_files import read_files

SCRIPT = Path(__file__).parent / "script"
NODE = shutil.which("node") or ""


@pytest.mark.slow
@pytest.mark.skipif(not NODE, reason="node is not installed")
@pytest.mark.skipif(not (SCRIPT / "node_modules").is_dir(), reason="'npm --prefix tests/desk/script ci' was not run")
def test_the_script_passes_its_unit_tests() -> None:
    files = sorted(str(path) for path in SCRIPT.glob("*.test.js"))
    done = subprocess.run(
        [NODE, "--test", "--test-reporter=tap", *files], capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr
    passed = re.search(r"^# pass (\d+)$", done.stdout, re.MULTILINE)
    assert passed is not None
    assert int(passed[1]) >= len(files), "the tests were run"


def test_every_module_that_the_script_imports_is_served() -> None:
    served = read_files()
    for name, (data, media_type, _) in served.items():
        if media_type == "text/javascript":
            imported = re.findall(r'^import .* from "\./(.+)";$', data.decode(), re.MULTILINE)
            assert set(imported) <= served.keys(), name


def test_a_line_of_a_script_that_begins_as_a_comment_is_one() -> None:
    scripts = (Path(__file__).parents[2] / "intake" / "desk" / "static").glob("*.js")
    for script in scripts:
        code = "\n".join(line for line in script.read_text(encoding="utf-8").split("\n") if "//" not in line)
        for line in code.split("\n"):
            assert line.count("`") % 2 == 0, (
                f"{script.name}: text over several lines may hold what looks like a comment"
            )


def test_the_lock_file_names_no_registry() -> None:
    assert "resolved" not in (SCRIPT / "package-lock.json").read_text(encoding="utf-8")
