"""Label jobs: kept until they came out, offered again, never sent twice unasked, and each printer's own nudge."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk import label_sending
from partsbin.desk.label_jobs import Sheet, drop_job, make_job, nudge_for, open_jobs, save_job, set_nudge, settle
from partsbin.desk.label_sending import ask_after, send_job
from partsbin.desk.labelling import choose
from partsbin.errors import Refused
from tests.desk.label_depot import label_depot
from tests.printing.stand_in_printer import Behaviour, printer


@pytest.fixture
def depot(tmp_path: Path) -> Iterator[Depot]:
    with Depot.open(label_depot(tmp_path)) as found:
        yield found


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ask a printer again without waiting in between."""
    monkeypatch.setattr(label_sending, "_wait", lambda _leaving, _seconds: None)


@pytest.fixture
def stand_in() -> Iterator[tuple[str, Behaviour]]:
    with printer() as (uri, behaviour, _):
        yield uri, behaviour


def job_of(depot: Depot, sheet: Sheet | None = None) -> int:
    return make_job(depot, the_operator(depot), "bins", choose(depot, ["bins"]), sheet or Sheet("roll-2x1"))[0]


def state(depot: Depot) -> list[tuple[str, str]]:
    return [(job.state, job.said) for job in open_jobs(depot)]


@pytest.mark.usefixtures("at_once")
def test_a_job_is_kept_until_the_printer_says_it_is_printed(depot: Depot, stand_in: tuple[str, Behaviour]) -> None:
    uri, behaviour = stand_in
    job = job_of(depot)
    assert [kept.words() for kept in open_jobs(depot)] == [f"{job}  bins: 4 labels on roll-2x1, kept"]
    told: list[str] = []
    assert send_job(depot, job, uri, told.append) == "printed"
    assert open_jobs(depot) == []
    assert len(pypdfium2.PdfDocument(behaviour.jobs[0][1])) == 4
    with pytest.raises(Refused, match="is not kept any more"):
        send_job(depot, job, uri)
    assert len(behaviour.jobs) == 1


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ({"hang_up_on": "print"}, "kept"),
        ({"job_states": [(3, "none"), (8, "aborted-by-system")]}, "did not come out"),
        ({"accepting": False}, "kept"),
        ({"formats": ("image/pwg-raster",)}, "PDF"),
    ],
)
def test_a_printer_that_fails_loses_nothing_and_the_same_job_goes_again(
    depot: Depot, stand_in: tuple[str, Behaviour], fault: dict[str, object], said: str
) -> None:
    uri, behaviour = stand_in
    whole = {name: getattr(behaviour, name) for name in fault}
    for name, value in fault.items():
        setattr(behaviour, name, value)
    job = job_of(depot)
    with pytest.raises(Refused) as refused:
        send_job(depot, job, uri)
    assert said in str(refused.value)
    (kept,) = open_jobs(depot)
    assert kept.id == job and kept.state == "kept" and kept.said
    for name, value in whole.items():
        setattr(behaviour, name, value)
    behaviour.job_states = [(9, "none")]
    assert send_job(depot, job, uri) == "printed"
    assert open_jobs(depot) == []


def test_a_printer_nobody_answers_for_is_told_and_the_job_is_kept(depot: Depot) -> None:
    job = job_of(depot)
    with pytest.raises(Refused, match="127.0.0.1"):
        send_job(depot, job, "ipp://127.0.0.1:9/ipp/print")
    assert state(depot)[0][0] == "kept"


def test_leaving_while_a_printer_works_marks_the_job_as_sent_and_it_can_be_asked_after(
    depot: Depot, stand_in: tuple[str, Behaviour]
) -> None:
    uri, behaviour = stand_in
    behaviour.job_states = [(5, "job-printing")]
    leaving = threading.Event()
    leaving.set()
    job = job_of(depot)
    with pytest.raises(Refused, match="left before the printer was done"):
        send_job(depot, job, uri, leaving=leaving)
    assert [kept.state for kept in open_jobs(depot)] == ["sent"]
    assert "sent, end not known" in open_jobs(depot)[0].words()
    behaviour.job_states = [(9, "none")]
    assert ask_after(depot, job) == "printed"
    assert open_jobs(depot) == [] and len(behaviour.jobs) == 1


