"""The inbox of the demo: every export, and the session cards."""

import datetime as dt
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from strapline.demo import encode_picture
from strapline.demo.bench import Bench, Session, Wearer
from strapline.demo.content import Content
from strapline.demo.encode_fit import fit
from strapline.demo.encode_text import csv, rr_text
from strapline.demo.encode_xml import gpx, tcx
from strapline.demo.simulate import Simulation, simulate
from strapline.ground.documents import as_yaml
from strapline.ground.records.card import FILE_NAME, Card
from strapline.ground.vocabulary import Placement, Role

SUFFIXES = {"fit": "fit", "tcx": "tcx", "gpx": "gpx", "csv": "csv", "rr": "txt", "png": "png"}
ENCODERS = {"fit": fit, "tcx": tcx, "gpx": gpx, "rr": rr_text, "png": encode_picture.png}
KEPT_WHEN_CUT = 0.55


def write_bench(bench: Bench, folder: Path, processes: int = 1) -> None:
    """Write all sessions into `folder`; equal to the byte whatever the number of processes."""
    folder.mkdir(parents=True, exist_ok=True)
    write = partial(write_session, bench, folder=folder)
    if processes == 1:
        for session in bench.sessions:
            write(session)
        return
    with ProcessPoolExecutor(processes) as pool:
        list(pool.map(write, bench.sessions))


def write_session(bench: Bench, session: Session, folder: Path) -> None:
    """Write the session's exports and its card into `folder`/<name of the session>."""
    place = folder / session.name
    place.mkdir(parents=True, exist_ok=True)
    for device, exported in exports(bench, session):
        if device == session.screen and not session.screenshot:
            continue
        if device == session.cut_short:
            exported = exported[: int(len(exported) * KEPT_WHEN_CUT)]
        (place / file_name(bench, device)).write_bytes(exported)
    if session.card:
        text = as_yaml(card(bench, session))
        (place / FILE_NAME).write_text(text, "utf-8")


def exports(bench: Bench, session: Session) -> Iterator[tuple[str, bytes]]:
    """Each device of the session with its export, complete."""
    simulation = simulate(bench, session)
    content = strap_content(bench, session, simulation)
    yield session.strap, ENCODERS[bench.straps[session.strap].format](content)
    for device in session.worn.values():
        wrist = bench.tested(device)
        content = wrist_content(bench, session, simulation, device)
        if wrist.format == "csv":
            yield device, csv(content, wrist.time_zone)
        else:
            yield device, ENCODERS[wrist.format](content)


def file_name(bench: Bench, device: str) -> str:
    described = bench.straps.get(device) or bench.tested(device)
    return f"{device}.{SUFFIXES[described.format]}"


def strap_content(bench: Bench, session: Session, simulation: Simulation) -> Content:
    return Content(
        **_known(bench, session, simulation, session.strap),
        second=np.arange(simulation.duration_s, dtype=np.float64),
        heart_rate_bpm=simulation.strap.heart_rate_bpm,
        cadence_per_min=np.full(simulation.duration_s, np.nan),
        distance_m=simulation.distance_m[session.strap],
        beat_s=simulation.strap.beat_s,
        rr_ms=simulation.strap.rr_ms,
    )


def wrist_content(bench: Bench, session: Session, simulation: Simulation, device: str) -> Content:
    trace = simulation.traces[device]
    return Content(
        **_known(bench, session, simulation, device),
        second=trace.second.astype(np.float64),
        heart_rate_bpm=trace.heart_rate_bpm,
        cadence_per_min=trace.cadence_per_min,
        distance_m=simulation.distance_m[device][trace.second],
    )


def _known(bench: Bench, session: Session, simulation: Simulation, device: str) -> dict[str, Any]:
    """What each device says of itself and of the session."""
    described = bench.straps.get(device) or bench.tested(device)
    return {
        "product": described.product,
        "serial": described.serial,
        "sport": bench.activities[session.activity].sport,
        "start": session.start.astimezone(dt.UTC)
        + dt.timedelta(seconds=simulation.truth.clock_s[device]),
    }


def card(bench: Bench, session: Session) -> dict[str, Any]:
    """The session card as plain values, valid under `Card`; it knows nothing of clock errors."""
    known: dict[str, Any] = {
        "activity": session.activity,
        "wearer": session.wearer,
        "body": _body(bench.wearers[session.wearer]),
        "recordings": list(_recordings(bench, session)),
        "segments": list(_segments(bench, session)),
        "exclude": [
            {"from": _clock(span.start), "to": _clock(span.end), "reason": span.reason}
            for span in session.exclude
        ],
        "conditions": dict(session.conditions),
    }
    stated = {key: value for key, value in known.items() if value}
    Card.model_validate(stated)
    return stated


def _body(wearer: Wearer) -> dict[str, Any]:
    stated = {
        "maximum_bpm": wearer.max_bpm,
        "resting_bpm": wearer.resting_bpm,
        "age_years": wearer.age,
        "sex": wearer.sex,
        "weight_kg": wearer.weight_kg,
    }
    return {key: value for key, value in stated.items() if value is not None}


def _recordings(bench: Bench, session: Session) -> Iterator[dict[str, Any]]:
    reference: dict[str, Any] = {
        "file": file_name(bench, session.strap),
        "device": session.strap,
        "role": Role.REFERENCE,
        "placement": Placement.CHEST,
    }
    if bench.straps[session.strap].format == "rr":
        reference["clock"] = {"starts_at": session.start.astimezone(dt.UTC).isoformat()}
    yield reference
    for placement, device in session.worn.items():
        tested: dict[str, Any] = {
            "file": file_name(bench, device),
            "device": device,
            "placement": placement,
        }
        wrist = bench.tested(device)
        if wrist.format == "png":
            tested |= _screen(bench, session, device)
        if device == session.screen and not session.screenshot:
            del tested["file"], tested["picture"]
        firmware, _ = wrist.on(session.start.date())
        if firmware:
            tested["firmware"] = firmware
        if wrist.time_zone:
            tested["clock"] = {"time_zone": wrist.time_zone}
        yield tested


def _screen(bench: Bench, session: Session, device: str) -> dict[str, Any]:
    """What the tester types from the screen of an app: what the plot's edges stand for, when it
    began, and the figures beside it."""
    content = wrist_content(bench, session, simulate(bench, session), device)
    edges = encode_picture.edges(content)
    rates = content.heart_rate_bpm[~np.isnan(content.heart_rate_bpm)]
    return {
        "picture": {
            "left": _clock(edges.left),
            "right": _clock(edges.right),
            "bottom": edges.bottom,
            "top": edges.top,
        },
        "clock": {"starts_at": content.start.isoformat()},
        "stated": {
            "average_bpm": round(float(rates.mean())),
            "maximum_bpm": round(float(rates.max())),
            "duration": _clock(edges.right),
        },
    }


def _segments(bench: Bench, session: Session) -> Iterator[dict[str, str]]:
    start = 0
    for phase in bench.activities[session.activity].phases():
        end = start + phase.seconds
        if phase.label:
            yield {"label": phase.label, "from": _clock(start), "to": _clock(end)}
        start = end


def _clock(second: float) -> str:
    return f"{int(second) // 60:02d}:{int(second) % 60:02d}"
