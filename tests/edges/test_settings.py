"""What a person may set: the folder, the station, the servers to look numbers up at."""

from pathlib import Path

import pytest

from intake.edges.settings import LIBRARY_VARIABLE, STATION_VARIABLE, lookup_urls, paper_settings, read
from intake.errors import FileError


def test_the_folder_of_the_command_line_comes_first(tmp_path: Path) -> None:
    environment = {LIBRARY_VARIABLE: str(tmp_path / "set"), STATION_VARIABLE: "laptop"}
    assert read(str(tmp_path / "named"), environment).library == tmp_path / "named"
    assert read("", environment).library == tmp_path / "set"
    assert read("", environment).station == "laptop"


def test_no_server_is_asked_unless_one_was_set(tmp_path: Path) -> None:
    assert lookup_urls(tmp_path) == ()
    (tmp_path / "settings.toml").write_text("")
    assert lookup_urls(tmp_path) == ()


def test_servers_keep_their_order(tmp_path: Path) -> None:
    urls = ("https://b.example/sru", "https://a.example/sru")
    (tmp_path / "settings.toml").write_text(f'[lookup]\nurls = ["{urls[0]}", "{urls[1]}"]\n')
    assert lookup_urls(tmp_path) == urls


@pytest.mark.parametrize(
    "text",
    ["[lookup\n", "[lookup]\nurls = 'https://a.example'\n", "[lookup]\nurls = [1]\n", "lookup = 'x'\n", "\x00", "é"],
)
def test_a_setting_that_cannot_be_used_names_its_file(tmp_path: Path, text: str) -> None:
    (tmp_path / "settings.toml").write_bytes(text.encode("latin-1"))
    with pytest.raises(FileError, match=r"settings\.toml"):
        lookup_urls(tmp_path)


def test_what_papers_say_is_kept_once(tmp_path: Path) -> None:
    assert paper_settings(tmp_path) == {}
    (tmp_path / "settings.toml").write_text('[papers]\nowner = "Ima Ginary"\nlanguage = "de"\n')
    assert paper_settings(tmp_path) == {"owner": "Ima Ginary", "language": "de"}


@pytest.mark.parametrize("text", ["papers = 1", "[papers]\nowner = 1", '[papers]\nowners = "Ima Ginary"'])
def test_settings_of_papers_that_are_not_understood_are_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "settings.toml").write_text(text)
    with pytest.raises(FileError):
        paper_settings(tmp_path)
