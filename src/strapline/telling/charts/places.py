"""Which colour each device has: its place among those of the palette."""

from collections.abc import Iterable, Sequence

# Colours that a palette has, if it is ours.
COLOURS = 6


def places(devices: Iterable[str], bench: Sequence[str]) -> dict[str, int]:
    """A place for each device. One of `bench` keeps its own as long as no other has it; beyond the
    last colour they begin again at the first that is free."""
    wanted = list(dict.fromkeys(devices))
    found: dict[str, int] = {}
    for device in sorted(wanted, key=lambda name: name not in bench):
        place = bench.index(device) % COLOURS if device in bench else 0
        while place in found.values():
            place += 1
        found[device] = place
    return {device: found[device] for device in wanted}
