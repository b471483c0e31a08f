"""A table of text cells, by what its columns mean."""

import unicodedata
from dataclasses import dataclass, field

from strapline.reading.formats.heading import Heading, Meaning
from strapline.reading.formats.heading_words import Unit

Cells = list[str | None]

_LONGEST_NUMBER = 60
_MISSING = {"nan", "na", "n/a", "null", "none", "nil", "inf", "-inf"}


@dataclass
class Column:
    """One column; missing cells are None."""

    text: str
    heading: Heading
    cells: Cells = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.cells) - self.cells.count(None)


@dataclass
class Table:
    """The columns that mean something, row by row.

    length_s
        How long the recording is, where the file says so.
    unit
        That of its heart rates, where the file says so apart from them.
    long_rows
        Rows with more cells than there are headings.
    is_broken
        Whether the table cannot be read to its end.
    unread
        How many more columns hold numbers under headings that nothing is known of.
    """

    columns: list[Column]
    length_s: float | None = None
    unit: Unit | None = None
    long_rows: int = 0
    is_broken: bool = False
    unread: int = 0
    remarks: list[str] = field(default_factory=list)

    def all_of(self, *meanings: Meaning) -> list[Column]:
        return [column for column in self.columns if column.heading.meaning in meanings]

    def first_of(self, meaning: Meaning) -> Column | None:
        return min(self.all_of(meaning), key=lambda column: column.heading.rank, default=None)

    @property
    def length(self) -> int:
        return len(self.columns[0].cells) if self.columns else 0


def cell(text: str) -> str | None:
    """`text` without blanks around it; None where it says 'missing', dashes for instance."""
    text = text.strip()
    if not text.isascii() and len(text) <= _LONGEST_NUMBER:
        text = unicodedata.normalize("NFKC", text)  # digits of full width
    if text[:1].isdigit():
        return text
    is_missing = not (any(map(str.isalnum, text)) or text == "%") or text.casefold() in _MISSING
    return None if is_missing else text
