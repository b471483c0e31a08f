from io import BytesIO

import fit_bytes as fb
import numpy as np
import pandas as pd
import pytest
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import FileType, Sport
from fitdecode.profile import FIELD_TYPES

from strapline.reading.formats import export_in as read_fit
from strapline.reading.formats.export import UnreadableExport
from strapline.reading.formats.fit_messages import TIMESTAMP, FitStream, checksum
from strapline.reading.formats.identity import identity_in

START = 1_000_000_000
RUNNING, CYCLING = 1, 2


def seconds(times: pd.Series) -> list[float]:
    """Times as seconds of the FIT epoch."""
    epoch = pd.Timestamp(fb.EPOCH, unit="s", tz="UTC")
    return [(time - epoch).total_seconds() for time in times]


def test_the_checksum_is_the_published_one() -> None:
    assert checksum(b"123456789") == 0xBB3D


def test_a_file_of_another_encoder_reads_as_written() -> None:
    builder = FitFileBuilder(auto_define=True, min_string_size=50)
    identity = FileIdMessage()
    identity.type = FileType.ACTIVITY
    identity.manufacturer = 255
    identity.product = 7
    identity.serial_number = 123456
    builder.add(identity)
    start_ms = 1_717_000_000_000
    for second, heart_rate in enumerate((0, 61, 254)):
        record = RecordMessage()
        record.timestamp = start_ms + 1000 * second
        record.heart_rate = heart_rate
        record.position_lat = 12.5
        record.position_long = 3.5
        builder.add(record)
    summary = SessionMessage()
    summary.sport = Sport.ROWING
    builder.add(summary)
    data = builder.build().to_bytes()
    export, identity = read_fit(data), identity_in(BytesIO(data))
    assert (export.format, export.clock, identity.sport) == ("fit", "utc", "rowing")
    assert (identity.maker, identity.product) == ("development", "7")
    assert (identity.serial, identity.listed) == ("123456", None)
    assert export.samples["heart_rate_bpm"].tolist() == [0, 61, 254]
    assert export.samples["time"].tolist() == [
        pd.Timestamp(start_ms + 1000 * second, unit="ms", tz="UTC") for second in range(3)
    ]
    assert export.remarks == ()


def test_a_record_without_heart_rate_is_a_sample_too() -> None:
    samples = read_fit(fb.fit_file(fb.records((START, 255, 255), (START + 1, 0, 80)))).samples
    assert samples["ordinal"].tolist() == [0, 1]
    assert np.isnan(samples["heart_rate_bpm"][0])
    assert samples["heart_rate_bpm"][1] == 0
    assert np.isnan(samples["cadence_per_min"][0])
    assert samples["elapsed_s"].isna().all()


@pytest.mark.parametrize(("sport", "expected"), [(RUNNING, 161), (CYCLING, 80.5)])
def test_strides_of_a_run_are_two_steps(sport: int, expected: float) -> None:
    fields = [*fb.RECORD, (53, fb.UINT8, 1)]
    content = fb.message(0, 20, fields, (START, 120, 80, 64))
    samples = read_fit(fb.fit_file(content, fb.session(sport))).samples
    assert samples["cadence_per_min"].tolist() == [expected]


def test_timestamps_in_record_headers_count_on_from_any_message() -> None:
    event = fb.message(2, 21, [(253, fb.UINT32, 1), (0, fb.ENUM, 1)], (START, 0))
    heart_rate = [(3, fb.UINT8, 1)]
    low = START & 31
    contents = [event, fb.definition(1, 20, heart_rate)]
    for offset in (1, 2, 33):  # the last one rolls over
        header = 0x80 | 1 << 5 | (low + offset) & 31
        contents.append(fb.data(1, heart_rate, 100, header=header))
    samples = read_fit(fb.fit_file(*contents)).samples
    # 33 s on has the five bits of 1 s on: the first such time after 2 s on.
    assert seconds(samples["time"]) == [START + 1, START + 2, START + 33]


def test_intervals_follow_each_other_from_the_record_before() -> None:
    hrv = [(0, fb.UINT16, 5)]
    invalid = 65535
    export = read_fit(
        fb.fit_file(
            fb.message(1, 78, hrv, (700, invalid, invalid, invalid, invalid)),
            fb.records((START, 75, 255)),
            fb.message(1, 78, hrv, (800, 810, invalid, invalid, invalid)),
            fb.records((START + 2, 75, 255)),
            fb.message(1, 78, hrv, (790, invalid, invalid, invalid, invalid)),
        )
    )
    beats = export.beats
    assert beats["rr_ms"].tolist() == [700, 800, 810, 790]
    assert beats["elapsed_s"].tolist() == pytest.approx([0.7, 1.5, 2.31, 3.1])
    assert beats["time"].isna().tolist() == [True, False, False, False]
    ends = seconds(beats["time"][1:])
    assert ends == pytest.approx([START + 0.8, START + 1.61, START + 2.4])
    assert export.remarks == ()


