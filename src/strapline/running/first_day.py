"""What to do where there is no session yet."""

from collections.abc import Collection, Iterator

from strapline.ground.settings import Clock

SET_ZONE = "Set your time zone under clock in config/settings.yaml, such as Europe/Lisbon."


def is_unset(zone: str) -> bool:
    """Whether the settings' time zone is still the one that they came with."""
    return zone == Clock().time_zone


def first_things(inbox: str, devices: Collection[str], zone: str) -> list[str]:
    """A line for each thing to do first; `devices` are the register's, `zone` the settings'."""
    things = list(_things(inbox, devices, zone))
    return [
        "There is no session yet. What to do:",
        *(f"{number}. {thing}" for number, thing in enumerate(things, 1)),
    ]


def _things(inbox: str, devices: Collection[str], zone: str) -> Iterator[str]:
    yield f"Make a folder in {inbox}/ for a session, and put into it what each app exported."
    if is_unset(zone):
        yield f"{SET_ZONE} Now it is {zone}."
    if not devices:
        yield "Type `strapline devices --write`; it finds your devices in the exports."
    yield "Type `snakemake`."
