"""Searching a file, its name and all that is packed in it for the forms of canaries."""

import base64
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from canaries.forms import Canary, Form, Seen
from canaries.opened import pieces

# Enough of a form's beginning to be rare, and alike in the same form of different exports.
_STEM = 4
_BROKEN = re.compile("(/@[^/]*)+/")
ITS_PATH = "its path"
_HEX_RUN = re.compile(rb"(?<![0-9a-f])[0-9a-f]{8}")
_BASE64_RUN = re.compile(rb"[A-Za-z0-9+/_-]{8,}")
_STANDARD_ALPHABET = bytes.maketrans(b"-_", b"+/")


@dataclass(frozen=True)
class Hit:
    canary: Canary
    form: str
    file: str
    place: str

    def __str__(self) -> str:
        return (
            f"{self.file}: {self.canary.what} of {self.canary.export} ({self.form}), {self.place}"
        )


class Search:
    """Looks for the given forms, in time that hardly depends on how many there are."""

    def __init__(self, forms: Iterable[Form]) -> None:
        self._text: dict[bytes, list[Form]] = defaultdict(list)
        self._hex: dict[bytes, Form] = {}
        self._binary: list[Form] = []
        self._known: dict[bytes, set[tuple[Canary, str]]] = {}
        for form in forms:
            if form.seen is Seen.IN_TEXT:
                self._text[form.pattern[:_STEM]].append(form)
            elif form.seen is Seen.AS_HEX:
                self._hex[form.pattern] = form
            else:
                self._binary.append(form)

    def in_folder(self, folder: Path, name: str) -> Iterator[Hit]:
        """What is in the files under `folder`, and in their names; `name` stands for the folder."""
        for path in sorted(folder.rglob("*")):
            inside = f"{name}/{path.relative_to(folder).as_posix()}"
            for form in self._forms_in(_unbroken(inside).encode()):
                yield Hit(*form, inside, ITS_PATH)
            if path.is_file():
                yield from self.in_file(path.read_bytes(), inside)

    def in_file(self, data: bytes, file: str) -> Iterator[Hit]:
        """What is in a file with this content."""
        for piece in pieces(data):
            for form in self._forms_in(piece.data, piece.packed):
                yield Hit(*form, file, piece.place)

    def _forms_in(self, data: bytes, packed: bool = False) -> Iterable[tuple[Canary, str]]:
        """Each canary in these bytes, and in which form; what is alike is looked at once."""
        if data not in self._known:
            self._known[data] = set(self._looked_for(data, packed))
        return self._known[data]

    def _looked_for(self, data: bytes, packed: bool) -> Iterator[tuple[Canary, str]]:
        found = self._as_text(data.lower())
        if not packed:
            yield from (
                (form.canary, f"{form.name}, in base64")
                for form in self._as_text(_decoded(data).lower())
            )
            if not _is_text(data):
                found |= {form for form in self._binary if form.pattern in data}
        yield from ((form.canary, form.name) for form in found)

    def _as_text(self, text: bytes) -> set[Form]:
        found = {self._hex[run] for run in _HEX_RUN.findall(text) if run in self._hex}
        for stem, forms in self._text.items():
            at = text.find(stem)
            while at >= 0:
                found |= {form for form in forms if text.startswith(form.pattern, at)}
                at = text.find(stem, at + 1)
        return found


def _unbroken(path: str) -> str:
    """Snakemake breaks a name that is too long over folders that begin with this sign."""
    return _BROKEN.sub(lambda parts: "/" + re.sub("/@?", "", parts[0]), path)


def _is_text(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return b"\0" not in data


def _decoded(data: bytes) -> bytes:
    """All that could be base64, decoded from each of the four places where it may begin."""
    starts = (
        run[start:].translate(_STANDARD_ALPHABET)
        for run in _BASE64_RUN.findall(data)
        for start in range(4)
    )
    return b"\n".join(base64.b64decode(start + b"A" * (-len(start) % 4)) for start in starts)