def test_missing_beats_set_the_intervals_to_the_clock_anew() -> None:
    hrv = [(0, fb.UINT16, 1)]
    export = read_fit(
        fb.fit_file(
            fb.records((START, 75, 255)),
            fb.message(1, 78, hrv, (800,)),
            fb.records((START + 10, 75, 255)),
            fb.message(1, 78, hrv, (800,), (800,)),
        )
    )
    ends = seconds(export.beats["time"])
    assert ends == pytest.approx([START + 0.8, START + 10.8, START + 11.6])
    assert "came apart 1 time," in export.remarks[0]


def packed(*numbers: int) -> list[int]:
    """Numbers of 12 bits as bytes, lowest bits first."""
    whole = sum(number << 12 * place for place, number in enumerate(numbers))
    return list(whole.to_bytes(len(numbers) * 3 // 2, "little"))


def test_packed_heart_rates_have_their_own_clock() -> None:
    ticks = 5 * 4096 + 4000
    tie = [(253, fb.UINT32, 1), (0, fb.UINT16, 1), (9, fb.UINT32, 1), (6, fb.UINT8, 1)]
    more = [(6, fb.UINT8, 4), (10, fb.BYTE, 6)]
    offsets = [1024, 2048, 2048 + 4000, 2048 + 4000]  # rolls over twice; a repeat stays
    content = fb.message(3, 132, tie, (START, 16384, ticks, 70)) + fb.message(
        4, 132, more, (71, 72, 255, 74, *packed(*((ticks + o) & 4095 for o in offsets)))
    )
    samples = read_fit(fb.fit_file(fb.records((START, 255, 255)), content)).samples
    assert samples["heart_rate_bpm"].fillna(-1).tolist() == [-1, 70, 71, 72, -1, 74]
    assert seconds(samples["time"][1:]) == pytest.approx(
        [START + 0.5 + offset / 1024 for offset in (0, *offsets)], abs=0.0006
    )


def test_monitoring_times_of_16_bits_roll_over() -> None:
    whole, short = [(253, fb.UINT32, 1)], [(26, fb.UINT16, 1), (27, fb.UINT8, 1)]
    rows = [((START + offset) & 0xFFFF, 60) for offset in (60, 40_000, 80_000)]
    content = fb.message(0, 103, whole, (START,)) + fb.message(1, 55, short, *rows)
    samples = read_fit(fb.fit_file(content)).samples
    assert seconds(samples["time"]) == [START + 60, START + 40_000, START + 80_000]


def test_chained_files_are_read_one_after_the_other() -> None:
    run = fb.fit_file(fb.records((START, 100, 80)), fb.session(RUNNING))
    ride = fb.fit_file(fb.records((START + 5, 101, 80)), fb.session(CYCLING))
    export = read_fit(run + ride)
    samples = export.samples
    assert export.remarks == ()
    assert samples["heart_rate_bpm"].tolist() == [100, 101]
    assert samples["cadence_per_min"].tolist() == [160, 80]


def test_what_a_file_says_of_its_unit_and_in_its_own_words_is_for_deciding_only() -> None:
    identity = fb.message(
        2, 0, [(1, fb.UINT16, 1), (3, fb.UINT32, 1), (8, fb.STRING, 8)], (255, 987654321, b"Widget")
    )
    data = fb.fit_file(identity, fb.records((START, 60, 255)))
    found = identity_in(BytesIO(data))
    assert (found.product, found.serial, found.listed) == ("Widget", "987654321", None)
    kept = repr(read_fit(data))
    assert "987654321" not in kept and "Widget" not in kept


def test_a_device_is_listed_by_the_words_and_numbers_of_the_profile() -> None:
    """Never by its own words. Made from the FIT profile as fitdecode has it."""
    makers = FIELD_TYPES["manufacturer"].enum
    kind = next(name for name in FIELD_TYPES if name.endswith("_product"))
    beginning = kind.removesuffix("product")
    maker = next(number for number, name in makers.items() if name.startswith(beginning))
    for number, word in list(FIELD_TYPES[kind].enum.items())[-3:]:
        fields = [(1, fb.UINT16, 1), (2, fb.UINT16, 1), (8, fb.STRING, 8)]
        identity = fb.message(2, 0, fields, (maker, number, b"Mias 1"))
        data = fb.fit_file(identity, fb.records((START, 60, 255)))
        found = identity_in(BytesIO(data))
        assert (found.listed, found.product) == (f"{makers[maker]} {word}", "Mias 1")


@pytest.mark.parametrize(("maker", "product"), [(300, 22), (260, 0), (1, 60_000)])
def test_a_product_that_the_profile_does_not_list_is_told_by_its_numbers(
    maker: int, product: int
) -> None:
    """Numbers of makers and products that fitdecode's profile has no word for."""
    identity = fb.message(2, 0, [(1, fb.UINT16, 1), (2, fb.UINT16, 1)], (maker, product))
    found = identity_in(BytesIO(fb.fit_file(identity, fb.records((START, 60, 255)))))
    assert (found.listed, found.unlisted) == (None, (maker, product))


def test_positions_are_not_even_decoded() -> None:
    fields = [(253, fb.UINT32, 1), (0, fb.SINT32, 1), (1, fb.SINT32, 1), (3, fb.UINT8, 1)]
    content = fb.fit_file(fb.message(0, 20, fields, (START, 123456789, 987654321, 60)))
    wanted = {20: frozenset({TIMESTAMP, 3})}
    messages = [message for message in FitStream(content, wanted) if message]
    assert [set(message.values.values()) for message in messages] == [{START, 60, None}]


def test_times_since_switching_on_are_only_elapsed() -> None:
    export = read_fit(fb.fit_file(fb.records((500, 60, 255), (503, 61, 255))))
    assert export.clock == "elapsed"
    assert export.samples["elapsed_s"].tolist() == [0, 3]
    assert export.samples["time"].isna().all()


def test_a_wrong_checksum_is_told_and_the_content_used() -> None:
    content = bytearray(fb.fit_file(fb.records((START, 60, 255))))
    content[-1] ^= 0xFF
    export = read_fit(bytes(content))
    assert len(export.samples) == 1
    assert export.remarks == ("The file's checksum is wrong: some of its values may be damaged.",)


def test_a_file_without_records_is_refused() -> None:
    with pytest.raises(UnreadableExport, match="holds no records"):
        read_fit(fb.fit_file(fb.session(RUNNING)))


def test_a_file_cut_anywhere_gives_what_came_before_or_a_reason() -> None:
    rows = [(START + second, 60 + second, 255) for second in range(5)]
    whole = fb.fit_file(fb.records(*rows), fb.session(CYCLING))
    counts = []
    for length in range(len(whole)):
        try:
            export = read_fit(whole[:length])
        except UnreadableExport as reason:
            assert str(reason).endswith(".")
            counts.append(0)
            continue
        counts.append(len(export.samples))
        assert export.samples["heart_rate_bpm"].tolist() == [60 + n for n in range(counts[-1])]
        assert export.broken_off.startswith("The file breaks off after ")
    assert counts == sorted(counts)
    assert set(counts) == set(range(6))


def local_time(offset: int) -> bytes:
    return fb.message(5, 34, [(253, fb.UINT32, 1), (5, fb.UINT32, 1)], (START, START + offset))


@pytest.mark.parametrize(
    ("offset", "expected"),
    [(7200, 7200), (-12_600, -12_600), (3598, 3600), (0, 0), (400, None), (90_000, None)],
)
def test_the_activity_tells_the_offset_from_utc(offset: int, expected: int | None) -> None:
    export = read_fit(fb.fit_file(fb.records((START, 60, 255)), local_time(offset)))
    assert export.utc_offset_s == expected
    assert export.clock == "utc"


def test_a_monitoring_file_tells_the_offset_from_utc() -> None:
    info = fb.message(5, 103, [(253, fb.UINT32, 1), (0, fb.UINT32, 1)], (START, START + 3600))
    assert read_fit(fb.fit_file(info, fb.records((START, 60, 255)))).utc_offset_s == 3600


DEVICE: fb.Fields = [(0, fb.UINT8, 1), (25, fb.ENUM, 1), (1, fb.UINT8, 1), (5, fb.UINT16, 1)]


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ((1, 1, 120, 100), "over ANT+"),
        ((1, 255, 120, 100), "over ANT+"),
        ((1, 3, 1, 100), "over Bluetooth"),
        ((1, 5, 10, 100), None),  # the watch's own sensor
        ((1, 1, 11, 100), None),  # a power meter
        ((0, 1, 120, 100), None),  # a strap that wrote the file itself
    ],
)
def test_a_connected_heart_rate_sensor_is_told(row: tuple[int, ...], expected: str | None) -> None:
    content = fb.message(3, 23, DEVICE, (0, 5, 0, 520), row)
    export = read_fit(fb.fit_file(content, fb.records((START, 60, 255))))
    assert export.firmware == ("1.00" if row[0] == 0 else "5.20")
    sensor = export.external_sensor
    assert sensor == (f"a heart-rate sensor connected {expected}" if expected else None)


