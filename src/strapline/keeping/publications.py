"""Which sessions each folder of what is published shows, as its receipt has it: folders of sessions
are called by addresses (strapline.ground.addresses), for a session's name may hold a wearer's."""

from __future__ import annotations

from pathlib import Path

from strapline.keeping.receipts import FOLDER, Places, Receipt, read_receipt

SESSIONS = "publish/sessions"
SITE = "publish/site"


def shown(receipt: Receipt) -> set[str]:
    """The sessions that a job read."""
    names = (name.split("/") for name in receipt.inputs)
    return {name[2] for name in names if name[:2] == ["results", "sessions"] and len(name) > 3}


def receipts_of_sessions(places: Places) -> dict[str, Path]:
    """By the address of each published session, the receipt of its folder."""
    notes = places.results / FOLDER / SESSIONS
    return {path.name.removesuffix(".json"): path for path in sorted(notes.glob("*.json"))}


def published(places: Places) -> dict[str, str]:
    """Each session by the address of its folder; one that does not say which has none."""
    found = {}
    for address, path in receipts_of_sessions(places).items():
        receipt = read_receipt(path)
        if receipt is not None and len(sessions := shown(receipt)) == 1:
            found[address] = sessions.pop()
    return found
