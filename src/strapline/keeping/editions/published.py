"""Published figures and sentences as tidy tables, and the marks of their content."""

import hashlib
import os
from collections.abc import Sequence

import numpy as np
import pandas as pd

from strapline.ground.tables.editions import KEY_NAMES, PUBLISHED
from strapline.ground.tables.table import about
from strapline.ground.vocabulary import Clocks
from strapline.keeping.provenance import canonical

# As many as a person compares; beyond lies what another machine or library may round otherwise.
DIGITS = 9

# Views of the clocks by the names that earlier editions have for them.
VIEWS_NOW = {"aligned": Clocks.SETTLED.value}
VIEWS_ENDED = ("as_recorded",)

REALS = ("value", "low", "high")
WORDS = (*KEY_NAMES, "unit")


def write_published(table: pd.DataFrame, path: str | os.PathLike[str]) -> None:
    """Write a frame under PUBLISHED with its mark."""
    PUBLISHED.write(table, path, mark=mark_of(table))


def mark_in(path: str | os.PathLike[str]) -> str | None:
    """The mark that `write_published` left in a file."""
    mark: str | None = about(path).get("mark")
    return mark


def mark_of(table: pd.DataFrame) -> str:
    """The fingerprint of a frame under PUBLISHED: the SHA-256 of all it says."""
    digest = hashlib.sha256()
    for name in (*WORDS, "wording"):
        codes, words = pd.factorize(table[name])
        digest.update(canonical([name, list(words)]).encode())
        digest.update(codes.astype("<i4").tobytes())
    for name in REALS:
        values = table[name].to_numpy("<f8")
        # Whatever bits a missing value has.
        digest.update(np.where(np.isnan(values), np.nan, values).tobytes())
    return digest.hexdigest()


def read_kept(path: str | os.PathLike[str]) -> pd.DataFrame:
    """What an edition published, a frame under PUBLISHED, under the names that its views have now.

    A view that is published no more is left out: none of its figures moved, and none is missed.
    """
    table = PUBLISHED.read(path)
    views = table["alignment"].astype(object).replace(VIEWS_NOW)
    return PUBLISHED.frame(
        {name: table[name] for name in PUBLISHED.column_names} | {"alignment": views}
    )[~views.isin(VIEWS_ENDED)].reset_index(drop=True)


def in_order(*parts: pd.DataFrame) -> pd.DataFrame:
    """The rows of all parts that say something, in order of their keys."""
    rows = PUBLISHED.joined(parts)
    return in_order_of(rows[rows["value"].notna() | rows["wording"].notna()], KEY_NAMES)


def in_order_of(frame: pd.DataFrame, names: Sequence[str]) -> pd.DataFrame:
    """The rows by the text of the columns `names`, the first before all; rows that are alike in
    them stay as they were. No value may be missing in them.

    By categories, of which there are few: comparing the texts themselves takes many times as
    long.
    """
    ranks = [_ranks(pd.Categorical(frame[name])) for name in reversed(names)]
    return frame.iloc[np.lexsort(ranks)].reset_index(drop=True)


def _ranks(words: pd.Categorical) -> np.ndarray:
    place = np.argsort(np.argsort(words.categories.to_numpy(dtype=object)))
    return np.asarray(place[words.codes])


def part(
    place: str,
    table: pd.DataFrame,
    figure: pd.Series | str,
    value: str | None = None,
    low: str | None = None,
    high: str | None = None,
    wording: str | None = None,
    **named: pd.Series | str,
) -> pd.DataFrame:
    """Rows of PUBLISHED from the columns of `table` with these names; `named` are words that it
    does not have, or has otherwise."""
    words: dict[str, pd.Series | str] = {name: table[name] for name in WORDS if name in table}
    words |= {"place": place, "figure": figure, **named}
    numbers = dict(zip(REALS, (value, low, high), strict=True))
    return PUBLISHED.frame(
        {name: _words(words.get(name, ""), len(table)) for name in WORDS}
        | {name: _to_digits(table[own].to_numpy(float)) for name, own in numbers.items() if own}
        | ({"wording": table[wording]} if wording else {})
    )


def _words(given: pd.Series | str, length: int) -> pd.Series:
    if not isinstance(given, str):
        return given
    throughout = pd.Categorical.from_codes(np.zeros(length, int), pd.Index([given]))
    return pd.Series(throughout)


def _to_digits(values: np.ndarray) -> np.ndarray:
    different, which = np.unique(values, return_inverse=True)
    rounded = np.array([float(f"{value:.{DIGITS}g}") for value in different.tolist()])
    # Adding 0 makes no minus of a zero.
    return rounded[which] + 0.0
