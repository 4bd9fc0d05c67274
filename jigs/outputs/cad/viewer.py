"""The standalone viewer as a process of its own, for this computer only."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
import time

import ocp_vscode

from jigs.errors import ExportError

LOOPBACK = "127.0.0.1"
USUAL_PORT = 3939
PORT_VARIABLE = "OCP_PORT"

_START_SECONDS = 30.0
_STOP_SECONDS = 5.0
# What the viewer prints when a page opens or reloads. The page itself reports nothing then, if
# it drew its logo before it was connected; and what an earlier page reported stays on record.
_PAGE_OPENED = "Browser as viewer client registered"


class Log:
    """What our viewer prints: its last line, and whether a page opened that has no model yet."""

    def __init__(self) -> None:
        self.last = ""
        self.page_opened = threading.Event()

    def follow(self, process: subprocess.Popen[bytes]) -> None:
        """Read all that the process prints, until it ends."""
        assert process.stdout is not None
        with process.stdout as lines:
            for raw in lines:
                line = raw.decode(errors="replace").strip()
                self.last = line or self.last
                if _PAGE_OPENED in line:
                    self.page_opened.set()


def listening(port: int) -> bool:
    """Say whether something on this computer answers at the port."""
    return bool(ocp_vscode.port_check(port))


def port_of_environment() -> int | None:
    """The port that the user set for the previewer, if any. Raises ExportError for nonsense."""
    text = os.environ.get(PORT_VARIABLE, "").strip()
    if not text:
        return None
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise ExportError(f"{PORT_VARIABLE} is '{text}'; it should be a port, 1 to 65535")
    return int(text)


def free_port() -> int:
    """A port that nobody uses now."""
    with socket.socket() as probe:
        probe.bind((LOOPBACK, 0))
        return int(probe.getsockname()[1])


def start(port: int, log: Log) -> subprocess.Popen[bytes]:
    """Start a viewer and wait until it listens. Raises ExportError with the viewer's last words."""
    # -P: a file of the user's named like a module must not be taken for the module.
    # -u: what it prints is to reach us at once.
    command = [sys.executable, "-P", "-u", "-m", "ocp_viewer"]
    process = subprocess.Popen(
        [*command, "--host", LOOPBACK, "--port", str(port)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    reader = threading.Thread(target=log.follow, args=(process,), daemon=True)
    reader.start()
    try:
        _await_listening(process, port)
    except BaseException as error:
        stop(process)
        if isinstance(error, ExportError):
            reader.join(_STOP_SECONDS)
            raise ExportError(f"{error}: {log.last or 'no reason given'}") from None
        raise
    return process


def _await_listening(process: subprocess.Popen[bytes], port: int) -> None:
    end = time.monotonic() + _START_SECONDS
    while time.monotonic() < end and process.poll() is None:
        if listening(port):
            return
        time.sleep(0.1)
    raise ExportError(f"the previewer did not start at port {port}")


def stop(process: subprocess.Popen[bytes]) -> None:
    """End a viewer that we started."""
    if process.poll() is not None:
        return
    # An interrupt lets the viewer strike its port off its list; a kill would leave it there.
    if sys.platform == "win32":
        process.terminate()
    else:
        process.send_signal(signal.SIGINT)
    try:
        process.wait(_STOP_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
