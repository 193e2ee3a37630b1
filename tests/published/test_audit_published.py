"""Audit files against figures we did not make. The source stands beside each check."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.errors import Refused
from partsbin.exchange.audit import read_audit_file
from partsbin.exchange.audit_frame import crc16_arc
from partsbin.exchange.audit_sales import compare

SAMPLES = Path(__file__).parents[1] / "data" / "audit"


def test_check_value_of_the_algorithm() -> None:
    """Catalogue of parametrised CRC algorithms, CRC-16/ARC: check 0xBB3D over the digits 1 to 9; residue 0."""
    assert crc16_arc(b"123456789") == 0xBB3D
    assert crc16_arc(b"123456789" + bytes([0x3D, 0xBB])) == 0
    assert crc16_arc(b"") == 0


# Synthetic files made and sealed by another program; three files of real machines gave the same answer for what the
# check covers: from the S of ST through the line end before G85, line ends as CR LF, most significant byte first.
@pytest.mark.parametrize(
    ("name", "check", "segments", "vends"),
    [("ok", 0x3A4D, 96, 3737), ("after_reset", 0x5166, 96, 3897), ("board_swapped", 0x60C5, 96, 211)],
)
def test_samples_sealed_elsewhere(name: str, check: int, segments: int, vends: int) -> None:
    data = (SAMPLES / f"{name}.dex").read_bytes()
    body = data[data.index(b"ST*") : data.index(b"G85*")]
    assert crc16_arc(body) == check
    assert body.count(b"\r\n") + 2 == segments
    reading = read_audit_file(SAMPLES / f"{name}.dex")
    assert reading.warnings == ()
    assert reading.vends == vends
    assert sum(s.sold or 0 for s in reading.selections) == vends
    assert sum(s.value or 0 for s in reading.selections) == reading.value


def test_two_readings_agree_with_the_machines_own_total() -> None:
    """The machine's total of paid vends rose from 3737 to 3897 between the two readings."""
    sold = compare(read_audit_file(SAMPLES / "ok.dex"), read_audit_file(SAMPLES / "after_reset.dex"))
    assert sold.units == 3897 - 3737
    later = read_audit_file(SAMPLES / "after_reset.dex")
    assert all(s.sold_since_reset == sold.by_selection()[s.number] for s in later.selections)


def test_damaged_sample_is_refused() -> None:
    with pytest.raises(Refused, match="check value 0000 where the content gives 3A4D"):
        read_audit_file(SAMPLES / "bad_crc.dex")
