"""A package described as an RO-Crate 1.2, its jobs in the terms of Workflow Run RO-Crate.

Both after their specifications at https://w3id.org/ro/crate/1.2 and https://w3id.org/ro/wfrun
(from memory).
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from strapline.keeping.packaging.contents import Packaged
from strapline.keeping.receipts import Receipt

METADATA = "ro-crate-metadata.json"
SPECIFICATION = "https://w3id.org/ro/crate/1.2"
CONTEXT = [f"{SPECIFICATION}/context", "https://w3id.org/ro/terms/workflow-run/context"]

LICENCE = (
    "Strapline itself is under the MIT licence, see LICENSE. For the recordings and the figures no "
    "licence is stated: ask whoever gave you this package."
)
MEDIA_TYPES = {
    "parquet": "application/vnd.apache.parquet",
    "json": "application/json",
    "yaml": "application/yaml",
    "html": "text/html",
    "css": "text/css",
    "js": "text/javascript",
    "svg": "image/svg+xml",
    "png": "image/png",
    "csv": "text/csv",
    "txt": "text/plain",
    "md": "text/markdown",
    "py": "text/x-python",
}
Entity = dict[str, Any]


def metadata(
    title: str, date: str, files: Sequence[Packaged], receipts: Sequence[Receipt]
) -> bytes:
    """`ro-crate-metadata.json`. date: of the session, as YYYY-MM-DD; a package does not say when
    it was made, so that the same results give the same package."""
    present = {file.name for file in files}
    jobs = list(_jobs(receipts, present))
    entities: list[Entity] = [
        {
            "@id": METADATA,
            "@type": "CreativeWork",
            "conformsTo": {"@id": SPECIFICATION},
            "about": {"@id": "./"},
        },
        {
            "@id": "./",
            "@type": "Dataset",
            "name": f"Heart-rate test session {title}",
            "description": "A session in which wrist devices were compared with a reference: what "
            "it was made of, every step in between, its figures, pictures and page, and the "
            "program that makes them.",
            "datePublished": date,
            "license": LICENCE,
            "hasPart": [_reference(_id_of(file.name)) for file in files],
            "mentions": [_reference(job["@id"]) for job in jobs if job["@type"] == "CreateAction"],
        },
        *(_file(file) for file in files),
        *jobs,
    ]
    document = {"@context": CONTEXT, "@graph": entities}
    return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()


def _file(file: Packaged) -> Entity:
    ending = file.name.rsplit(".", 1)[-1].lower()
    return {
        "@id": _id_of(file.name),
        "@type": "File",
        "name": file.name,
        "description": file.meaning,
        "contentSize": str(len(file.content)),
        "encodingFormat": MEDIA_TYPES.get(ending, "application/octet-stream"),
        "sha256": file.sha256,
    }


def _jobs(receipts: Sequence[Receipt], present: set[str]) -> Iterator[Entity]:
    """Each job as an action, and, once each, what it refers to that is no file of the package."""
    others: dict[str, Entity] = {}
    for receipt in receipts:
        stage = f"#stage-{receipt.stage}"
        others[stage] = {
            "@id": stage,
            "@type": "SoftwareApplication",
            "name": f"Strapline, stage {receipt.stage}",
            "softwareVersion": receipt.method,
        }
        settings = {entity["@id"]: entity for entity in _settings(receipt)}
        left_out = {
            entity["@id"]: entity
            for name, digest in receipt.inputs.items()
            if name not in present
            for entity in [_left_out(name, digest)]
        }
        others |= settings | left_out
        used = [_id_of(name) for name in receipt.inputs if name in present]
        yield {
            "@id": f"#job-{quote(next(iter(receipt.outputs)))}",
            "@type": "CreateAction",
            "name": f"{receipt.stage}: {next(iter(receipt.outputs))}",
            "instrument": _reference(stage),
            "object": [_reference(name) for name in [*used, *left_out, *settings]],
            "result": [_reference(_id_of(name)) for name in receipt.outputs],
        }
    yield from others.values()


def _settings(receipt: Receipt) -> Iterator[Entity]:
    for section, values in receipt.settings.items():
        for name, value in values.items():
            plain = value if isinstance(value, str | int | float | bool) else json.dumps(value)
            yield {
                "@id": f"#setting-{quote(f'{section}.{name}')}",
                "@type": "PropertyValue",
                "name": f"{section}.{name}",
                "value": plain,
            }


def _left_out(name: str, digest: str | None) -> Entity:
    return {
        "@id": f"#left-out-{quote(name)}",
        "@type": "DigitalDocument",
        "name": name,
        "description": "Not in this package; it can be told by its SHA-256.",
        "sha256": digest or "",
    }


def _id_of(name: str) -> str:
    return quote(name)


def _reference(identifier: str) -> Mapping[str, str]:
    return {"@id": identifier}
