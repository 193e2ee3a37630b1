from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.exchange.audit import read_audit, read_audit_file, read_audit_folder, read_stamp
from partsbin.exchange.audit_frame import MOST_BYTES, crc16_arc

SAMPLES = Path(__file__).parents[1] / "data" / "audit"
OK = (SAMPLES / "ok.dex").read_bytes()


def sealed(*lines: str, end: str = "\r\n") -> bytes:
    """An audit file around ``lines`` with a right check value and segment count."""
    body = ["ST*001*0001", *lines]
    crc = crc16_arc("".join(f"{line}\r\n" for line in body).encode("latin-1"))
    tail = [f"G85*{crc:04X}", f"SE*{len(body) + 2}*0001", "DXE*1*1"]
    return "".join(line + end for line in ["DXS*TST0000001*VA*V0/6*1", *body, *tail]).encode("latin-1")


def test_the_fields_the_desk_needs() -> None:
    reading = read_audit(OK)
    assert (reading.asset, reading.serial, reading.model) == ("A0417", "TST00000100", "COILVEND-40")
    assert (reading.currency, reading.decimals) == ("USD", 2)
    assert reading.read_at == datetime(2026, 3, 2, 8, 15)
    assert (reading.vends, reading.value, reading.reads) == (3737, 865925, 44)
    first = reading.selections[0]
    assert (first.number, first.price, first.product, first.sold, first.value) == ("10", 175, "CAN355", 82, 14350)
    assert [(t.value, t.count) for t in reading.tubes] == [(5, 62), (10, 40), (25, 11), (100, 0)]
    board = reading.device("control board")
    assert board is not None
    assert (board.serial, board.revision) == ("TSTB000042", "0310")
    assert reading.checked


def test_active_events_only_and_their_detail() -> None:
    reading = read_audit_file(SAMPLES / "events_active.dex")
    assert [(e.code, e.detail, e.count) for e in reading.active_events] == [("EJB", "34", 3), ("EJL", "", 1)]
    assert [e.code for e in reading.events] == ["EJB", "END", "EJL"]
    assert reading.events[0].last_at == datetime(2026, 3, 1, 14, 12)


def test_lost_carriage_returns_are_mended_and_it_stays_the_same_reading() -> None:
    mended = read_audit_file(SAMPLES / "ok_lf_only.dex")
    assert "carriage returns" in mended.warnings[0]
    assert mended.fingerprint == read_audit(OK).fingerprint
    assert mended.selections == read_audit(OK).selections


def test_swapped_check_and_wrong_count_are_warned_not_refused() -> None:
    assert "bytes swapped" in read_audit_file(SAMPLES / "crc_byteswapped.dex").warnings[0]
    assert "says 77, the file holds 96" in read_audit_file(SAMPLES / "wrong_se.dex").warnings[0]


def test_bad_check_is_refused_unless_taken_at_someones_word() -> None:
    bad = (SAMPLES / "bad_crc.dex").read_bytes()
    with pytest.raises(Refused, match="damaged on the way"):
        read_audit(bad)
    reading = read_audit(bad, accept_bad_check=True)
    assert not reading.checked
    assert "taken all the same" in reading.warnings[0]


@pytest.mark.parametrize("kept", [30, 987, 1900, len(OK) - 20, len(OK) - 12])
def test_truncated_is_said(kept: int) -> None:
    with pytest.raises(Refused, match="stops in line"):
        read_audit(OK[:kept] if kept > 100 else OK[: OK.index(b"ID1") + 5])


