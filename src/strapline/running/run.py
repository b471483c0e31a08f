"""A run: what it stands on, and what the rules ask of it."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from strapline.ground.meanings import meanings
from strapline.ground.versions import mixed, told, versions
from strapline.keeping.editions.causes import ALL_STAGES
from strapline.keeping.provenance import STAGES, canonical, code_of, sections_read
from strapline.keeping.receipts import Order, read_receipt, receipt_path
from strapline.running import closing
from strapline.running.machine import MachineTrouble
from strapline.running.own import Own
from strapline.running.pool import Pool
from strapline.running.refusal import refusing
from strapline.running.settling import Settling
from strapline.running.slurm import must_be_met, tell_what_waits
from strapline.running.snakemake_hooks.process import Process
from strapline.running.taken import Taken
from strapline.running.typed import again


class Files(Protocol):
    """A job's inputs or outputs: paths, all of them called by a name."""

    def items(self) -> Iterable[tuple[str, Any]]: ...
    def __iter__(self) -> Any: ...


@dataclass(frozen=True)
class Run:
    """`config`: where the documents lie that the workflow came with; `share`: which one of another
    run it is, '' for a run of its own; `troubles`: what was wrong with the machine, to be said at
    the end."""

    process: Process
    config: Path
    own: Own
    pool: Pool
    taken: Taken
    share: str
    settling: Settling
    troubles: set[str] = field(default_factory=set)

    @property
    def sessions(self) -> list[str]:
        return list(self.taken.inbox.sessions)

    def method(self, stage: str) -> str:
        """What besides its inputs the stage's results depend on, for Snakemake to compare."""
        return self.settling.methods[stage]

    def perform(
        self, stage: str, input: Files, output: Files, raw: Sequence[str] = (), **arguments: Any
    ) -> None:
        """Run a step in a warm worker, with its own settings and nothing else; `raw` are the files
        of the inbox it reads. They are no inputs for Snakemake, which would go by their times."""
        settings = self.own.settings.only(sections_read(stage))
        order = Order(
            stage=stage,
            method=self.method(stage),
            settings=_as_json(settings),
            inputs=(*map(str, input), *raw),
            outputs=tuple(map(str, output)),
            places=self.own.places,
            raw={path: self.taken.contents[Path(path)] for path in raw},
            devices=arguments.get("register"),
            bench=arguments.get("bench"),
        )
        given = dict(input.items()) | dict(output.items()) | settings | arguments
        try:
            self.settling.look.note(order, self.pool.perform(order, given))
        except MachineTrouble as trouble:
            self.troubles.add(str(trouble))
            raise

    def made_with(self, *first_outputs: str) -> str:
        """By which versions some jobs were done, in words, as their receipts have it."""
        places = self.own.places
        notes = (receipt_path(places, places.name_of(output)) for output in first_outputs)
        receipts = filter(None, map(read_receipt, notes))
        return " ".join(told(mixed(receipt.versions for receipt in receipts)))

    def of_its_own(self, stated: Mapping[str, object], targets: Sequence[str] = ()) -> str:
        """The end of the command of a run that this one starts: its config, its targets."""
        given = {"results": self.own.places.results, **stated}
        config = [f"{name}={value}" for name, value in given.items()]
        return shlex.join(["--config", *config, "--", *targets])

    def begin_jobs(self) -> None:
        """What is to be known before the first job, once Snakemake knows of all."""
        if requests := self.process.requests():
            with refusing():
                must_be_met(requests)
            tell_what_waits()

    def shares(self, size: int) -> dict[str, list[str]]:
        """The sessions in shares of this size, by number."""
        names = self.sessions
        firsts = range(0, len(names), size)
        return {f"{first // size + 1:04}": names[first : first + size] for first in firsts}

    def with_work(self, shares: Mapping[str, list[str]]) -> list[str]:
        """Those of which a session may not be up to date; none for a process that Snakemake started
        for one job, which knows what is done by now."""
        if not self.process.is_main:
            return []
        return [name for name, own in shares.items() if not self.settling.settled.issuperset(own)]

    def left_alone(self, wildcards: object) -> str:
        """What in the inbox belongs to no session."""
        return canonical([each.nameless for each in self.taken.inbox.left])

    def tested(self, wildcards: object) -> str:
        """The devices that a plan is for: what each is called, and its kind."""
        devices = self.own.register.devices
        kinds = self.own.register.kinds_tested
        return canonical([(name, devices[name].label, kind) for name, kind in kinds.items()])

    def on_the_market(self, wildcards: object) -> str:
        """What the register says of devices beside what sessions are made from."""
        return canonical(self.own.register.on_the_market())

    def whole_register(self, wildcards: object) -> str:
        return canonical(self.own.register.model_dump(mode="json"))

    def all_settings(self, wildcards: object) -> str:
        """Those that a reader is told: a plan is no method, and names wearers."""
        return canonical(self.own.settings.model_dump(mode="json", exclude={"plan"}))

    def meanings(self, wildcards: object) -> str:
        """What each setting is for."""
        return canonical(meanings(self.config / "settings.yaml"))

    def all_methods(self, wildcards: object) -> str:
        return canonical(self.settling.methods)

    def in_force(self, wildcards: object) -> str:
        """Code and settings of every stage that published figures come from."""
        return canonical(
            {
                stage: {
                    "code": code_of(f"{STAGES}.{stage}"),
                    "settings": _as_json(self.own.settings.only(sections_read(stage))),
                }
                for stage in ALL_STAGES
            }
        )

    def versions(self) -> str:
        return canonical(versions())

    def summary(self, demo: str, publish: str) -> str:
        """What to say when all is done; `demo` and `publish` are the folders of these two."""
        if self.share:
            return ""  # what is new is for the run to tell that sent it
        targets = self.process.asked.targets
        # The demo is a run of its own, and has said what is new in it.
        if "publish_demo" in targets:
            return f"Published of the demo: {demo}/publish"
        if "demo" in targets:
            return f"The demo's report: {demo}/report/index.html"
        if "publish" not in targets:
            return self._new
        # Who publishes what was there already reads nothing of it again.
        return f"{self._new if self.settling.unsettled else ''}\nPublished: {publish}"

    @property
    def _new(self) -> str:
        return closing.summary(self.own, self.taken, self.settling.unsettled)

    def failure(self, logs: Sequence[str]) -> str:
        """What to say when not all is."""
        self.pool.end()
        return closing.failure(logs, self.troubles, again(), self.process.was_told_to_end())


def _as_json(settings: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    return {name: section.model_dump(mode="json") for name, section in settings.items()}
