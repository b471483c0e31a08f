import random
from pathlib import Path

import pytest

from strapline.reading.formats import Export, UnreadableExport, read_export


def read(tmp_path: Path, text: str) -> Export:
    path = tmp_path / "beats"
    path.write_text(text)
    return read_export(path)


@pytest.mark.parametrize(
    "text",
    [
        "812\n790\n805.5\n",
        "812\r\n790\r\n805.5",
        "# made by nobody\n\n812\n790\n# in between\n805.5\n",
        "0.812\n0.790\n0.8055\n",
        "rr\n812\n790\n805.5\n",
        "RR-interval [ms]\n812\n790\n805,5\n",
    ],
)
def test_intervals_in_ms_or_s(tmp_path: Path, text: str) -> None:
    export = read(tmp_path, text)
    assert (export.format, export.clock, export.remarks) == ("rr", "elapsed", ())
    assert export.samples.empty
    assert export.beats["rr_ms"].tolist() == pytest.approx([812, 790, 805.5])
    assert export.beats["elapsed_s"].tolist() == pytest.approx([0.812, 1.602, 2.4075])
    assert export.beats["time"].isna().all()


@pytest.mark.parametrize("separator", [" ", ", ", ",", ";", "\t"])
def test_intervals_along_one_line(tmp_path: Path, separator: str) -> None:
    rr_ms = [800 + n % 9 for n in range(40)]
    assert read(tmp_path, separator.join(map(str, rr_ms))).beats["rr_ms"].tolist() == rr_ms


def test_any_list_of_numbers_is_no_rhythm(tmp_path: Path) -> None:
    for low, high in ((300, 2000), (500, 1000), (600, 1000)):
        chance = random.Random(f"{low} {high}")
        numbers = "".join(f"{chance.randint(low, high)}\n" for _ in range(200))
        with pytest.raises(UnreadableExport, match="RR intervals in ms or s they cannot be"):
            read(tmp_path, numbers)
    counts = "".join(f"{300 + n}\n" for n in range(200))
    with pytest.raises(UnreadableExport, match="only ever rise"):
        read(tmp_path, counts)


def test_artefacts_pass_as_stated(tmp_path: Path) -> None:
    beats = read(tmp_path, "812\n-3\n0\n1e300\n800\n1e999\n").beats
    assert beats["rr_ms"].tolist() == [812, -3, 0, 1e300, 800]


def test_lines_that_are_no_number_are_told(tmp_path: Path) -> None:
    export = read(tmp_path, "800\n" * 30 + "pause\n800\n")
    assert len(export.beats) == 31
    assert export.remarks == ("Left out as no RR interval: 1 line.",)


def test_two_columns_without_headings_are_no_decimal_commas(tmp_path: Path) -> None:
    with pytest.raises(UnreadableExport, match="not in a format"):
        read(tmp_path, "".join(f"{second},60\n" for second in range(2000)))


@pytest.mark.parametrize("text", ["62\n63\n64\n", "100250\n100450\n", "4\n5\n", "# nothing\n"])
def test_numbers_that_are_no_rhythm_are_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(UnreadableExport):
        read(tmp_path, text)
