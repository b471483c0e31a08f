"""What is listed of devices that exports are from, and written into the register."""

import pytest
import yaml
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.profile_type import FileType

from strapline.ground.documents import DocumentError, load
from strapline.ground.records.register import Device, Register
from strapline.ground.records.register_text import with_devices
from strapline.reading.formats import Identity, read_identity
from strapline.reading.session.entries import recognised as by_its_file
from strapline.running.commands import main

BLUE = {"blue-band": Device(label="Blue band")}


@pytest.fixture
def bench(tmp_path, monkeypatch):
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "devices.yaml").write_text("# Mine.\ndevices: {}  # none yet\n")
    (tmp_path / "config" / "settings.yaml").write_text("")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def put(bench, session, *files, card=""):
    folder = bench / "inbox" / session
    folder.mkdir(parents=True)
    for file in files:
        (folder / file).write_text("time,heart_rate\n2026-03-01T10:00:00Z,90\n")
    if card:
        (folder / "session.yaml").write_text(card)


def test_devices_are_told_by_the_names_of_their_files(bench, capsys):
    put(bench, "a", "Chest strap.csv", "Grey watch (1).csv", "ring7.csv")
    put(bench, "b", "chest-strap-2.csv", "2026-03-05.csv")
    put(bench, "c", "export 1.csv", "export 2.csv")
    assert main(["devices", "--write"]) == 0
    said = capsys.readouterr().out
    assert "chest-strap: 2 files, a/Chest strap.csv and b/chest-strap-2.csv\n" in said
    assert "Which device these are from cannot be told" in said
    assert "  b/2026-03-05.csv, c/export 1.csv and c/export 2.csv\n" in said
    known = load(bench / "config" / "devices.yaml", Register).devices
    assert {name: (str(device.kind), device.label) for name, device in known.items()} == {
        "chest-strap": ("chest_strap", "Chest strap"),
        "grey-watch": ("wrist", "Grey watch"),
        "ring": ("finger", "Ring"),
    }
    assert [rule.file_name for rule in known["ring"].recognise] == ["ring*"]
    assert main(["devices"]) == 0
    assert "chest-strap" not in capsys.readouterr().out


def test_a_device_is_not_called_after_its_session(bench, capsys):
    put(bench, "2026-11-03 Strength", "slate-strength.csv", "copper_export_2026.csv")
    put(bench, "2026-11-05 run", "slate-run.csv", "run.csv", "band run.csv", "band export.csv")
    assert main(["devices", "--write"]) == 0
    known = load(bench / "config" / "devices.yaml", Register).devices
    assert list(known) == ["band-export", "band-run", "copper", "run", "slate"]
    assert main(["devices"]) == 0
    assert "knows every device" in capsys.readouterr().out


def test_a_card_says_whose_a_file_is(bench, capsys):
    entries = "recordings: [{file: x.csv, device: red-band}, {file: y.csv, device: red-band}]"
    put(bench, "a", "x.csv", "y.csv", "left-out.csv", card=entries)
    assert main(["devices"]) == 0
    said = capsys.readouterr().out
    assert "red-band: 2 files" in said and "left-out" not in said
    assert (bench / "config" / "devices.yaml").read_text().endswith("{}  # none yet\n")


def activity(product):
    """A file by another encoder, of a maker whose products the profile does not list."""
    builder = FitFileBuilder(auto_define=True)
    identity = FileIdMessage()
    identity.type, identity.manufacturer, identity.product = FileType.ACTIVITY, 260, product
    builder.add(identity)
    record = RecordMessage()
    record.timestamp, record.heart_rate = 1_772_359_200_000, 90
    builder.add(record)
    return builder.build().to_bytes()


def lay(bench, session, **files):
    """Exports of products, by their names before the ending."""
    (bench / "inbox" / session).mkdir(parents=True)
    for name, product in files.items():
        (bench / "inbox" / session / f"{name}.fit").write_bytes(activity(product))


def recognised(bench):
    """What the register makes of each file in the inbox."""
    register = load(bench / "config" / "devices.yaml", Register)
    found = {}
    for path in sorted((bench / "inbox").rglob("*.fit")):
        found[path.stem] = by_its_file(path.name, read_identity(path), register)
    return found


