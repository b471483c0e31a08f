"""Edition: the archive's tables -> what moved since the last edition; a new one if anything did."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.records.described import read_intakes
from strapline.ground.tables import archive
from strapline.ground.tables.editions import CHANGES
from strapline.keeping.editions.history import changes_of, keep
from strapline.keeping.editions.in_force import LIBRARIES, InForce, Stage, sources_of
from strapline.keeping.editions.of_archive import of_archive
from strapline.method.claims.evidence import Evidence, Policy

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Criteria, Equivalence, OverAll, Tolerance


def run(
    *,
    described: list[str],
    standings_table: str,
    findings_table: str,
    comparisons_table: str,
    firmware: str,
    sessions: str,
    devices: str,
    part_published: list[str],
    faults_table: str,
    conditions_table: str,
    changes: str,
    results: str,
    stages: str,
    register: str,
    versions: str,
    tolerance: Tolerance,
    criteria: Criteria,
    equivalence: Equivalence,
    claims: Claims,
    over_all: OverAll,
) -> None:
    """Editions are kept under `results`/editions, which no job declares: Snakemake deletes what a
    job declares before it runs. `stages` holds code and settings by stage, `register` the device
    register, `versions` those of the libraries by name, all as JSON."""
    evidence = Evidence(
        archive.FINDINGS.read(findings_table),
        archive.COMPARISONS.read(comparisons_table),
        archive.FIRMWARE.read(firmware),
        Policy(claims, criteria, equivalence, tolerance, over_all),
    )
    own = of_archive(
        evidence,
        archive.STANDINGS.read(standings_table),
        archive.SESSIONS.read(sessions),
        archive.FAULTS.read(faults_table),
        archive.CONDITIONS.read(conditions_table),
        archive.labels_of(archive.DEVICES.read(devices)),
    )
    now = InForce(
        sessions={session.session: sources_of(session) for session in read_intakes(described)},
        stages={name: Stage.model_validate(held) for name, held in json.loads(stages).items()},
        devices=register,
        versions={name: json.loads(versions)[name] for name in LIBRARIES},
    )
    history = Path(results, "editions")
    parts = {path.parent.name: path for path in map(Path, part_published)}
    editions = keep(history, own, parts, now)
    left_out = {"made_at", "in_force", "files"}
    told = [e.model_dump(exclude=left_out) | {"folder": e.folder} for e in editions]
    CHANGES.write(changes_of(history, editions[-1]), changes, editions=told)