def test_names_of_the_file_stand_in_the_refusal(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"truncated\.dex stops in line 50"):
        read_audit_file(SAMPLES / "truncated.dex")
    with pytest.raises(Refused, match=r"cannot read gone\.dex"):
        read_audit_file(tmp_path / "gone.dex")


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\n\n\n", "no vending audit file"),
        (b"hello\nworld\n", "no vending audit file"),
        (b"PA1*10*175\r\nPA2*3*525\r\n", "no opening ST"),
        (OK + OK, "more than one reading"),
        (OK.replace(b"G85*3A4D\r\n", b""), "no check value"),
        (b"ST*001*0001\r\n" + b"PA1*1\r\n" * 21_000, "more than 20000 lines"),
        (b"x" * (MOST_BYTES + 1), "1.0 MB"),
    ],
)
def test_what_is_no_reading_is_refused(data: bytes, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_audit(data)


def test_fifty_megabytes_of_noise_are_refused_unread(tmp_path: Path) -> None:
    noise = tmp_path / "noise.dex"
    with noise.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(Refused, match=r"50\.0 MB; an audit file is a few kB"):
        read_audit_file(noise)


def test_sales_belong_to_the_selection_before_them() -> None:
    reading = read_audit(sealed("PA2*9*900", "PA1*A1*150*COLA*12", "PA2*4*600", "PA3*2", "PA1*A2*150****1*1", "PA4*1"))
    one, two = reading.selections
    assert (one.sold, one.value, one.tests, one.capacity) == (4, 600, 2, 12)
    assert (two.sold, two.free, two.disabled) == (None, 1, True)
    assert "before any selection" in reading.warnings[0]


def test_a_selection_listed_twice_keeps_its_first_figures() -> None:
    reading = read_audit(sealed("PA1*1*150", "PA2*4*600", "PA1*001*150", "PA2*9*999"))
    assert [(s.number, s.sold) for s in reading.selections] == [("1", 4)]
    assert [("twice" in warning) for warning in reading.warnings] == [True]


def test_figures_that_are_none_are_left_out_with_a_warning() -> None:
    reading = read_audit(sealed("ID5*20261332*0815", "PA1*1*cheap", "PA2*-4*12.5", "VA1*9*99999999999999999"))
    assert reading.read_at is None
    assert (reading.selections[0].price, reading.selections[0].sold, reading.vends) == (None, None, None)
    assert len(reading.warnings) == 5


@pytest.mark.parametrize(
    ("day", "clock", "read"),
    [
        ("20260302", "081500", datetime(2026, 3, 2, 8, 15)),
        ("260302", "0815", datetime(2026, 3, 2, 8, 15)),
        ("260302", "", datetime(2026, 3, 2)),
        ("260230", "0815", None),
        ("260302", "2575", None),
        ("", "", None),
        ("2603020", "0815", None),
        ("２６０３０２", "0815", None),
    ],
)
def test_both_forms_of_date(day: str, clock: str, read: datetime | None) -> None:
    assert read_stamp(day, clock) == read


def test_padding_noise_before_the_set_and_a_stray_end_of_file_mark() -> None:
    data = b"MC5*junk\r\n" + sealed("ID1*  S1 *M***** A0422 ".replace("*****", "****"), "EA2*OPEN ST *1*2**1") + b"\x1a"
    reading = read_audit(data)
    assert reading.serial == "S1"
    assert reading.events[0].raw == "OPEN ST"


def test_a_folder_gives_each_set_once_and_says_what_it_refused() -> None:
    readings, refused = read_audit_folder(SAMPLES)
    assert len({r.fingerprint for r in readings}) == len(readings) == 4
    assert [r.read_at for r in readings] == sorted(r.read_at or datetime.min for r in readings)
    assert any("bad_crc.dex" in text for text in refused)
    assert any("truncated.dex" in text for text in refused)
    with pytest.raises(Refused, match="no folder"):
        read_audit_folder(SAMPLES / "ok.dex")


@settings(max_examples=60, deadline=None)
@given(at=st.integers(0, len(OK) - 1), byte=st.integers(0, 255), cut=st.integers(0, 40), accept=st.booleans())
def test_damage_is_refused_or_read_and_never_a_crash(at: int, byte: int, cut: int, accept: bool) -> None:
    damaged = OK[:at] + bytes([byte]) + OK[at + 1 + cut :]
    try:
        reading = read_audit(damaged, accept_bad_check=accept)
    except Refused:
        return
    assert all(s.sold is None or s.sold >= 0 for s in reading.selections)
    if reading.checked:
        start = damaged.index(b"ST*")
        body, stated = damaged[start:].split(b"G85*")[:2]
        crc = crc16_arc(b"\r\n".join(line for line in body.splitlines() if line.strip()) + b"\r\n")
        assert stated[:4].upper().decode() in {f"{crc:04X}", f"{crc:04X}"[2:] + f"{crc:04X}"[:2]}


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300) | st.binary(max_size=200).map(lambda b: b"ST*1*1\n" + b + b"\nG85*0\nSE*1\nDXE*1"))
def test_noise_is_refused_or_read(data: bytes) -> None:
    try:
        read_audit(data, accept_bad_check=True)
    except Refused as refusal:
        assert str(refusal)
