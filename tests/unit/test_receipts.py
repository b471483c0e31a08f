"""What a job leaves of what it read and wrote."""

import hashlib

import pytest

from strapline.keeping.receipts import Order, Places, read_receipt, receipt_path


@pytest.fixture
def places(tmp_path):
    # The inbox of the demo lies within its results.
    return Places(tmp_path / "results", tmp_path / "results" / "inbox")


def test_files_are_called_by_where_they_belong(places):
    name = "inbox/a session/strap.fit"
    assert places.name_of(places.inbox / "a session" / "strap.fit") == name
    assert places.path_of(name) == places.inbox / "a session" / "strap.fit"
    assert places.name_of(places.results / "archive" / "x.json") == "results/archive/x.json"


def test_a_receipt_holds_inputs_as_they_were_and_outputs_as_they_are(places):
    source, made = places.inbox / "a.csv", places.results / "sessions" / "a" / "x.json"
    pages = places.results / "report" / "devices"
    for path in (source, made, pages / "one.html"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("before")
    order = Order(
        "measure",
        "measure:1",
        {},
        (f"{source}", f"{places.inbox}/no"),
        (f"{made}", f"{pages}"),
        places,
    )
    inputs = order.inputs_now()
    source.write_text("after")
    order.leave_receipt(inputs)
    receipt = read_receipt(receipt_path(places, "results/sessions/a/x.json"))
    before = hashlib.sha256(b"before").hexdigest()
    assert receipt.inputs == {"inbox/a.csv": before, "inbox/no": None}
    assert receipt.outputs == {
        "results/sessions/a/x.json": before,
        "results/report/devices/one.html": before,
    }


def test_what_is_no_receipt_is_none(tmp_path):
    (tmp_path / "x.json").write_text('{"stage": 1}')
    assert read_receipt(tmp_path / "x.json") is None
    assert read_receipt(tmp_path / "y.json") is None
