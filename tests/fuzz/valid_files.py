"""A small valid file of every format, to be damaged."""

import gzip
import io
import json
import struct
import zipfile

from PIL import Image, ImageDraw

from strapline.ground.records.picture import Picture
from strapline.reading.formats import Hints
from unit.formats import fit_bytes as fb

START = 1_000_000_000
_SECONDS = range(6)


def _fit() -> bytes:
    identity = fb.message(
        2,
        0,
        [(1, fb.UINT16, 1), (3, fb.UINT32, 1), (8, fb.STRING, 8)],
        (255, 987654321, b"Widget"),
    )
    device: fb.Fields = [(0, fb.UINT8, 1), (25, fb.ENUM, 1), (1, fb.UINT8, 1), (5, fb.UINT16, 1)]
    devices = fb.message(3, 23, device, (0, 5, 0, 520), (1, 1, 120, 100))
    intervals = fb.message(4, 78, [(0, fb.UINT16, 2)], (800, 65535))
    local = fb.message(5, 34, [(253, fb.UINT32, 1), (5, fb.UINT32, 1)], (START, START + 7200))
    records = [(START + second, 60 + second, 80) for second in _SECONDS]
    return fb.fit_file(
        identity, devices, fb.records(*records), intervals, local, fb.session(1)
    ) + fb.fit_file(_developer_heart_rate(), _heart_rate_messages(), _monitoring())


def _developer_heart_rate() -> bytes:
    number = struct.Struct("<BBB")
    named: fb.Fields = [(0, fb.UINT8, 1), (1, fb.UINT8, 1), (2, fb.UINT8, 1), (3, fb.STRING, 12)]
    told = fb.message(0, 207, [(3, fb.UINT8, 1)], (0,)) + fb.message(
        0, 206, named, (0, 7, fb.UINT8, b"heart_rate")
    )
    plain = bytearray(fb.definition(1, 20, [(253, fb.UINT32, 1)]))
    plain[0] |= 0x20
    rows = (struct.pack("<BIB", 1, START + second, 90 + second) for second in _SECONDS)
    return told + bytes(plain) + b"\x01" + number.pack(7, 1, 0) + b"".join(rows)


def _heart_rate_messages() -> bytes:
    tie: fb.Fields = [(253, fb.UINT32, 1), (9, fb.UINT32, 1), (6, fb.UINT8, 1)]
    more: fb.Fields = [(6, fb.UINT8, 2), (10, fb.BYTE, 3)]
    first = fb.message(3, 132, tie, (START, 4096, 70))
    return first + fb.message(4, 132, more, (71, 72, 0, 4, 64))


def _monitoring() -> bytes:
    whole: fb.Fields = [(253, fb.UINT32, 1), (0, fb.UINT32, 1)]
    short: fb.Fields = [(26, fb.UINT16, 1), (27, fb.UINT8, 1)]
    rows = [((START + 60 * minute) & 0xFFFF, 60) for minute in _SECONDS]
    return fb.message(5, 103, whole, (START, START + 3600)) + fb.message(6, 55, short, *rows)


def _tcx() -> str:
    points = "".join(
        f"<Trackpoint><Time>2024-05-31T10:00:0{second}Z</Time><HeartRateBpm><Value>{60 + second}"
        "</Value></HeartRateBpm><Cadence>80</Cadence></Trackpoint>"
        for second in _SECONDS
    )
    return (
        '<?xml version="1.0"?><TrainingCenterDatabase xmlns="urn:any"><Activities>'
        f'<Activity Sport="Biking"><Lap><Track>{points}</Track></Lap><Creator><Name>Widget</Name>'
        "<Version><VersionMajor>4</VersionMajor><VersionMinor>2</VersionMinor></Version>"
        "</Creator></Activity></Activities></TrainingCenterDatabase>"
    )


def _gpx() -> str:
    points = "".join(
        f'<trkpt lat="1" lon="2"><time>2024-05-31T12:00:0{second}+02:00</time><extensions>'
        f"<e:hr>{60 + second}</e:hr><e:cad>80</e:cad></extensions></trkpt>"
        for second in _SECONDS
    )
    return (
        '<?xml version="1.0"?><gpx creator="Anyone 1.2" xmlns="urn:any" xmlns:e="urn:e">'
        f"<trk><type>run</type><trkseg>{points}</trkseg></trk></gpx>"
    )


def _picture() -> bytes:
    """A dark frame and a red curve in it on white."""
    screen = Image.new("RGB", (110, 90), "white")
    pen = ImageDraw.Draw(screen)
    pen.rectangle((10, 10, 100, 80), outline="#303840")
    pen.line([(12, 60), (40, 30), (70, 50), (98, 25)], fill="#c2334d", width=2)
    kept = io.BytesIO()
    screen.save(kept, "PNG")
    return kept.getvalue()


def _zip(content: bytes) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("../../folder/export", content)
        archive.writestr("read me.txt", "words")
    return packed.getvalue()


def _files() -> dict[str, bytes]:
    rows = [(f"2024-05-31T10:00:0{second}", 60 + second) for second in _SECONDS]
    csv = "Made by nobody\n\ntime,hr,rr\n" + "".join(f"{t}Z,{hr},8{hr}\n" for t, hr in rows)
    german = "Datum;Uhrzeit;Herzfrequenz (bpm);Puls rechts\n" + "".join(
        f"31.05.2024;{time[11:]};{hr},5;-\n" for time, hr in rows
    )
    american = "time\thr\n" + "".join(f"05/31/2024 1{time[12:]} PM\t{hr}\n" for time, hr in rows)
    elapsed = "elapsed,heart rate left,heart rate right\n" + "".join(
        f"0:0{second},{60 + second},{61 + second}\n" for second in _SECONDS
    )
    spaces = "time    heart rate    end time\n" + "".join(
        f"{time}Z  {hr}  {time}Z\n" for time, hr in rows
    )
    long = [{"type": "HeartRate", "at": time, "value": f"{hr} count/min"} for time, hr in rows]
    records = [{"time": time, "data": {"heartRate": hr}} for time, hr in rows]
    columns = {"times": list(_SECONDS), "heart_rates": [60 + second for second in _SECONDS]}
    pairs = {"heart_rate": [{"t": second, "v": 60 + second} for second in _SECONDS]}
    return {
        "fit": _fit(),
        "tcx": _tcx().encode(),
        "gpx": _gpx().encode("utf-16"),
        "csv": csv.encode(),
        "csv german": german.encode("latin-1"),
        "csv american": american.encode("utf-16-le"),
        "csv elapsed": elapsed.encode("utf-8-sig"),
        "rr": b"".join(b"8%d\n" % hr for _, hr in rows),
        "json records": json.dumps({"laps": [{"points": records}]}).encode(),
        "json columns": json.dumps(columns).encode(),
        "json pairs": json.dumps(pairs).encode(),
        "csv spaces": spaces.encode(),
        "csv long": ("time;what;value\n" + "".join(f"{t}Z;HR;{hr}\n" for t, hr in rows)).encode(),
        "csv strokes": elapsed.replace(",", " | ").encode(),
        "json long": json.dumps(long).encode(),
        "json lines": "".join(f"{json.dumps(record)}\n" for record in records).encode(),
        "picture": _picture(),
        "gzip": gzip.compress(csv.encode(), mtime=0),
        "zip": _zip(_fit()),
    }


FILES = _files()
# What a card says of them, where a file does not say it.
HINTS = Hints(picture=Picture(left=0, right=600, bottom=60, top=180))