def test_the_creator_of_the_file_tells_its_version_if_the_device_does_not() -> None:
    content = fb.message(3, 49, [(0, fb.UINT16, 1)], (1520,))
    assert read_fit(fb.fit_file(content, fb.records((START, 60, 255)))).firmware == "1520"


def developer(name: bytes, native: int, own: int) -> bytes:
    """Records with a heart rate of their own and one in a developer's field."""
    fields = [(n, fb.UINT8, 1) for n in (0, 1, 2, 15)]
    told = fb.message(0, 207, [(3, fb.UINT8, 1)], (0,)) + fb.message(
        0, 206, [*fields, (3, fb.STRING, 16)], (0, 253, fb.UINT8, native, name)
    )
    told += fb.message(0, 206, [*fields, (3, fb.STRING, 16)], (0, 7, fb.UINT8, native, name))
    plain = bytearray(fb.definition(1, 20, [(253, fb.UINT32, 1), (3, fb.UINT8, 1)]))
    plain[0] |= 0x20
    rows = (
        bytes([1]) + (START + n).to_bytes(4, "little") + bytes([own, 9, 90 + n]) for n in (0, 1)
    )
    return told + plain + b"\x02\xfd\x01\x00\x07\x01\x00" + b"".join(rows)


@pytest.mark.parametrize(("name", "native"), [(b"Heart Rate", 255), (b"pulse", 255), (b"any", 3)])
def test_heart_rates_only_in_a_developers_field_are_used_and_told(name: bytes, native: int) -> None:
    export = read_fit(fb.fit_file(developer(name, native, own=255)))
    assert export.samples["heart_rate_bpm"].tolist() == [90, 91]
    assert seconds(export.samples["time"]) == [START, START + 1]
    assert "an app added" in export.remarks[0]


