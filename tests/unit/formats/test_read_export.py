import io
import os
from pathlib import Path

import fit_bytes as fb
import pytest

from fuzz.valid_files import FILES, HINTS
from strapline.reading.formats import READERS, UnreadableExport, read_export
from strapline.reading.formats.headings import shipped
from strapline.reading.formats.reader import FORMATS, Reader

README = Path(__file__).parents[3] / "README.md"

UNPACKED = {name: content for name, content in FILES.items() if name not in ("gzip", "zip")}


def reader_of(content: bytes) -> Reader:
    return next(each for each in READERS if each.recognises(io.BytesIO(content), shipped()))


def refusal(path: Path) -> str:
    with pytest.raises(UnreadableExport) as caught:
        read_export(path)
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert str(path.parent) not in sentence
    return sentence


def test_the_format_is_told_by_the_content(tmp_path: Path) -> None:
    path = tmp_path / "session.gpx"
    path.write_bytes(fb.fit_file(fb.records((1_000_000_000, 60, 255))))
    assert read_export(path).format == "fit"
    assert read_export(str(path)).format == "fit"


def test_every_reader_is_the_first_to_recognise_a_valid_file() -> None:
    assert {reader_of(content) for content in UNPACKED.values()} == set(READERS)


def test_every_reader_has_its_words_and_its_row_in_readme() -> None:
    modules = {str(vars(reader)["__name__"]).rpartition(".")[2] for reader in READERS}
    assert modules == set(FORMATS)
    text = README.read_text("utf-8")
    assert not [each.row for each in FORMATS.values() if f"\n| {each.row} | " not in text]


@pytest.mark.parametrize("name", UNPACKED)
def test_a_reader_may_find_a_file_standing_anywhere(name: str) -> None:
    reader, file = reader_of(UNPACKED[name]), io.BytesIO(UNPACKED[name])
    for place in (0, 7, len(UNPACKED[name])):
        file.seek(place)
        assert reader.recognises(file, shipped())
        file.seek(place)
        assert repr(reader.read(file, shipped(), HINTS)) == repr(
            reader.read(io.BytesIO(UNPACKED[name]), shipped(), HINTS)
        )


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert "not a file" in refusal(pipe)
    assert "not a file" in refusal(tmp_path)
    assert "cannot be opened" in refusal(tmp_path / "absent")


def test_an_empty_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "empty"
    path.touch()
    assert "empty" in refusal(path)


def test_a_file_too_large_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "large"
    with path.open("wb") as file:
        file.truncate(2 * 1024**3)
    assert "larger than 128 MiB" in refusal(path)


def test_a_file_that_may_not_be_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "locked"
    path.write_text("time,hr\n0,60\n")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)  # the tests may run as root, whom no lock keeps out
    assert "Permission denied" in refusal(path)


@pytest.mark.parametrize(
    "content",
    [b"\0", b"\x89PNG\0\0", b"\xff\xfe", b"\n"],
)
def test_what_is_in_no_format_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "session.csv"
    path.write_bytes(content)
    assert "not in a format" in refusal(path)
