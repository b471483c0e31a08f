"""By which settings, register, code and versions jobs were done, as their receipts have it."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from strapline.ground.documents import DocumentError
from strapline.ground.settings import Settings
from strapline.ground.versions import Mixed, mixed, versions
from strapline.keeping.provenance import fingerprint, libraries_of, sections_read, stages
from strapline.keeping.receipts import Receipt

AGAIN = "Type `snakemake` first."
ALL_AGAIN = "Type `snakemake --forceall` first."


def is_of_this_code(receipt: Receipt) -> bool:
    """Whether the code that is here now did it, with whatever settings."""
    try:
        settings = Settings.model_validate(receipt.settings)
    except ValidationError:
        return False
    return (
        receipt.stage in stages()
        and receipt.settings.keys() == set(sections_read(receipt.stage))
        and receipt.method == fingerprint(receipt.stage, settings)
    )


def other_libraries(receipt: Receipt) -> dict[str, str]:
    """The libraries that the stage computes with and that are others now, with the versions that
    computed."""
    then, now = receipt.versions, versions()
    used = libraries_of(receipt.stage) if receipt.stage in stages() else ()
    return {name: then[name] for name in used if then.get(name, now[name]) != now[name]}


def other_settings(receipt: Receipt, settings: Settings) -> list[tuple[str, Any, Any]]:
    """What the stage was given and is otherwise now: 'tolerance.beats', then and now."""
    now = settings.only(sections_read(receipt.stage)) if receipt.stage in stages() else {}
    held = {name: section.model_dump(mode="json") for name, section in now.items()}
    return list(_differing(receipt.settings, held))


def _differing(
    then: Mapping[str, Any], now: Mapping[str, Any], within: str = ""
) -> Iterator[tuple[str, Any, Any]]:
    for key in sorted(then.keys() | now.keys()):
        old, new = then.get(key), now.get(key)
        if isinstance(old, dict) and isinstance(new, dict):
            yield from _differing(old, new, f"{within}{key}.")
        elif old != new:
            yield f"{within}{key}", old, new


def computed_with(receipts: Iterable[Receipt]) -> Mixed:
    """The versions that figures passed through. A job that reads nothing, as of how pages look,
    has no part in them, and is not done again with a library that computes."""
    return mixed(receipt.versions for receipt in receipts if receipt.inputs)


def settings_of(receipts: Sequence[Receipt]) -> dict[str, dict[str, Any]]:
    """The sections that the jobs were given. Raises DocumentError where they were given others."""
    found: dict[str, dict[str, Any]] = {}
    for receipt in receipts:
        for name, section in receipt.settings.items():
            if found.setdefault(name, section) != section:
                raise DocumentError(
                    f"These results were made with several settings of {name}. {AGAIN}"
                )
    return {name: found[name] for name in Settings.model_fields if name in found}


def register_of(receipts: Sequence[Receipt]) -> dict[str, Any]:
    """The register as far as a session's jobs used it: its devices as they were, and, for the
    colours go by their order, a place for each other device before them. Raises DocumentError."""
    registers = {receipt.devices for receipt in receipts} - {None}
    benches = {receipt.bench for receipt in receipts} - {None}
    if len(registers) != 1 or len(benches) != 1:
        raise DocumentError(f"No receipt says which register this was made with. {ALL_AGAIN}")
    used, bench = json.loads(str(*registers))["devices"], json.loads(str(*benches))
    others = {name: {"label": f"Not worn here {place}"} for place, name in enumerate(bench, 1)}
    return {"devices": others | used}
