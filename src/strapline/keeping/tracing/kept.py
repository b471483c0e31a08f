"""What results hold of a session, as far as a figure of it is traced."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path, PurePath

import pandas as pd

from strapline.ground.documents import DocumentError
from strapline.ground.files import UnfitResult, read_model
from strapline.ground.records.alignment import ClockDecision, SessionAlignment
from strapline.ground.records.intake import RecordingIntake, SessionIntake, read_intake
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.records.raw_tables import BEATS_ENDING, RawTables
from strapline.ground.tables.recordings import by_recording
from strapline.ground.tables.sessions import ALIGNED, METRICS, STATED
from strapline.ground.tables.table import about
from strapline.keeping.made_with import is_of_this_code
from strapline.keeping.receipts import Places, Receipt, read_receipt, receipt_path
from strapline.keeping.tracing.samples import Recording

ANEW = "type `snakemake --forceall` to compute it again"
OTHER_CODE = "was made by another version of Strapline; type `snakemake` to compute it again"


@dataclass(frozen=True)
class KeptSession:
    """The files of one session under `places`, read when they are asked for."""

    places: Places
    session: str

    @property
    def folder(self) -> Path:
        return self.places.results / "sessions" / self.session

    @cached_property
    def intake(self) -> SessionIntake:
        return read_intake(self.folder / "intake.json")

    @cached_property
    def ledger(self) -> SessionLedger:
        return read_model(self.folder / "ledger.json", SessionLedger)

    @cached_property
    def metrics(self) -> pd.DataFrame:
        return METRICS.read(self.folder / "metrics.parquet")

    @cached_property
    def stated(self) -> pd.DataFrame:
        return STATED.read(self.folder / "stated.parquet")

    @cached_property
    def raw(self) -> RawTables:
        """The tables of those raw files that the session has now."""
        names = sorted({entry.raw for entry in self.intake.recordings} - {""})
        stems = [f"{self.folder}/raw/{name}" for name in names]
        return RawTables(
            [f"{stem}.parquet" for stem in stems], [f"{stem}{BEATS_ENDING}" for stem in stems]
        )

    @property
    def maximum_bpm(self) -> float | None:
        """What bands of effort go by."""
        maximum = self.ledger.maximum_heart_rate
        return maximum.bpm if maximum else None

    def entry(self, recording: str) -> RecordingIntake:
        for entry in self.intake.recordings:
            if entry.recording == recording:
                return entry
        raise UnfitResult(self.folder / "intake.json", f"nothing of {recording}")

    def clock(self, recording: str) -> ClockDecision:
        path = self.folder / "alignment.json"
        for clock in read_model(path, SessionAlignment).clocks:
            if clock.recording == recording:
                return clock
        raise UnfitResult(path, f"nothing of {recording}")

    def views(self, alignment: str) -> dict[str, pd.DataFrame]:
        """The rows of each recording in one view, with their places in the table as index."""
        rows = ALIGNED.read(self.folder / "aligned.parquet")
        own = rows[rows["alignment"] == alignment].groupby("recording", observed=True)
        return {str(recording): part for recording, part in own}

    def recording(self, entry: RecordingIntake, clock: ClockDecision | None) -> Recording:
        path = self.folder / "recordings.parquet"
        rows, told = by_recording(path), about(path).get("recordings", {})
        if not {entry.recording} <= rows.keys() & told.keys():
            raise UnfitResult(path, f"nothing of {entry.recording}")
        return Recording(
            entry,
            rows[entry.recording],
            self.raw.samples_of(entry),
            self.raw.beats_of(entry),
            str(told[entry.recording].get("rate_from")),
            clock,
        )

    def receipt(self, output: str) -> Receipt:
        """Of the job whose first output lies at `output` in the session's folder."""
        receipt = read_receipt(
            receipt_path(self.places, f"results/sessions/{self.session}/{output}")
        )
        if receipt is None:
            raise DocumentError(f"{self.folder / output} has no receipt; {ANEW}.")
        if not is_of_this_code(receipt):
            raise DocumentError(f"{self.folder / output} {OTHER_CODE}.")
        return receipt

    def export(self, entry: RecordingIntake) -> Path:
        """The raw file of a recording, as intake found it."""
        read = self.receipt("intake.json").raw
        found = [name for name in read if PurePath(name).name == entry.file]
        if len(found) != 1:
            raise DocumentError(f"The receipt of intake.json names no {entry.file}; {ANEW}.")
        return self.places.path_of(found[0])

    def receipts(self, entry: RecordingIntake) -> dict[str, Receipt]:
        """By stage, those of the jobs by which a recording's figures were made."""
        made = {
            "parse": f"raw/{entry.raw}.parquet",
            "intake": "intake.json",
            "normalise": "recordings.parquet",
            "align": "alignment.json",
            "measure": "metrics.parquet",
        }
        return {stage: self.receipt(output) for stage, output in made.items()}
