"""Send the parts as they stand to the previewer: the one in the editor, or one in the browser."""

from __future__ import annotations

import contextlib
import io
import math
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import IO, Any

import cadquery as cq
import ocp_vscode

from jigs.errors import ExportError
from jigs.outputs.cad.tree import Group, Leaf, leaves, location

LOOPBACK = "127.0.0.1"
USUAL_PORT = 3939
PORT_VARIABLE = "OCP_PORT"

_START_SECONDS = 30.0
_STOP_SECONDS = 5.0
_POLL_SECONDS = 0.3
_DRAW_SECONDS = 5.0  # what a page may take to draw before we send once more
# The previewer's client answers with a stand-in when nobody is there; a real viewer never
# reports this key among what is on screen.
_STAND_IN_KEY = "default_vertexcolor"
# What a page shows before the first model.
_LOGO = frozenset({"/Group/OCP", "/Group/Eye"})


@dataclass(frozen=True)
class ShowResult:
    """Where the parts can be seen.

    Parameters: port = of the viewer; url = the page to open; process = the viewer if we started
    it, else None; shown = a page has reported that it shows the parts.
    """

    port: int
    url: str
    process: subprocess.Popen[bytes] | None
    shown: bool

    def close(self) -> None:
        """End the viewer if we started it; one that was there before is left alone."""
        if self.process is not None:
            _stop(self.process)


def show(
    root: Group,
    *,
    port: int | None = None,
    wait: float = 20.0,
    ready: Callable[[str], None] = lambda url: None,
) -> ShowResult:
    """Show the tree in a previewer; start one, for this computer only, if none listens.

    Parameters: port = of the viewer; without it the variable OCP_PORT, then 3939 if a viewer
    listens there, then a free port; wait = how long to wait for a page to show the parts, s;
    ready = called with the address once the viewer listens, before the waiting.
    Returns: address, process and whether a page shows the parts. The viewer keeps nothing for
    pages that open later: call `tend` for those.
    Raises: ExportError when the viewer does not start or what listens there is no viewer.
    """
    wanted = port if port is not None else _port_of_environment()
    process = None
    if not listening(wanted or USUAL_PORT):
        wanted = wanted or _free_port()
        process = _start(wanted)
    number = wanted or USUAL_PORT
    result = ShowResult(number, f"http://{LOOPBACK}:{number}/viewer", process, False)
    try:
        ready(result.url)
        shown = _deliver(assembly(root), root.name, result, wait)
    except BaseException:
        result.close()
        raise
    return ShowResult(number, result.url, process, shown)


def tend(root: Group, result: ShowResult, *, seconds: float | None = None) -> None:
    """Send the tree to every page that opens or reloads empty, until the viewer ends.

    Parameters: result = of `show`; seconds = stop after this time, None = only with the viewer.
    """
    scene = assembly(root)
    end = math.inf if seconds is None else time.monotonic() + seconds
    while time.monotonic() < end and _alive(result):
        if _idle(_status(result.port)):
            _deliver(scene, root.name, result, _DRAW_SECONDS)
        time.sleep(_POLL_SECONDS)


def assembly(root: Group) -> cq.Assembly:
    """Return the tree as the kernel library's assembly: names, nesting, places, colours, opacity.

    The shapes are copies, because the previewer leaves its mesh on them.
    Raises: ExportError when two members of one group share a name.
    """
    shapes: dict[cq.Shape, cq.Shape] = {}
    for _, leaf, _ in leaves(root):
        if leaf.shape not in shapes:
            shapes[leaf.shape] = leaf.shape.copy()
    return _assembly(root, shapes)


def _assembly(group: Group, shapes: dict[cq.Shape, cq.Shape]) -> cq.Assembly:
    names = [member.name for member in group.members]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise ExportError(f"group '{group.name}' has two members named '{twice[0]}'")
    made = cq.Assembly(name=group.name, loc=location(group.pose))
    for member in group.members:
        if isinstance(member, Leaf):
            place, colour = location(member.pose), cq.Color(*member.colour)
            made.add(shapes[member.shape], name=member.name, loc=place, color=colour)
        else:
            made.add(_assembly(member, shapes), name=member.name)
    return made


def listening(port: int) -> bool:
    """Say whether something on this computer answers at the port."""
    return bool(ocp_vscode.port_check(port))


# -- talking to the viewer ------------------------------------------------------------------------


def _deliver(scene: cq.Assembly, name: str, result: ShowResult, wait: float) -> bool:
    """Send as soon as a page is there to take it; return whether one reports the parts in time."""
    end = time.monotonic() + wait
    sent: float | None = None
    while True:
        status = _status(result.port)
        if sent is not None and _shows(status, name):
            return True
        # A viewer that was there before us may be an editor's, which reports nothing at first.
        somebody = bool(status) or result.process is None
        if somebody and (sent is None or time.monotonic() - sent > _DRAW_SECONDS):
            _send(scene, result.port)
            sent = time.monotonic()
        if time.monotonic() >= end or not _alive(result):
            return False
        time.sleep(_POLL_SECONDS)


def _shows(status: dict[str, Any], name: str) -> bool:
    return any(path.startswith(f"/{name}/") for path in status.get("states") or {})


def _idle(status: dict[str, Any]) -> bool:
    """Say whether a page is open that shows no model yet; a model of someone else's stays."""
    return bool(status) and _LOGO.issuperset(status.get("states") or {})


def _status(port: int) -> dict[str, Any]:
    with _quiet():
        status = dict(ocp_vscode.status(port=port) or {})
    if _STAND_IN_KEY in status:
        if not listening(port):
            return {}
        raise ExportError(
            f"port {port} does not answer as a previewer does\n"
            f"  remedy: give another port, or unset {PORT_VARIABLE}"
        )
    return status


def _send(scene: cq.Assembly, port: int) -> None:
    with _quiet():
        ocp_vscode.show(scene, port=port, progress=None, reset_camera=ocp_vscode.Camera.RESET)


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep the previewer's chatter away from our output: what matters we report ourselves."""
    with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
        warnings.simplefilter("ignore")
        yield


# -- the viewer as a process ----------------------------------------------------------------------


def _port_of_environment() -> int | None:
    text = os.environ.get(PORT_VARIABLE, "").strip()
    if not text:
        return None
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise ExportError(f"{PORT_VARIABLE} is '{text}'; it should be a port, 1 to 65535")
    return int(text)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind((LOOPBACK, 0))
        return int(probe.getsockname()[1])


def _start(port: int) -> subprocess.Popen[bytes]:
    # -P: a file of the user's named like a module must not be taken for the module.
    command = [sys.executable, "-P", "-m", "ocp_viewer", "--host", LOOPBACK, "--port", str(port)]
    with tempfile.TemporaryFile() as log:
        process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT
        )
        try:
            _await_listening(process, port, log)
        except BaseException:
            _stop(process)
            raise
    return process


def _await_listening(process: subprocess.Popen[bytes], port: int, log: IO[bytes]) -> None:
    end = time.monotonic() + _START_SECONDS
    while time.monotonic() < end and process.poll() is None:
        if listening(port):
            return
        time.sleep(0.1)
    log.seek(0)
    last = log.read().decode(errors="replace").strip().rpartition("\n")[2]
    raise ExportError(f"the previewer did not start at port {port}: {last or 'no reason given'}")


def _alive(result: ShowResult) -> bool:
    if result.process is not None:
        return result.process.poll() is None
    return listening(result.port)


def _stop(process: subprocess.Popen[bytes]) -> None:
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
