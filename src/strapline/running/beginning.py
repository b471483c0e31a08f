"""How a run begins: what must hold before any rule is read, in the order in which it can."""

from __future__ import annotations

import atexit
import time
from collections.abc import Mapping
from itertools import chain
from pathlib import Path
from typing import Any

from strapline.keeping.as_made.settled import hashed, kept_in
from strapline.keeping.file_times import not_after
from strapline.keeping.provenance import code_kept, code_of, fingerprints
from strapline.keeping.receipts import Places
from strapline.reading.inbox.discovery import Inbox
from strapline.running import closing, missing
from strapline.running.asked import among, must_be_known, must_be_published
from strapline.running.garbage import search_seldom
from strapline.running.own import Own, devices_beside, read_own
from strapline.running.own_folders import must_be_own
from strapline.running.params import OfSessions
from strapline.running.pool import Pool
from strapline.running.publishing import Publishing
from strapline.running.refusal import refusing
from strapline.running.run import Run
from strapline.running.run_lock import hold, hold_share
from strapline.running.settling import Settling
from strapline.running.signs import Sign
from strapline.running.snakemake_hooks.process import Process, process_of
from strapline.running.taken import Agreed, Taken, take
from strapline.running.typed import remember
from strapline.running.under_way import clear_half_done

# What can be stated after `--config`.
CONFIG_KEYS = (
    "settings",
    "devices",
    "wearers",
    "results",
    "inbox",
    "gone",
    "session",
    "share",
    "sessions_a_share",
)


# The target whose steps are done by runs on other hosts.
CLUSTER = "cluster"
# Targets that are a run of their own, over an invented bench.
DEMOS = {"demo", "publish_demo"}


def begin(workflow: Any, config: Mapping[str, Any]) -> Run:
    """The run of this Snakemake, with what was stated in its `config`. Ends the process with a
    sentence where it cannot begin."""
    search_seldom()
    process = process_of(workflow)
    only_sends = CLUSTER in process.asked.targets
    own = _own(process, config)
    if only_sends:
        remember(process.words)
    pool = Pool(process.cores)
    # Workers begin to import while the inbox is read.
    if process.begins and not only_sends:
        pool.prepare()
    lock = _lock(process, own.places, config)
    taken = take(own.places, own.settings, _agreed(process, own, config, bool(lock)))
    settling = _settling(process, own, taken, config)
    # Said last, also by a run that finds nothing to do.
    if taken.unread and lock:
        atexit.register(print, closing.unread(taken.unread))
    process.be_quick()
    if process.is_main and not only_sends:
        settling.mend(process.jobs(settling.redoing), process.is_dry)
    if process.begins and settling.unsettled and not only_sends:
        pool.start()
    return Run(
        process=process,
        config=process.root / missing.OWN_CONFIG,
        own=own,
        pool=pool,
        taken=taken,
        share=str(config.get("share", "")),
        settling=settling,
    )


def _own(process: Process, config: Mapping[str, Any]) -> Own:
    """The tester's, or the demo's, which makes its inbox itself."""
    is_of_bench = not (process.asked.lint or process.asked.targets & DEMOS)
    with refusing():
        for key in config:
            among("--config key", key, CONFIG_KEYS)
        if is_of_bench and "settings" not in config:
            missing.must_have_own_config(process.root)
        own = _stated(
            config, missing.OWN_CONFIG if is_of_bench else process.root / missing.OWN_CONFIG
        )
    if is_of_bench:
        if process.begins:
            missing.make_the_first(own.places)
        with refusing(only_say=process.is_dry and not own.places.inbox.is_dir()):
            missing.must_be_there(own.places)
    if process.is_main:
        with refusing():
            must_be_own(own.places.results)
    return own


def _stated(config: Mapping[str, Any], folder: Path) -> Own:
    """What `config` names, or lies in `folder`."""
    settings = Path(config.get("settings", folder / "settings.yaml"))
    usual = devices_beside(settings, folder / "devices.yaml")
    devices = Path(config.get("devices", usual))
    wearers = Path(config["wearers"]) if "wearers" in config else None
    places = Places(Path(config.get("results", "results")), Path(config.get("inbox", "inbox")))
    return read_own(places, settings, devices, wearers)


def _lock(process: Process, places: Places, config: Mapping[str, Any]) -> Sign | None:
    """Before anything is looked at, for another run may be changing it; a share works under the
    lock of the run that sent it. Snakemake's own lock is off in the profile."""
    if not process.begins:
        return None
    with refusing():
        if share := config.get("share"):
            atexit.register(hold_share(places.results, str(share)).remove)
            return None
        lock = hold(places.results)
    atexit.register(lock.close)
    return lock


def _agreed(process: Process, own: Own, config: Mapping[str, Any], is_locked: bool) -> Agreed:
    """What ends the run where the inbox is not to be gone by."""

    def agreed(inbox: Inbox, known: Mapping[str, str], closed: Mapping[str, str]) -> None:
        if config.get("gone") != "yes":
            with refusing(only_say=process.is_dry):
                there = {*inbox.sessions, *inbox.expected, *closed}
                missing.must_hold_most(there, known, process.words)
        with refusing():
            stated = (session.glance.activity for session in inbox.sessions.values())
            activities = chain(missing.known_activities(own.places.results), stated)
            must_be_known(own.settings, own.register.tested, activities)
        if is_locked:
            not_after(own.places, time.time_ns())
            clear_half_done(own.places)

    return agreed


def _settling(process: Process, own: Own, taken: Taken, config: Mapping[str, Any]) -> Settling:
    with refusing():
        only = must_be_published(config, own.settings, taken.inbox.sessions, process.asked)
    with code_kept(own.places.results / "code.json"):
        methods = fingerprints(own.settings)
        code = code_of(OfSessions.__module__)
    kept = kept_in(own.places.results)
    rules = sorted((process.root / "workflow" / "rules").iterdir())
    return Settling(
        own=own,
        taken=taken,
        kept=kept,
        asked=process.asked,
        of_sessions=OfSessions(own, taken, kept),
        publishing=Publishing(own, taken, only),
        methods=methods,
        rules=hashed([code, *(path.read_text() for path in rules)]),
    )
