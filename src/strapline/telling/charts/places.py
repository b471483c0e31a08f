"""Which colour each device has: its place among those of the palette."""

from collections.abc import Iterable, Sequence


def places(devices: Iterable[str], bench: Sequence[str]) -> dict[str, int]:
    """A place for each device. One of `bench` keeps its own as long as no other has it."""
    wanted = list(dict.fromkeys(devices))
    found: dict[str, int] = {}
    for device in sorted(wanted, key=lambda name: name not in bench):
        place = bench.index(device) if device in bench else 0
        while place in found.values():
            place += 1
        found[device] = place
    return {device: found[device] for device in wanted}
