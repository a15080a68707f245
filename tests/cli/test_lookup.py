"""`intake lookup` as a person runs it: beside what is known, written only when told to, exit 1 where nothing came."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from intake.edges.server_address import folder_of
from tests.cli.conftest import Intake
from tests.edges.exchange.stub_server import SALT, Answering, Reply, marc, response, serving
from tests.made_library import place_in

FERNS, UNKNOWN = "9780306406157", "9780110002224"
TIDES = marc(
    f"020 ## $a {UNKNOWN} (pbk.)", "100 1# $a Lind, Bo.", "245 10 $a Tides.", "260 ## $b Gull Press, $c c2001."
)


@pytest.fixture(autouse=True)
def _cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def both(asked: object) -> Reply:
    return Reply(response(SALT, TIDES))


def settings() -> Path:
    folder = folder_of(place_in(Path.cwd() / "library"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "settings.toml"


def set_servers(intake: Intake, *urls: str) -> None:
    lines = ", ".join(f'"{url}"' for url in urls)
    settings().write_text(f"[lookup]\nurls = [{lines}]\n", encoding="utf-8")


def entries(intake: Intake) -> str:
    return intake("history").out


def test_what_a_library_has_is_shown_beside_what_is_known_and_nothing_is_written(stocked: Intake) -> None:
    before = entries(stocked)
    with serving(both) as stub:
        said = stocked("lookup", FERNS, "--from", stub.url)
    assert said.status == 0
    title = next(line for line in said.out.splitlines() if line.split()[:1] == ["title"])
    assert "Ferns of the Outer Isles" in title
    assert "Salt: a history" in title
    assert "28 cm" in said.out
    assert "264 $a Port Wren" in said.out
    assert entries(stocked) == before


def test_it_needs_no_library_and_no_setting(intake: Intake) -> None:
    with serving(both) as stub:
        assert intake("lookup", FERNS, "--from", stub.url).status == 0
    assert not Path("library").exists()


def test_without_a_server_nobody_is_asked(stocked: Intake) -> None:
    said = stocked("lookup", FERNS)
    assert said.status == 2
    assert "settings.toml" in said.err
    assert "--from" in said.err


@pytest.mark.parametrize(
    "answer",
    [
        lambda _: Reply(response()),
        lambda _: Reply(response(TIDES)),
        lambda _: Reply("<html>Welcome</html>"),
        lambda _: Reply("no", status=503),
    ],
    ids=["nothing", "something else", "a web page", "out of order"],
)
def test_where_nothing_was_found_or_nobody_answered_the_status_is_1(
    stocked: Intake, answer: Callable[[object], Reply]
) -> None:
    with serving(answer) as stub:
        said = stocked("lookup", FERNS, "--from", stub.url)
    assert said.status == 1
    assert "978-0-306-40615-7" in said.out


def test_fields_are_taken_by_name_and_taken_back(stocked: Intake) -> None:
    before = entries(stocked)
    with serving(both) as stub:
        dry = stocked("lookup", FERNS, "--from", stub.url, "--take", "publisher,year", "--dry-run")
        assert dry.status == 0
        assert entries(stocked) == before
        said = stocked("lookup", FERNS, "--from", stub.url, "--take", "publisher", "--take", "year")
        assert len(stub.asked) == 1, "what was answered within a day is not asked again"
    assert said.status == 0
    assert "1987 instead of 1990" in said.out
    assert "not in the record" not in said.out
    assert "Gull Press" in said.out
    assert "1987" in stocked("find", FERNS).out
    assert "Salt" not in stocked("find", FERNS).out
    assert stub.url in stocked("history").out or "take from" in stocked("history").out
    assert stocked("undo").status == 0
    assert "1990" in stocked("find", FERNS).out


def test_of_several_records_one_is_named(stocked: Intake) -> None:
    again = SALT.replace("1987", "1989")
    with serving(lambda _: Reply(response(SALT, again))) as stub:
        assert stocked("lookup", FERNS, "--from", stub.url, "--take", "year").status == 1
        assert "1990" in stocked("find", FERNS).out
        assert stocked("lookup", FERNS, "--from", stub.url, "--take", "year", "--record", "2").status == 0
        assert "1989" in stocked("find", FERNS).out
        assert stocked("lookup", FERNS, "--from", stub.url, "--take", "year", "--record", "3").status == 1


def test_unknown_numbers_wait_while_nobody_answers_and_are_worked_off_later(
    stocked: Intake, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{UNKNOWN}\n"))
    assert stocked("unpack", "1", "--no-ask").status == 0
    away: list[bool] = [True]
    answer: Answering = lambda asked: Reply("no", status=503) if away[0] else both(asked)  # noqa: E731 - it is one
    with serving(answer) as stub:
        set_servers(stocked, stub.url)
        assert "--waiting" in stocked("pile", "list").out
        said = stocked("lookup", "--waiting")
        assert (said.status, "978-0-11-000222-4" in said.out) == (1, True)
        away[0] = False
        assert stocked("lookup", "--waiting", "--take", "all").status == 0
    assert "Tides" in stocked("find", UNKNOWN).out
    assert "Tides" in stocked("pile", "list").out, "the query still waits for a person, with what it may be"
    said = stocked("lookup", "--waiting")
    assert (said.status, len(stub.asked) > 0) == (0, True)


@pytest.mark.parametrize(
    "text", ["[lookup\n", "[lookup]\nurls = 5\n", "lookup = 1\n", '[lookup]\nurls = ["catalog.example"]\n']
)
def test_a_wrong_setting_is_told_and_stops_only_the_look_up(stocked: Intake, text: str) -> None:
    settings().write_text(text, encoding="utf-8")
    assert stocked("lookup", FERNS).status in {1, 2}
    assert stocked("pile", "list").status == 0
    assert stocked("find", FERNS).status == 0


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("--waiting", FERNS),
        (FERNS, "--dry-run"),
        (FERNS, "--take", "subject"),
        (FERNS, "--from", "catalog.example"),
    ],
)
def test_wrong_use(stocked: Intake, arguments: tuple[str, ...]) -> None:
    assert stocked("lookup", *arguments).status == 2


def test_a_title_without_a_number(stocked: Intake) -> None:
    with serving(both) as stub:
        said = stocked("lookup", "--title", "tides", "--from", stub.url, "--take", "title,year,pages")
    assert said.status == 0
    assert "not in the record: Pages" in said.out
    assert "Tides" in stocked("find", "tides").out


def test_of_several_numbers_one_whose_records_differ_is_left_for_a_run_of_its_own(stocked: Intake) -> None:
    with serving(lambda _: Reply(response(SALT, SALT.replace("1987", "1989"), TIDES))) as stub:
        said = stocked("lookup", FERNS, UNKNOWN, "--from", stub.url, "--take", "all")
    assert said.status == 0
    assert "--record" in said.out
    assert "Tides" in stocked("find", UNKNOWN).out
    assert "Salt" not in stocked("find", FERNS).out


def test_of_several_numbers_those_not_found_are_named(stocked: Intake) -> None:
    with serving(lambda _: Reply(response(TIDES))) as stub:
        said = stocked("lookup", FERNS, UNKNOWN, "--from", stub.url)
    assert said.status == 0
    assert "Not found: 978-0-306-40615-7." in said.out
