"""Rows told by their verdict, what is shown first."""

from collections.abc import Mapping, Sequence
from typing import Any

from strapline.ground.vocabulary import Verdict


def by_verdict(
    rows: Sequence[Mapping[str, Any]],
) -> list[tuple[Verdict, list[Mapping[str, Any]]]]:
    """`rows` under their `verdict`, as far as there are any."""
    grouped = [(verdict, [r for r in rows if r["verdict"] == verdict]) for verdict in Verdict]
    return [(verdict, own) for verdict, own in grouped if own]
