"""Printing over IPP: against the stand-in printer inside this process, and against ippeveprinter where that can run.

The stand-in shows every way of failing; the real printer program shows that the bytes are IPP.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

import pytest
import real_printer
from reading import pdf_of
from stand_in_printer import Behaviour, printer

from partsbin.errors import Refused
from partsbin.printing import ipp
from partsbin.printing.ipp_message import NotIpp, answer
from partsbin.printing.label_kinds import BinLabel
from partsbin.printing.stock import load_stock

PDF = pdf_of([BinLabel("A-03-07-2")], load_stock("roll-2x1"))


def no_wait(_: float) -> None:
    return None


@pytest.fixture
def stand_in() -> Iterator[tuple[str, Behaviour]]:
    with printer() as (uri, behaviour, _):
        yield uri, behaviour


def test_a_job_arrives_whole_and_is_followed_to_done(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    job = ipp.send(PDF, uri, "bins of aisle A", copies=2, media_mm=(50.8, 25.4))
    (given, document), *_ = behaviour.jobs
    assert document == PDF
    assert given["job-name"] == b"bins of aisle A"
    assert given["document-format"] == b"application/pdf"
    assert given["print-scaling"] == b"none"
    assert given["copies"] == struct.pack(">i", 2)
    assert (given["x-dimension"], given["y-dimension"]) == (struct.pack(">i", 5080), struct.pack(">i", 2540))
    told: list[str] = []
    end = ipp.follow(job, tell=lambda state: told.append(state.word), sleep=no_wait)
    assert end.printed and told == ["waiting in the printer", "printing", "printed"]


def test_what_a_printer_does_not_know_is_not_asked_of_it(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.scaling = behaviour.copies = False
    ipp.send(PDF, uri, "bins")
    assert not {"print-scaling", "copies", "media-size"} & set(behaviour.jobs[0][0])
    with pytest.raises(Refused, match="one copy at a time; send the job 3 times"):
        ipp.send(PDF, uri, "bins", copies=3)


def test_a_size_the_printer_has_not_got_is_left_to_its_tray_and_told(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.known_size = False
    job = ipp.send(PDF, uri, "bins", media_mm=(50.8, 25.4))
    assert "x-dimension" not in behaviour.jobs[0][0]
    assert job.note == "stand-in knows no labels of 50.8 x 25.4 mm; see that the right stock is loaded"


def test_a_busy_printer_is_asked_again(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.busy_times = 3
    waits: list[float] = []
    assert ipp.send(PDF, uri, "bins", sleep=waits.append).number == 1
    assert waits == [1.0, 2.0, 4.0] and len(behaviour.jobs) == 1


def test_a_printer_busy_for_long_is_told(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.busy_times = 99
    with pytest.raises(Refused, match=r"stand-in has been busy for \d+ s\. The job is kept"):
        ipp.send(PDF, uri, "bins", busy_seconds=10, sleep=no_wait)
    assert behaviour.jobs == []


@pytest.mark.parametrize(
    ("status", "says"),
    [(0x0403, "may not print there"), (0x040A, "does not take PDF"), (0x0506, "takes no jobs"), (0x05FF, "0x05ff")],
)
def test_a_refusing_printer_is_told_in_words(stand_in: tuple[str, Behaviour], status: int, says: str) -> None:
    uri, behaviour = stand_in
    behaviour.print_status = status
    with pytest.raises(Refused, match=says):
        ipp.send(PDF, uri, "bins")


def test_a_printer_that_takes_no_jobs_says_why(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.accepting, behaviour.printer_reasons = False, ("media-empty-error", "cover-open", "x-own-thing")
    with pytest.raises(Refused, match=r"out of labels or paper, cover open, x own thing"):
        ipp.send(PDF, uri, "bins")


def test_a_printer_without_pdf_is_named(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.formats = ("image/pwg-raster", "image/urf")
    with pytest.raises(Refused, match=r"takes no PDF, only image/pwg-raster, image/urf"):
        ipp.send(PDF, uri, "bins")


@pytest.mark.parametrize(
    ("states", "word", "reasons"),
    [
        ([(5, "job-printing"), (8, "aborted-by-system")], "given up by the printer", ("given up by the printer",)),
        ([(7, "job-canceled-at-device")], "cancelled", ("cancelled at the printer",)),
        ([(6, "media-empty"), (9, "job-completed-successfully")], "printed", ()),
    ],
)
def test_how_a_job_ends(
    stand_in: tuple[str, Behaviour], states: list[tuple[int, str]], word: str, reasons: tuple[str, ...]
) -> None:
    uri, behaviour = stand_in
    behaviour.job_states = states
    end = ipp.follow(ipp.send(PDF, uri, "bins"), sleep=no_wait)
    assert (end.word, end.reasons, end.finished, end.printed) == (word, reasons, True, word == "printed")


def test_following_ends_when_patience_does(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.job_states = [(6, "media-empty")]
    end = ipp.follow(ipp.send(PDF, uri, "bins"), patience=3, sleep=no_wait)
    assert not end.finished and end.sentence() == "stopped while printing: out of labels or paper"


def test_a_printer_that_vanishes_before_the_job_keeps_it() -> None:
    with printer() as (uri, _, _):
        pass
    with pytest.raises(Refused, match=r"cannot be reached .*switched on and on this network; the job is kept"):
        ipp.send(PDF, uri, "bins")


def test_a_printer_that_vanishes_while_the_job_is_sent(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.hang_up_on = "print"
    with pytest.raises(Refused, match="look whether labels came out first"):
        ipp.send(PDF, uri, "bins")


def test_a_printer_that_vanishes_mid_job(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    job = ipp.send(PDF, uri, "bins")
    behaviour.hang_up_on = "job"
    with pytest.raises(Refused, match=r"The job was sent, then the printer was lost. .*Look at what came out"):
        ipp.follow(job, sleep=no_wait)


def test_a_short_loss_is_ridden_out(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    job = ipp.send(PDF, uri, "bins")
    behaviour.hang_up_on = "job"
    polls = iter(range(9))

    def back_after_two(_: float) -> None:
        if next(polls) == 1:
            behaviour.hang_up_on = ""

    assert ipp.follow(job, sleep=back_after_two).printed


@pytest.mark.parametrize("uri", ["", "printer", "ftp://printer/", "ipp://", "ipp:///x", "ipp://[x", "ipp://h:99999/"])
def test_an_address_that_is_none(uri: str) -> None:
    with pytest.raises(Refused, match="should look like ipp://"):
        ipp.look(uri)


def test_something_else_at_the_address(stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    behaviour.nonsense = True
    with pytest.raises(Refused, match="not as an IPP printer"):
        ipp.look(uri)
    behaviour.http_status = 404
    with pytest.raises(Refused, match="answers 404"):
        ipp.look(uri)


@pytest.mark.parametrize(
    "raw", [b"", b"\x02\x00", b"\x02\x00\x00\x00\x00\x00\x00\x01\x04\x44\x00\xff", b"HTTP/1.1 oops" * 9]
)
def test_bytes_that_are_no_answer(raw: bytes) -> None:
    with pytest.raises(NotIpp):
        answer(raw)


def test_against_a_real_printer_program(tmp_path: Path) -> None:
    """ippeveprinter: the spooled files are the PDF byte for byte; a job sent while it is busy gets its turn."""
    try:
        with real_printer.printer(tmp_path, seconds_a_job=1.0) as (uri, spool):
            seen = ipp.look(uri)
            assert seen.accepting and "application/pdf" in seen.formats
            assert ipp.send(PDF, uri, "wide", media_mm=(210.0, 297.0)).note == ""
            jobs = [ipp.send(PDF, uri, name, media_mm=(50.8, 25.4)) for name in ("first", "second")]
            ends = [ipp.follow(job, every=0.1, patience=20) for job in jobs]
            assert [end.word for end in ends] == ["printed", "printed"]
            spooled = [file.read_bytes() for file in spool.rglob("*.pdf")]
            assert spooled.count(PDF) == 3
            assert "knows no labels of 50.8 x 25.4 mm" in jobs[0].note
    except real_printer.CannotRun as reason:
        pytest.skip(f"no real IPP printer program here, the stand-in alone was used: {reason}")
    with pytest.raises(Refused, match="cannot be reached"):
        ipp.look(uri)
