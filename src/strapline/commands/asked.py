"""What a tester asks for by name, beside what there is."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from strapline.charts.text import plain
from strapline.documents import DocumentError
from strapline.nearest import nearest

MOST_LISTED = 40


def among(kind: str, wanted: str, known: Iterable[str], where: str = "") -> str:
    """`wanted`; raises DocumentError that says what there is, where it is not among that.

    `where`: what asks for it, if not the command line.
    """
    names = list(known)
    if wanted not in names:
        more = f" and {len(names) - MOST_LISTED} more" if len(names) > MOST_LISTED else ""
        listed = ", ".join(map(plain, names[:MOST_LISTED])) or "none"
        hint = did_you_mean(wanted, names)
        asked = f"{where}: there" if where else "there"
        raise DocumentError(
            [f"{asked} is no {kind} '{plain(wanted, 80)}'.{hint} There are: {listed}{more}."]
        )
    return wanted


def did_you_mean(wanted: str, known: Iterable[str]) -> str:
    """' Did you mean 'x'?', or nothing."""
    near = nearest(wanted, known)
    return f" Did you mean '{plain(near)}'?" if near else ""


def session_of(results: Path, wanted: str) -> str:
    """A session that has its figures; raises DocumentError for any other."""
    sessions = sorted(path.parent.name for path in results.glob("sessions/*/ledger.json"))
    if not sessions:
        raise DocumentError([f"{results} holds no session’s results yet; type `snakemake` first."])
    return among("session", wanted, sessions)
