"""What the register says of devices beside their files."""

import pytest

from strapline.ground.documents import DocumentError, load
from strapline.ground.records.register import Register

SAID = """\
    form: band
    class: under 100
    price: {amount: 49, currency: EUR, date: 2026-05-01}
"""
BARE = "devices:\n  band:\n    label: Blue band\n    kind: wrist\n"


def register(tmp_path, text):
    path = tmp_path / "devices.yaml"
    path.write_text(text, "utf-8")
    return load(path, Register)


def test_form_class_and_price_are_kept_apart_from_what_sessions_are_made_from(tmp_path):
    """So that a new price makes no session again."""
    said, bare = register(tmp_path, BARE + SAID), register(tmp_path, BARE)
    assert said.of_files() == bare.of_files()
    assert said.on_the_market() == {
        "band": {
            "form": "band",
            "own_class": "under 100",
            "price": {"amount": 49.0, "currency": "EUR", "date": "2026-05-01"},
        }
    }
    assert bare.on_the_market() == {}
    assert register(tmp_path, "devices: {}\n").on_the_market() == {}


@pytest.mark.parametrize(
    "price",
    [
        "49",
        "{amount: 49, currency: EUR}",
        "{amount: 49, currency: euros, date: 2026-05-01}",
        "{amount: -1, currency: EUR, date: 2026-05-01}",
        "{amount: .nan, currency: EUR, date: 2026-05-01}",
    ],
)
def test_a_price_has_its_currency_and_date(tmp_path, price):
    with pytest.raises(DocumentError, match="price"):
        register(tmp_path, f"{BARE}    price: {price}\n")