def test_products_whose_files_are_called_alike_are_told_apart_by_their_numbers(bench):
    lay(bench, "a", **{"watch-a2": 7, "strap": 3})
    lay(bench, "b", **{"watch-a3": 8, "strap": 3})
    assert main(["devices", "--write"]) == 0
    found = recognised(bench)
    assert (found["watch-a2"], found["watch-a3"]) == ("watch-a-7", "watch-a-8")
    assert found["strap"] == "strap"


def test_no_rule_that_is_written_fits_the_file_of_another_device(bench, capsys):
    place = bench / "config" / "devices.yaml"
    place.write_text("devices:\n  watch-a:\n    label: Watch A\n    recognise: [{product: '7'}]\n")
    lay(bench, "a", **{"watch-a": 7, "watch-a2": 8, "strap": 3})
    assert main(["devices", "--write"]) == 0
    found = recognised(bench)
    assert found["watch-a"] == "watch-a"
    assert found["watch-a2"] == "watch-a-2"
    assert "watch-a*" not in place.read_text()


def test_a_number_behind_a_letter_tells_where_the_word_before_it_does_not(bench):
    place = bench / "config" / "devices.yaml"
    place.write_text("devices:\n  watch-a: {label: Watch A}\n")
    put(bench, "a", "watch-a.csv", "watch-a2.csv", "strap.csv")
    put(bench, "b", "watch-a3.csv")
    assert main(["devices", "--write"]) == 0
    register = load(place, Register)
    (rule,) = (r for d in register.devices.values() for r in d.recognise)
    assert rule.file_name == "watch-a3*"
    names = {1: "watch-a.csv", 2: "watch-a2.csv", 3: "watch-a3.csv"}
    found = [by_its_file(name, Identity(), register) for name in names.values()]
    assert found == ["watch-a", "watch-a2", "watch-a-2"]


def test_two_of_one_product_are_told_apart_by_name(bench):
    lay(bench, "a", left=7, right=7)
    assert main(["devices", "--write"]) == 0
    assert recognised(bench) == {"left": "left", "right": "right"}


def test_where_no_rule_would_be_of_one_device_alone_the_card_is_asked_for(bench, capsys):
    put(bench, "a", "export 1.csv", card="recordings: [{file: export 1.csv, device: red-band}]")
    put(bench, "b", "export 2.csv")
    assert main(["devices", "--write"]) == 0
    said = capsys.readouterr().out
    assert "Which device these are from cannot be told" in said and "  b/export 2.csv\n" in said
    devices = load(bench / "config" / "devices.yaml", Register).devices
    assert devices["red-band"].recognise == () and list(devices) == ["red-band"]


@pytest.mark.parametrize(
    "text",
    [
        "# First.\ndevices: {}  # none yet\n# Last.\n",
        "# First.\ndevices:  # none yet\n# Last.\n",
        "# First.\n# Last.\n",
        "# First.\ndevices:\n  a: {label: A}  # mine\n\n# Last.\n",
        "# First.\ndevices:\n    a:\n      label: A  # so\n      kind: ear\n# Last.\n",
        "# First.\n# Last.\ndevices:\n  a: {label: A}",
    ],
)
def test_entries_are_added_below_those_there_are_and_comments_stay(text):
    added = with_devices(text, BLUE)
    before = (yaml.safe_load(text) or {}).get("devices") or {}
    blue = {"label": "Blue band", "kind": "wrist"}
    assert yaml.safe_load(added)["devices"] == before | {"blue-band": blue}
    comments = ("# First.", "# none yet", "# mine", "# so", "# Last.")
    assert [c for c in comments if c in text] == [c for c in comments if c in added]


def test_a_register_in_braces_is_left_as_it_is(bench, capsys):
    with pytest.raises(DocumentError, match="in braces"):
        with_devices("devices: {a: {label: A}}\n", BLUE)
    place = bench / "config" / "devices.yaml"
    place.write_text("devices: {a: {label: Grey watch}}\n")
    put(bench, "a", "grey-watch.csv")
    assert main(["devices", "--write"]) == 2
    assert place.read_text() == "devices: {a: {label: Grey watch}}\n"
    place.write_text("devices:\n  a: {label: Grey watch}\n")
    assert main(["devices", "--write"]) == 2
    assert "labels that can be told apart" in capsys.readouterr().err
    assert place.read_text() == "devices:\n  a: {label: Grey watch}\n"
