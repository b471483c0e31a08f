"""What receipts say of the settings, register and versions that results were made with."""

import json

import pytest

from strapline.ground.documents import DocumentError
from strapline.ground.records.register import Register
from strapline.ground.settings import Settings, Tolerance
from strapline.ground.versions import mixed, told
from strapline.keeping.made_with import is_of_this_code, register_of, settings_of
from strapline.keeping.provenance import fingerprint, sections_read
from strapline.keeping.receipts import Receipt

WATCH, STRAP = {"label": "W", "kind": "wrist"}, {"label": "S", "kind": "chest_strap"}


def receipt(stage="measure", **given):
    nothing = {"method": "", "settings": {}, "inputs": {}, "outputs": {}}
    return Receipt(stage=stage, **nothing | given)


def done(settings):
    sections = settings.only(sections_read("measure"))
    plain = {name: section.model_dump(mode="json") for name, section in sections.items()}
    return receipt(method=fingerprint("measure", settings), settings=plain)


@pytest.mark.parametrize("settings", [Settings(), Settings(tolerance=Tolerance(beats=3))])
def test_code_is_told_whatever_the_settings(settings):
    made = done(settings)
    assert is_of_this_code(made)
    for change in ({"method": "measure:0"}, {"settings": {}}, {"stage": "once"}):
        assert not is_of_this_code(made.model_copy(update=change))
    other = made.settings | {"tolerance": {"beats": -1, "percent": 10}}
    assert not is_of_this_code(made.model_copy(update={"settings": other}))


def test_settings_are_put_together_in_order_and_must_agree():
    grid, tolerance = {"grid": {"longest_gap_s": 9.0}}, {"tolerance": {"beats": 4.0}}
    both = [receipt(settings=tolerance), receipt(settings=grid | tolerance)]
    assert list(settings_of(both)) == ["grid", "tolerance"]
    with pytest.raises(DocumentError, match="several settings of tolerance"):
        settings_of([*both, receipt(settings={"tolerance": {"beats": 5.0}})])


def test_the_register_keeps_the_order_and_nobody_elses_labels():
    used = json.dumps({"devices": {"strap": STRAP, "watch": WATCH}})
    found = register_of([receipt(devices=used), receipt(bench='["a", "watch"]'), receipt()])
    register = Register.model_validate(found)
    assert register.tested == ["a", "watch"] and register.devices["watch"].label == "W"
    assert register.bench(["strap", "watch"]) == ["a", "watch"]
    with pytest.raises(DocumentError, match="No receipt says which register"):
        register_of([receipt(devices=used)])
    with pytest.raises(DocumentError, match="No receipt says which register"):
        register_of([receipt(devices=used, bench="[]"), receipt(devices="{}")])


def test_versions_are_told_and_what_is_mixed():
    assert told(mixed([{"numpy": "1"}, {"numpy": "1", "scipy": "2"}])) == [
        "Made with numpy 1, scipy 2."
    ]
    first, second = told(mixed([{"numpy": "1"}, {"numpy": "3"}]))
    assert first == "Made with numpy 1 and 3." and second.startswith(
        "Not all of it with the same numpy."
    )
    assert told(mixed([{}])) == ["The versions this was made with were not noted."]
