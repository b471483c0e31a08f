"""JSON Schemas of the documents people write, so that editors complete and check them.

    python -m strapline.ground.schema config/schema

A document names its schema in a first line such as
`# yaml-language-server: $schema=../../config/schema/session.schema.json`.
"""

import json
import sys
from pathlib import Path

from pydantic import BaseModel

from strapline.ground.records.card import Card
from strapline.ground.records.register import Register
from strapline.ground.records.wearers import Wearers
from strapline.ground.settings import Settings

DOCUMENTS: dict[str, type[BaseModel]] = {
    "session": Card,
    "devices": Register,
    "settings": Settings,
    "wearers": Wearers,
}


def schemas() -> dict[str, str]:
    """The text of each schema file, by file name."""
    return {
        f"{name}.schema.json": json.dumps(model.model_json_schema(), indent=1) + "\n"
        for name, model in DOCUMENTS.items()
    }


def write_schemas(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in schemas().items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write_schemas(Path(sys.argv[1]))
