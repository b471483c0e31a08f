"""Reading raw exports: one reader a file format, chosen by what the file holds."""

import os
import stat
from pathlib import Path
from typing import BinaryIO

from strapline.formats import sentences
from strapline.formats.csv_text import read_csv
from strapline.formats.export import Export, UnreadableExport
from strapline.formats.fit import read_fit
from strapline.formats.rr_text import is_rr_text, read_rr_text
from strapline.formats.text_encoding import decoded
from strapline.formats.track_xml import read_gpx, read_tcx
from strapline.formats.xml_elements import root_name, seek_markup

__all__ = ["Export", "UnreadableExport", "read_export"]

LARGEST_BYTES = 512 * 1024 * 1024

_XML_READERS = {"TrainingCenterDatabase": read_tcx, "gpx": read_gpx}


def read_export(path: str | os.PathLike[str]) -> Export:
    """All that the file at `path` says, in file order, nothing dropped and nothing corrected.

    The format is told from the content, never from the name. Positions are not read. Raises
    UnreadableExport, with a sentence for the tester, for whatever cannot be used.
    """
    try:
        _refuse_unsuitable(Path(path).stat())
        with Path(path).open("rb") as file:
            return _read(file)
    except OSError as error:
        reason = error.strerror or "unknown error"
        raise UnreadableExport(f"The file cannot be opened or read ({reason}).") from error


def _refuse_unsuitable(status: os.stat_result) -> None:
    # Opening a pipe or a device could wait for ever.
    if not stat.S_ISREG(status.st_mode):
        raise UnreadableExport("This is not a file; put the export itself in the session's folder.")
    if status.st_size == 0:
        raise UnreadableExport("The file is empty; export the session again.")
    if status.st_size > LARGEST_BYTES:
        raise UnreadableExport(
            f"The file is larger than {LARGEST_BYTES // 1024**2} MiB; export this session alone."
        )


def _read(file: BinaryIO) -> Export:
    if file.read(12)[8:] == b".FIT":
        file.seek(0)
        return read_fit(file.read())
    if seek_markup(file):
        start = file.tell()
        reader = _XML_READERS.get(root_name(file) or "")
        if reader is None:
            raise UnreadableExport(sentences.NO_FORMAT)
        file.seek(start)
        return reader(file)
    file.seek(0)
    return _read_text(file.read())


def _read_text(data: bytes) -> Export:
    text = decoded(data)
    if text is None or text.lstrip().startswith(("{", "[")):  # JSON would pass for a table
        raise UnreadableExport(sentences.NO_FORMAT)
    return read_rr_text(text) if is_rr_text(text) else read_csv(text)
