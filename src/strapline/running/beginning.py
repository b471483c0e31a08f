"""How a run begins: what must hold before any rule is read, in the order in which it can."""

from __future__ import annotations

import atexit
import time
from collections.abc import Collection, Mapping
from itertools import chain
from pathlib import Path
from typing import Any

from strapline.ground.documents import load
from strapline.ground.records.register import Register
from strapline.ground.records.wearers import load_wearers
from strapline.ground.settings import Settings
from strapline.ground.tables.parts import parts
from strapline.keeping.as_made.settled import hashed
from strapline.keeping.file_times import not_after
from strapline.keeping.provenance import code_kept, code_of, fingerprints
from strapline.keeping.receipts import Places
from strapline.reading.inbox.discovery import Inbox
from strapline.running import closing
from strapline.running.asked import among, must_be_known, must_be_published
from strapline.running.garbage import search_seldom
from strapline.running.missing import (
    OWN_CONFIG,
    known_activities,
    known_sessions,
    make_the_first,
    must_be_there,
    must_have_own_config,
    must_hold_most,
)
from strapline.running.own_folders import must_be_own
from strapline.running.params import OfSessions
from strapline.running.pool import Pool
from strapline.running.publishing import Publishing
from strapline.running.refusal import refusing
from strapline.running.run import Run
from strapline.running.run_lock import hold, hold_share
from strapline.running.settling import Settling, kept_of
from strapline.running.signs import Sign
from strapline.running.snakemake_hooks.process import Process, process_of
from strapline.running.taken import take
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
    is_of_bench = not (process.asked.lint or process.asked.targets & DEMOS)
    folder = OWN_CONFIG if is_of_bench else process.root / OWN_CONFIG
    with refusing():
        for key in config:
            among("--config key", key, CONFIG_KEYS)
        if is_of_bench and "settings" not in config:
            must_have_own_config(process.root)
        settings_file = Path(config.get("settings", folder / "settings.yaml"))
        settings = load(settings_file, Settings)
        beside = settings_file.with_name("devices.yaml")
        usual = beside if beside.exists() else folder / beside.name
        devices = Path(config.get("devices", usual))
        register = load(devices, Register)
        # The demo has wearers of its own.
        wearers = load_wearers(config.get("wearers", devices.with_name("wearers.yaml")))
    places = Places(Path(config.get("results", "results")), Path(config.get("inbox", "inbox")))
    # The demo makes an inbox of its own.
    if is_of_bench:
        if process.begins:
            make_the_first(places)
        with refusing(only_say=process.is_dry and not places.inbox.is_dir()):
            must_be_there(places)
    if process.is_main:
        with refusing():
            must_be_own(places.results)
    pool = Pool(process.cores)
    only_sends = CLUSTER in process.asked.targets
    if only_sends:
        remember(process.words)
    if process.begins and not only_sends:
        pool.prepare()
    lock = _lock(process, places, config)
    known = known_sessions(places.results)

    def agreed(inbox: Inbox, closed: Mapping[str, str]) -> None:
        if config.get("gone") != "yes":
            with refusing(only_say=process.is_dry):
                there = {*inbox.sessions, *inbox.expected, *closed}
                must_hold_most(there, known, process.words)
        with refusing():
            _plan_must_be_known(settings, register.tested, inbox, places)
        if lock:
            not_after(places, time.time_ns())
            clear_half_done(places)

    taken = take(places, settings, known, agreed)
    with refusing():
        only = must_be_published(config, settings, taken.inbox.sessions, process.asked)
    with code_kept(places.results / "code.json"):
        methods = fingerprints(settings)
        code = code_of(OfSessions.__module__)
    kept = kept_of(places)
    named_before = {name: seal.devices for name, seal in kept.seals.items()}
    in_parts = parts(taken.inbox.sessions)
    of_sessions = OfSessions(taken, register, wearers, in_parts, named_before)
    rules = hashed([code, *_rules(process.root)])
    publishing = Publishing(taken, wearers, settings.presentation, places, only)
    settling = Settling(
        places,
        taken,
        in_parts,
        of_sessions,
        methods,
        settings,
        rules,
        kept,
        process.asked,
        publishing,
    )
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
        config=process.root / OWN_CONFIG,
        settings=settings,
        register=register,
        places=places,
        pool=pool,
        taken=taken,
        publishing=publishing,
        share=str(config.get("share", "")),
        new_sessions=_new(taken.inbox, places),
        parts=in_parts,
        of_sessions=of_sessions,
        settling=settling,
        methods=methods,
    )


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


def _plan_must_be_known(
    settings: Settings, devices: Collection[str], inbox: Inbox, places: Places
) -> None:
    stated = (session.glance.activity for session in inbox.sessions.values())
    must_be_known(settings, devices, chain(known_activities(places.results), stated))


def _rules(root: Path) -> list[str]:
    """Their text."""
    return [path.read_text() for path in sorted((root / "workflow" / "rules").iterdir())]


def _new(inbox: Inbox, places: Places) -> tuple[str, ...]:
    made = places.results / "sessions"
    return tuple(name for name in inbox.sessions if not (made / name / "ledger.json").exists())
