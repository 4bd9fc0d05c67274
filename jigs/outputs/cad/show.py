"""Send the parts as they stand to the previewer: the one in the editor, or one in the browser."""

from __future__ import annotations

import contextlib
import io
import math
import subprocess
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import cadquery as cq
import ocp_vscode

from jigs.errors import ExportError
from jigs.outputs.cad import viewer
from jigs.outputs.cad.tree import Group, Leaf, leaves, location
from jigs.outputs.cad.viewer import LOOPBACK, PORT_VARIABLE, USUAL_PORT, listening

_POLL_SECONDS = 0.3
_DRAW_SECONDS = 5.0  # what a page may take to draw before we send once more
# The previewer's client answers with a stand-in when nobody is there; a real viewer never
# reports this key among what is on screen.
_STAND_IN_KEY = "default_vertexcolor"
# What a page shows before the first model.
_LOGO = frozenset({"/Group/OCP", "/Group/Eye"})


Copies = dict[cq.Shape, cq.Shape]
"""A shape of ours -> its copy that the previewer has meshed."""


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
    _log: viewer.Log = field(default_factory=viewer.Log, repr=False, compare=False)

    def close(self) -> None:
        """End the viewer if we started it; one that was there before is left alone."""
        if self.process is not None:
            viewer.stop(self.process)


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
    result = connect(port)
    try:
        ready(result.url)
        shown = deliver(assembly(root), result, wait)
    except BaseException:
        result.close()
        raise
    return replace(result, shown=shown)


def connect(port: int | None = None) -> ShowResult:
    """Find the viewer that `show` would use, or start one; nothing is sent yet.

    Raises: ExportError when the viewer does not start or what listens there is no viewer.
    """
    wanted = port if port is not None else viewer.port_of_environment()
    number, process, log = wanted or USUAL_PORT, None, viewer.Log()
    if not _viewer_at(number, asked_for=wanted is not None):
        number = wanted or viewer.free_port()
        process = viewer.start(number, log)
    return ShowResult(number, f"http://{LOOPBACK}:{number}/viewer", process, False, log)


def tend(root: Group, result: ShowResult, *, seconds: float | None = None) -> None:
    """Send the tree to every page that opens or reloads, until the viewer ends.

    Pages of a viewer that we did not start are seen only if they report that they are empty.
    Parameters: result = of `show`; seconds = stop after this time, None = only with the viewer.
    """
    scene = assembly(root)
    end = math.inf if seconds is None else time.monotonic() + seconds
    while time.monotonic() < end and alive(result):
        serve_pages(scene, result)
        time.sleep(_POLL_SECONDS)


def serve_pages(scene: cq.Assembly, result: ShowResult) -> None:
    """Send the assembly to a page that opened or reloaded since the last call, if one did."""
    if result._log.page_opened.is_set() or _idle(_status(result.port)):
        deliver(scene, result, _DRAW_SECONDS)


def send_in_place(scene: cq.Assembly, result: ShowResult) -> bool:
    """Put the assembly in the place of what is shown, the eye where it is.

    Returns: whether a page is there to see it; one that opens later is served by `serve_pages`.
    """
    there = bool(_status(result.port))
    if there or result.process is None:
        _send(scene, result.port, ocp_vscode.Camera.KEEP)
    return there


def assembly(root: Group, copies: Copies | None = None) -> cq.Assembly:
    """Return the tree as the kernel library's assembly: names, nesting, places, colours, opacity.

    The shapes are copies, because the previewer leaves its mesh on them. `copies` = those of an
    earlier model: what is still in use is taken from it, mesh and all, and the rest is dropped.
    Raises: ExportError when two members of one group share a name.
    """
    before = dict(copies or {})
    shapes = {} if copies is None else copies
    shapes.clear()
    for _, leaf, _ in leaves(root):
        if leaf.shape not in shapes:
            shapes[leaf.shape] = before.get(leaf.shape) or leaf.shape.copy()
    return _assembly(root, shapes)


def _assembly(group: Group, shapes: dict[cq.Shape, cq.Shape]) -> cq.Assembly:
    names = [_label(member.name) for member in group.members]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise ExportError(f"group '{group.name}' has two members named '{twice[0]}'")
    made = cq.Assembly(name=_label(group.name), loc=location(group.pose))
    for member in group.members:
        # Not by `add`: it refuses a name that stands anywhere above or below, as when a jig is
        # called like one of its parts. The previewer tells them apart by their paths.
        child = _part(member, shapes) if isinstance(member, Leaf) else _assembly(member, shapes)
        child.parent = made
        made.children.append(child)
    return made


def _part(leaf: Leaf, shapes: dict[cq.Shape, cq.Shape]) -> cq.Assembly:
    place, colour = location(leaf.pose), cq.Color(*leaf.colour)
    return cq.Assembly(shapes[leaf.shape], name=_label(leaf.name), loc=place, color=colour)


def _label(name: str) -> str:
    """Return the name with a sign that looks like a slash: the previewer parts its paths by "/"."""
    return name.replace("/", "\N{DIVISION SLASH}")


# -- talking to the viewer ------------------------------------------------------------------------


def deliver(scene: cq.Assembly, result: ShowResult, wait: float) -> bool:
    """Send as soon as a page is there to take it; return whether one reports the parts in time."""
    end = time.monotonic() + wait
    sent: float | None = None
    while True:
        status = _status(result.port)
        if sent is not None and _shows(status, scene.name) and not result._log.page_opened.is_set():
            return True
        # A viewer that was there before us may be an editor's, which reports nothing at first.
        opened = result._log.page_opened
        somebody = bool(status) or result.process is None or opened.is_set()
        late = sent is None or time.monotonic() - sent > _DRAW_SECONDS
        if opened.is_set() or (somebody and late):
            opened.clear()
            _send(scene, result.port, ocp_vscode.Camera.RESET)
            sent = time.monotonic()
        if time.monotonic() >= end or not alive(result):
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


def _viewer_at(port: int, *, asked_for: bool) -> bool:
    """Say whether a viewer listens; another program is an error only at a port asked for."""
    if not listening(port):
        return False
    try:
        _status(port)
    except ExportError:
        if asked_for:
            raise
        return False
    return True


def _send(scene: cq.Assembly, port: int, camera: Any) -> None:
    with _quiet():
        ocp_vscode.show(scene, port=port, progress=None, reset_camera=camera)


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep the previewer's chatter away from our output: what matters we report ourselves."""
    with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
        warnings.simplefilter("ignore")
        yield


def alive(result: ShowResult) -> bool:
    """Say whether the viewer is still there."""
    if result.process is not None:
        return result.process.poll() is None
    return listening(result.port)
