"""What results depend on, as it was in force when they were made."""

from importlib.metadata import version
from pathlib import Path
from platform import python_version
from typing import Any

from pydantic import BaseModel, ConfigDict

from strapline.receipts import Places, read_receipt, receipt_path

# Libraries whose rounding or choices could move a figure.
LIBRARIES = ("numpy", "pandas", "pyarrow", "scipy")

PARSED = ".parsed.parquet"


class Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Sources(Model):
    """Of one session: the SHA-256 of each export and, where it has one, of its card, by name."""

    exports: dict[str, str | None]
    card: str | None = None


class Stage(Model):
    """The fingerprint of a stage's code, and the settings it was given."""

    code: str
    settings: dict[str, dict[str, Any]]


class InForce(Model):
    """Sessions and stages by name, the register of devices as text, and library versions."""

    sessions: dict[str, Sources]
    stages: dict[str, Stage]
    devices: str
    versions: dict[str, str]


def versions() -> dict[str, str]:
    return {"python": python_version()} | {name: version(name) for name in LIBRARIES}


def sources_of(results: Path, session: str) -> Sources:
    """What a session was made of, by the receipts of its jobs; nothing where there are none."""
    places = Places(results, Path("inbox"))
    folder = f"results/sessions/{session}"
    intake = read_receipt(receipt_path(places, f"{folder}/intake.json"))
    if intake is None:
        return Sources(exports={})
    exports: dict[str, str | None] = {}
    card = None
    for name, digest in intake.inputs.items():
        if name.startswith("inbox/"):
            card = digest
        elif name.endswith(PARSED):
            parse = read_receipt(receipt_path(places, name))
            exports |= {Path(export).name: d for export, d in parse.inputs.items()} if parse else {}
    return Sources(exports=exports, card=card)
