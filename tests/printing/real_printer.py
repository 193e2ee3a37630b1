"""A real IPP printer program on loopback: ippeveprinter with a message bus of its own, or a reason why not."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_PROGRAMS = ("dbus-daemon", "avahi-daemon", "ippeveprinter")


class CannotRun(Exception):  # noqa: N818 - names a circumstance, not a fault
    """Why the real printer program does not run here."""


def _program(name: str) -> str:
    found = shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin")
    if not found:
        raise CannotRun(f"{name} is not installed (apt install cups-ipp-utils avahi-daemon dbus)")
    return found


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def printer(folder: Path, seconds_a_job: float = 0.0) -> Iterator[tuple[str, Path]]:
    """Yield the printer's URI and the folder its jobs are spooled to."""
    programs = [_program(name) for name in _PROGRAMS]
    if os.geteuid() != 0:
        raise CannotRun("avahi-daemon needs root to keep its pid file")
    started: list[subprocess.Popen[bytes]] = []
    try:
        yield from _start(folder, programs, started, seconds_a_job)
    finally:
        for process in reversed(started):
            process.terminate()
            process.wait(5)


def _start(
    folder: Path, programs: list[str], started: list[subprocess.Popen[bytes]], wait: float
) -> Iterator[tuple[str, Path]]:
    bus, avahi, ipp = programs
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    address = f"unix:path={folder}/bus"
    started.append(subprocess.Popen([bus, "--session", "--nofork", "--nopidfile", f"--address={address}"], **quiet))
    _until(lambda: (folder / "bus").exists(), "the message bus did not start")
    settings = folder / "avahi.conf"
    settings.write_text(
        "[server]\nallow-interfaces=lo\nuse-ipv6=no\nenable-dbus=yes\n[publish]\ndisable-publishing=no\n"
    )
    surroundings = {**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": address, "DBUS_SESSION_BUS_ADDRESS": address}
    started.append(
        subprocess.Popen(
            [avahi, "-f", str(settings), "--no-drop-root", "--no-chroot", "--no-rlimits"], env=surroundings, **quiet
        )
    )
    time.sleep(1.0)
    if started[-1].poll() is not None:
        raise CannotRun("avahi-daemon ended at once; another one may be running")
    spool, port = folder / "spool", _free_port()
    spool.mkdir()
    command = folder / "onjob.sh"
    command.write_text(f"#!/bin/sh\nsleep {wait}\nexit 0\n")
    command.chmod(0o755)
    arguments = [
        "-p",
        str(port),
        "-n",
        "localhost",
        "-r",
        "off",
        "-k",
        "-d",
        str(spool),
        "-f",
        "application/pdf",
        "-c",
        str(command),
    ]
    started.append(subprocess.Popen([ipp, *arguments, "Bin labels"], env=surroundings, **quiet))
    _until(lambda: _listens(port) or started[-1].poll() is not None, "ippeveprinter did not listen")
    if started[-1].poll() is not None:
        raise CannotRun("ippeveprinter ended at once: it could not announce itself")
    yield f"ipp://localhost:{port}/ipp/print", spool


def _listens(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def _until(true: object, otherwise: str, seconds: float = 5.0) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():  # type: ignore[operator]
            return
        time.sleep(0.05)
    raise CannotRun(otherwise)
