import os
from pathlib import Path

import fit_bytes as fb
import pytest

from strapline.reading.formats import UnreadableExport, read_export


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
    [b"\0", b"\x89PNG\r\n\x1a\n\0\0", b"\xff\xfe", b"\n"],
)
def test_what_is_in_no_format_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "session.csv"
    path.write_bytes(content)
    assert "not in a format" in refusal(path)
