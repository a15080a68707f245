"""What libraries throw at a picture is a refusal, and what they print reaches nobody."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.decoder_faults import refusing
from intake.errors import FileError, RefusedError

ROOT = Path(__file__).parents[2]


class OddError(Exception):
    """An exception that only its library knows."""


@pytest.mark.parametrize("thrown", [OddError("bad\nrow"), SystemError("returned NULL"), AssertionError(), KeyError(7)])
def test_whatever_is_thrown_is_a_refusal_in_one_line(thrown: Exception) -> None:
    with pytest.raises(FileError) as refusal, refusing("a.tif", "is damaged"):
        raise thrown
    assert refusal.value.thing == "a.tif"
    assert refusal.value.why == "is damaged", "the library's words are in the log"


def test_what_the_system_says_of_a_file_is_told() -> None:
    with pytest.raises(FileError) as refusal, refusing("a.tif", "is damaged"):
        raise OSError(5, "Input/output\nerror", "a.tif")
    assert refusal.value.why == "is damaged (Input/output error)"


def test_memory_and_our_own_errors_are_told_as_what_they_are() -> None:
    with pytest.raises(FileError) as refusal, refusing("a.tif", "is damaged"):
        raise MemoryError
    assert "memory" in refusal.value.why
    with pytest.raises(RefusedError), refusing("a.tif", "is damaged"):
        raise RefusedError("Reading text", "needs a part", "install it")


def test_libraries_print_nothing_between_the_answers(tmp_path: Path) -> None:
    """libtiff writes of a bad code word (ITU-T T.6) to the file descriptor 2, past anything that Python can catch."""
    buffer = io.BytesIO()
    Image.new("1", (100, 60), 1).save(buffer, "TIFF", compression="group4")
    data = bytearray(buffer.getvalue())
    data[10] ^= 0xFF
    (tmp_path / "fax.tif").write_bytes(data)
    command = [
        sys.executable,
        "-m",
        "intake",
        "read",
        "--bars-only",
        str(tmp_path / "fax.tif"),
        str(tmp_path / "no.tif"),
    ]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.stderr == ""
    assert [line.partition(".tif")[0] for line in done.stdout.splitlines()] == [
        str(tmp_path / "fax"),
        str(tmp_path / "no"),
    ]


def test_a_sentence_for_a_person_still_reaches_standard_error(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "intake", "read", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 2
    assert "contains no pictures" in done.stderr


ASKING = "from intake.edges.decoder_faults import hush_libraries; hush_libraries(); input('Which: ')"


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo-terminals")
def test_a_question_at_a_terminal_is_still_seen() -> None:
    """Python's input writes its prompt to the descriptor 2 where readline is not loaded."""
    ours, theirs = os.openpty()
    with subprocess.Popen(
        [sys.executable, "-c", ASKING], stdin=theirs, stdout=theirs, stderr=theirs, cwd=ROOT
    ) as asking:
        os.close(theirs)
        seen = b""
        while b"Which: " not in seen:
            seen += os.read(ours, 1024)
        os.write(ours, b"0\n")
    os.close(ours)
    assert asking.returncode == 0
