"""Records of other systems in and out through the command: seconds, memory, and how long others had to wait.

    python -m tests.benchmarks.exchange_records [--records 100000] [--only marc,marc8,marcxml,onix,xlsx]

The books are those of `tests.benchmarks.growth.lists`, invented. They are imported as a table once and exported in each
format; each file is then imported into an empty library, MARC-8 after `yaz-marcdump` has made it of the UTF-8 file.
"""

import argparse
import subprocess
import tempfile
from itertools import islice
from pathlib import Path

from tests.benchmarks.growth.lists import RATE_DAY, editions, write
from tests.benchmarks.growth.running import Program, program, run
from tests.benchmarks.import_million import DATABASE, Waiting

LIMIT_S = 600.0
FILES = {"marc": "books.mrc", "marc8": "marc8.mrc", "marcxml": "marcxml.xml", "onix": "onix.xml", "xlsx": "out.xlsx"}


def measured(tool: Program, library: Path, *words: str) -> None:
    """Run one command beside another writer, and print what it cost."""
    environment = {**tool.environ(), "INTAKE_LIBRARY": str(library)}
    enter = ("rates", "enter", "EUR", "USD", "1.1", "--on", RATE_DAY.isoformat())
    run([*tool.words, *enter], environment, limit=LIMIT_S)
    other = Waiting(library / DATABASE)
    other.start()
    result = run([*tool.words, *words], environment, limit=LIMIT_S)
    other.ended.set()
    other.join()
    last = result.output.strip().splitlines()[-1:] or [""]
    print(f"{' '.join(words[:2]):16} {Path(words[2]).name:12} {result.seconds:6.1f} s {result.peak_bytes / 1e6:5.0f} MB"
          f"  others waited {other.longest_s:.2f} s  status {result.status}  {last[0][:80]}", flush=True)  # fmt: skip


def main() -> None:
    """Make the files, import them, and print what each step cost."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.exchange_records")
    parser.add_argument("--records", type=int, default=100_000)
    parser.add_argument("--only", default=",".join(FILES))
    arguments = parser.parse_args()
    tool = program(None)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        write(place / "books.csv", islice(editions(), arguments.records))
        measured(tool, place / "all", "import", "editions", str(place / "books.csv"))
        for name in ("books.mrc", "marcxml.xml", "onix.xml", "out.csv", "out.xlsx"):
            options = ("--format", name.removesuffix(".xml")) if name.endswith(".xml") else ()
            measured(tool, place / "all", "export", "editions", str(place / name), *options)
        with (place / "marc8.mrc").open("wb") as file:
            words = [
                "yaz-marcdump",
                "-f",
                "utf-8",
                "-t",
                "marc-8",
                "-l",
                "9=32",
                "-o",
                "marc",
                str(place / "books.mrc"),
            ]
            subprocess.run(words, stdout=file, check=True)
        for name in arguments.only.split(","):
            measured(tool, place / name, "import", "editions", str(place / FILES[name]))


if __name__ == "__main__":
    main()