def test_a_job_cut_off_while_it_was_sent_is_offered_as_such(
    depot: Depot, stand_in: tuple[str, Behaviour], monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut_off(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("partsbin.printing.ipp.send", cut_off)
    job = job_of(depot)
    with pytest.raises(KeyboardInterrupt):
        send_job(depot, job, stand_in[0])
    assert "being sent, end not known: since 20" in open_jobs(depot)[0].words()
    with pytest.raises(Refused, match="just being sent from another terminal"):
        send_job(depot, job, stand_in[0])
    with pytest.raises(Refused, match="No printer has taken job"):
        ask_after(depot, job)
    drop_job(depot, job)
    assert open_jobs(depot) == []


def test_a_file_that_cannot_be_written_keeps_the_job(depot: Depot, tmp_path: Path) -> None:
    job = job_of(depot)
    with pytest.raises(Refused, match=f"kept as job {job}"):
        save_job(depot, job, tmp_path / "labels.depot" / "x.pdf")
    assert state(depot) == [("kept", "")]
    save_job(depot, job, tmp_path / "labels.pdf", keep=True)
    assert state(depot) == [("kept", "")]
    save_job(depot, job, tmp_path / "labels.pdf")
    assert state(depot) == [] and (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")


def test_each_printer_keeps_its_own_nudge_and_one_off_the_page_is_refused(depot: Depot) -> None:
    mine, other = Sheet("a4-24", printer="ipp://a.local/p"), Sheet("a4-24", printer="ipp://b.local/p")
    set_nudge(depot, mine, "0.5 -1 99.5 100")
    kept = nudge_for(depot, mine)
    assert (kept.x_mm, kept.y_mm, kept.scale_y) == (0.5, -1, 1) and kept.scale_x == pytest.approx(100 / 99.5)
    assert nudge_for(depot, other).x_mm == 0
    for wrong in ("left", "1", "1 2 3", "0 0 0 100", "900 0", "nan 0", "inf 0"):
        with pytest.raises(Refused):
            set_nudge(depot, mine, wrong)
    assert nudge_for(depot, mine) == kept


@pytest.mark.usefixtures("at_once")
def test_two_terminals_that_send_the_same_job_at_once_print_it_once(
    depot: Depot, stand_in: tuple[str, Behaviour]
) -> None:
    uri, behaviour = stand_in
    job, told, ready = job_of(depot), [], threading.Barrier(2)

    def send() -> None:
        with Depot.open(depot.path) as mine:
            ready.wait()
            try:
                told.append(send_job(mine, job, uri))
            except Refused as refused:
                told.append(str(refused))

    terminals = [threading.Thread(target=send) for _ in range(2)]
    for terminal in terminals:
        terminal.start()
    for terminal in terminals:
        terminal.join()
    assert len(behaviour.jobs) == 1 and "printed" in told, told
    assert open_jobs(depot) == []


@pytest.mark.parametrize("state", [3, 5, 6])
def test_a_job_still_in_a_printer_is_not_sent_again(depot: Depot, stand_in: tuple[str, Behaviour], state: int) -> None:
    uri, behaviour = stand_in
    behaviour.job_states = [(state, "none")]
    leaving = threading.Event()
    leaving.set()
    job = job_of(depot)
    with pytest.raises(Refused, match="left before"):
        send_job(depot, job, uri, leaving=leaving)
    with pytest.raises(Refused, match=r"is still in ipp://.*Cancel it there first"):
        send_job(depot, job, uri)
    behaviour.job_states = [(9, "none")]
    with pytest.raises(Refused, match="came out meanwhile"):
        send_job(depot, job, uri)
    assert open_jobs(depot) == [] and len(behaviour.jobs) == 1


@pytest.mark.usefixtures("at_once")
def test_a_job_cancelled_at_the_printer_or_in_hand_of_a_program_that_died_goes_again(
    depot: Depot, stand_in: tuple[str, Behaviour]
) -> None:
    uri, behaviour = stand_in
    job = job_of(depot)
    settle(depot, job, "sending", "2026-01-01T08:00:00Z", printer=uri)
    behaviour.job_states = [(7, "job-canceled-at-device")]
    with pytest.raises(Refused, match="did not come out"):
        send_job(depot, job, uri)
    settle(depot, job, "sent", "", printer=uri, number=1)
    behaviour.job_states = [(7, "none"), (9, "none")]
    assert send_job(depot, job, uri) == "printed"
    assert len(behaviour.jobs) == 2
