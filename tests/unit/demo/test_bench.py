"""The demo's documents: valid, balanced, and clear about mistakes."""

import collections
from pathlib import Path

import pytest
import yaml
from pydantic import ValidationError

from strapline.demo.bench import Bench, Session
from strapline.ground.documents import load
from strapline.ground.records.register import Register
from strapline.ground.settings import Settings


def test_every_device_is_on_each_wrist_equally_often(bench: Bench) -> None:
    left = collections.Counter(session.left for session in bench.sessions)
    right = collections.Counter(session.right for session in bench.sessions)
    assert set(left) == set(right) == set(bench.wrists)
    for device in bench.wrists:
        assert abs(left[device] - right[device]) <= 1


def test_every_device_meets_every_activity_and_wearer(bench: Bench) -> None:
    met = {
        (device, word)
        for session in bench.sessions
        for device in session.wrists.values()
        for word in (session.activity, session.wearer)
    }
    words = [*bench.activities, *bench.wearers]
    assert met == {(device, word) for device in bench.wrists for word in words}


def test_the_bench_holds_every_mishap_it_promises(bench: Bench) -> None:
    sessions = bench.sessions
    assert any(session.bad_strap_contact for session in sessions)
    assert sum(not session.card for session in sessions) == 1
    assert sum(session.cut_short is not None for session in sessions) == 1
    assert any(session.exclude for session in sessions)
    assert sorted(session.screenshot for session in sessions if session.screen) == [False, True]
    clocks = [bench.clock_s(session, d) for session in sessions for d in session.wrists.values()]
    assert sum(3590 <= abs(clock) <= 3610 for clock in clocks) == 1
    assert sum(0 < abs(clock) < 10 for clock in clocks) > 10


def test_the_formats_all_occur(bench: Bench) -> None:
    assert {wrist.format for wrist in bench.wrists.values()} == {"fit", "tcx", "gpx", "csv"}
    assert {screen.format for screen in bench.screens.values()} == {"png"}
    used = {bench.straps[session.strap].format for session in bench.sessions}
    assert used == {"fit", "rr"}


def test_register_and_settings_are_valid(bench: Bench, config: Path) -> None:
    register = load(config / "devices.yaml", Register)
    assert set(register.devices) == {*bench.straps, *bench.wrists, *bench.screens}
    assert {register.devices[name].kind for name in bench.straps} == {"chest_strap"}
    assert {register.devices[name].kind for name in bench.wrists} == {"wrist"}
    credit = load(config / "settings.yaml", Settings).presentation.credit
    assert credit == "Invented bench: simulated wearers and devices"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"left": "thimble-band", "right": "thimble-band"}, "two different devices"),
        ({"left": "nothing"}, "'nothing'"),
        ({"strap": "harbour-watch"}, "'harbour-watch'"),
        ({"wearer": "run"}, "'run'"),
        ({"cut_short": "nothing"}, "'nothing'"),
        ({"screen": "harbour-watch"}, "'harbour-watch'"),
        ({"strap": "spare-strap", "bad_strap_contact": True}, "where no time is stored"),
    ],
)
def test_an_impossible_session_is_refused(
    bench: Bench, config: Path, change: dict[str, object], words: str
) -> None:
    content = yaml.safe_load((config / "bench.yaml").read_text("utf-8"))
    content["sessions"] = [content["sessions"][0] | change]
    with pytest.raises(ValidationError, match=words):
        Bench.model_validate(content)


def test_two_sessions_of_one_name_are_refused(bench: Bench) -> None:
    session: Session = bench.sessions[0]
    with pytest.raises(ValidationError, match="two sessions"):
        Bench.model_validate(
            dict(bench) | {"sessions": (session, session.model_copy(update={"card": False}))}
        )
