"""What to do where there is no session yet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from strapline.ground.settings import Clock
from strapline.running.lines import Block

if TYPE_CHECKING:
    from strapline.running.own import Own

SET_ZONE = "Set your time zone under clock in config/settings.yaml, such as Europe/Lisbon."


def is_unset(zone: str) -> bool:
    """Whether the settings' time zone is still the one that they came with."""
    return zone == Clock().time_zone


def first_things(own: Own) -> Block:
    """A line for each."""
    things = [[f"{number}. {thing}"] for number, thing in enumerate(_things(own), 1)]
    return Block("There is no session yet. What to do:", things)


def _things(own: Own) -> Iterator[str]:
    zone = own.settings.clock.time_zone
    yield (
        f"Make a folder in {own.places.inbox}/ for a session, and put into it what each app "
        "exported."
    )
    if is_unset(zone):
        yield f"{SET_ZONE} Now it is {zone}."
    if not own.register.devices:
        yield "Type `strapline devices --write`; it finds your devices in the exports."
    yield "Type `snakemake`."