def test_a_developers_field_does_not_replace_the_records_own() -> None:
    export = read_fit(fb.fit_file(developer(b"heart_rate", 3, own=60)))
    samples = export.samples
    assert samples.loc[samples["stream"] == 1, "heart_rate_bpm"].tolist() == [60, 60]
    assert samples.loc[samples["stream"] == 2, "heart_rate_bpm"].tolist() == [90, 91]
    assert export.remarks == ()
    assert "an app added" in export.streams[1].source
    other = read_fit(fb.fit_file(developer(b"power", 255, own=255)))
    assert other.samples["heart_rate_bpm"].isna().all()


def test_a_file_whose_device_died_before_its_length_was_written_is_used() -> None:
    content = bytearray(fb.fit_file(fb.records((START, 60, 255), (START + 1, 61, 255))))
    content[4:8] = bytes(4)
    export = read_fit(bytes(content[:-2]))
    assert export.samples["heart_rate_bpm"].tolist() == [60, 61]
    assert "breaks off" in export.broken_off


@pytest.mark.parametrize("length", [1, 20, 10_000, 0xFFFFFFFF])
def test_a_length_that_lies_gives_what_is_there(length: int) -> None:
    content = bytearray(fb.fit_file(fb.records((START, 60, 255), (START + 1, 61, 255))))
    content[4:8] = length.to_bytes(4, "little")
    try:
        export = read_fit(bytes(content))
    except UnreadableExport as reason:
        assert str(reason).endswith(".")
    else:
        assert export.broken_off or export.remarks


def test_times_pass_as_stated_however_they_run() -> None:
    year = 31_536_000
    offsets = [0, 5, 5, 3, year, -year, 6]
    rows = [(START + offset, 60, 255) for offset in offsets]
    samples = read_fit(fb.fit_file(fb.records(*rows))).samples
    assert seconds(samples["time"]) == [START + offset for offset in offsets]


def test_of_a_field_stated_twice_the_first_counts() -> None:
    fields = [(253, fb.UINT32, 1), (3, fb.UINT8, 1), (3, fb.UINT8, 1)]
    samples = read_fit(fb.fit_file(fb.message(0, 20, fields, (START, 60, 70)))).samples
    assert samples["heart_rate_bpm"].tolist() == [60]


def test_the_sport_is_not_taken_from_the_times_beside_it() -> None:
    fields = [(253, fb.UINT32, 1), (2, fb.UINT32, 1), (5, fb.ENUM, 1)]
    session = fb.message(1, 18, fields, (10**9, 10**9, RUNNING))
    record = fb.message(0, 20, fb.RECORD, (10**9, 120, 80))
    assert identity_in(BytesIO(fb.fit_file(record, session))).sport == "running"
