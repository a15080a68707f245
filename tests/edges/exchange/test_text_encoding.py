"""Encodings of text files: what bytes prove, and what only a person can tell."""

from pathlib import Path

import pytest
from babel import Locale

from intake.edges.exchange.alphabets import looks_written
from intake.edges.exchange.text_encoding import CODECS, find_encoding, named_encoding
from intake.errors import FileError, UsageError

GERMAN = "Titel;Ort\nGräser und Flüsse;Köln\nGroße Höhen – „gut“;5 €\n"
FRENCH = "titre;lieu\nLa mère;où\n"


def put(folder: Path, data: bytes) -> Path:
    path = folder / "list.csv"
    path.write_bytes(data)
    return path


def read(path: Path) -> str:
    codec = find_encoding(path)
    assert isinstance(codec, str)
    return path.read_text(encoding=codec)


@pytest.mark.parametrize(
    "codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252", "cp1250"]
)
def test_german_is_read_without_a_question(tmp_path: Path, codec: str) -> None:
    assert read(put(tmp_path, GERMAN.encode(codec))) == GERMAN


@pytest.mark.parametrize(
    ("text", "codec"),
    [("Łódź;Kraków ćma\n", "cp1250"), ("Gräser;Köln\n", "cp850"), ("Дом;Книга о Птицах\n", "koi8_r")],
)
def test_words_that_only_one_decoding_gives_are_taken(tmp_path: Path, text: str, codec: str) -> None:
    assert read(put(tmp_path, text.encode(codec))) == text


@pytest.mark.parametrize(
    ("text", "codec"),
    [
        (FRENCH, "cp1252"),
        ("été;garçon\n", "mac_roman"),
        ("élève\n", "cp850"),
        ("Привет;мир\n", "cp1251"),
        ("東京;本\n", "cp932"),
    ],
)
def test_two_readings_are_never_decided_by_what_is_likelier(tmp_path: Path, text: str, codec: str) -> None:
    choices = find_encoding(put(tmp_path, text.encode(codec)))
    assert not isinstance(choices, str)
    assert 2 <= len(choices) <= 5
    shown = [dict(choice.lines) for choice in choices]
    assert any(line in text for lines in shown for line in lines.values())
    assert len({tuple(lines.values()) for lines in shown}) == len(choices)


def test_ordinals_are_no_letters_of_another_script(tmp_path: Path) -> None:
    text = "N.º;Obra;Tiragem\n1;Edições;1.ª\n2;Três ilhéus;Nº12\n3;João;Mª\n"
    assert read(put(tmp_path, text.encode("cp1252"))) == text


def test_where_a_word_fits_no_decoding_the_one_that_fits_most_words_is_offered_first(tmp_path: Path) -> None:
    text = "Edições;coração\nTrês ilhéus;a¦b\n"
    choices = find_encoding(put(tmp_path, text.encode("cp1252")))
    assert not isinstance(choices, str)
    assert choices[0].codec == "cp1252"


def test_the_lines_that_differ_are_shown_and_no_others(tmp_path: Path) -> None:
    choices = find_encoding(put(tmp_path, ("a;b\nGräser;1\n" + FRENCH).encode("cp1252")))
    assert not isinstance(choices, str)
    assert (choices[0].codec, choices[0].lines) == ("cp1252", ((4, "La mère;où"),))
    assert [line for line, _ in choices[1].lines] == [4]


def test_utf_8_with_a_stray_byte_names_its_line(tmp_path: Path) -> None:
    data = "Gräser\nFlüsse\n".encode() + b"H\xf6hen\n"
    with pytest.raises(FileError) as caught:
        find_encoding(put(tmp_path, data))
    assert "0xF6 on line 3" in caught.value.why


def test_lines_in_two_encodings_are_named_and_no_guess_is_stored(tmp_path: Path) -> None:
    path = put(tmp_path, b"title\nGr\xfcn\n" + "Möwen\n".encode())
    with pytest.raises(FileError) as caught:
        find_encoding(path)
    assert "line 3 is UTF-8, and line 2 is not" in caught.value.why
    assert named_encoding(path, "cp1252") == "cp1252"


def test_bytes_that_are_no_text_are_no_question_of_encoding(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="NUL byte on line 2"):
        find_encoding(put(tmp_path, b"title\n\xff\xfe\0\x81\x82" * 3))


def test_a_named_encoding_is_checked(tmp_path: Path) -> None:
    assert named_encoding(put(tmp_path, FRENCH.encode("cp1252")), "windows-1252") == "cp1252"
    with pytest.raises(FileError):
        named_encoding(put(tmp_path, FRENCH.encode("cp1252")), "utf-8")
    for name in ("klingon", "base64", "rot13"):
        with pytest.raises(UsageError):
            named_encoding(put(tmp_path, b"a"), name)


@pytest.mark.parametrize(
    "language",
    [
        "de",
        "fr",
        "es",
        "it",
        "nl",
        "pt",
        "sv",
        "da",
        "nb",
        "fi",
        "is",
        "pl",
        "cs",
        "sk",
        "hu",
        "ro",
        "hr",
        "tr",
        "et",
        "lv",
        "lt",
        "sq",
        "ru",
        "el",
    ],
)
def test_no_text_in_any_language_is_taken_for_another(tmp_path: Path, language: str) -> None:
    """Names of countries in the Unicode CLDR, in every encoding that has their letters: right, or asked about."""
    names = sorted(Locale.parse(language).territories.values())
    asked = offered = 0
    for codec in CODECS:
        for start in range(0, len(names) - 40, 40):
            text = "".join(f"{name};1\n" for name in names[start : start + 40])
            try:
                path = put(tmp_path, text.encode(codec))
            except UnicodeEncodeError:
                continue
            found = find_encoding(path)
            if isinstance(found, str):
                assert path.read_text(encoding=found) == text, codec
                continue
            asked += 1
            offered += any(decoded(path, choice.codec) == text for choice in found)
    assert offered >= 0.8 * asked


def decoded(path: Path, codec: str) -> str:
    return path.read_bytes().decode(codec, errors="replace")


@pytest.mark.parametrize("data", [b"", b"\xef\xbb\xbf", b"\n \n", b"a,b\n\0,2\n", b"\xff\xfea\xd8\0\0"])
def test_what_is_no_text_is_refused(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(FileError):
        find_encoding(put(tmp_path, data))


def test_a_line_without_end_is_refused_before_it_fills_the_memory(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        find_encoding(put(tmp_path, b"\xe9" * (20 << 20)))
    assert "line 1" in caught.value.why


@pytest.mark.parametrize("word", ["Müller", "GRÖSSE", "L’été", "№5", "Ελλάδα", "12°", "§5", "鳥の島。"])
def test_what_people_write_looks_written(word: str) -> None:
    assert looks_written(word)


@pytest.mark.parametrize("word", ["MÅller", "Gr¸n", "k¾se", "Mьller", "ﾃﾞｰ", "Fu§", "g®t"])
def test_what_nobody_writes_does_not(word: str) -> None:
    assert not looks_written(word)


def test_japanese_with_figures_and_units_in_both_widths_is_offered(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("書名,ページ数,高さ(cm)\n鳥の本,１２０頁,２１\n".encode("cp932"))
    found = find_encoding(path)
    assert not isinstance(found, str)
    assert {choice.codec for choice in found} == {"cp932", "gb18030"}
