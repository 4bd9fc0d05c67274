"""A job on screen while its files are edited: what changed is made anew and put in its place."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import cadquery as cq

from jigs.errors import ExportError, JigsError
from jigs.following import POLL, Files, files_of
from jigs.model.finding import Finding
from jigs.outputs.cad import show
from jigs.outputs.cad.marks import marked, not_met
from jigs.outputs.cad.show import Copies, ShowResult
from jigs.outputs.cad.tree import Group
from jigs.outputs.cad.viewing import Choice, chosen_setup, model
from jigs.provenance import open_store
from jigs.reading.job import read_job
from jigs.sizing import design
from jigs.solids.scene import Scene
from jigs.solids.store import Solids

Say = Callable[[str], None]
_RETRY = 5.0  # s between two tries to start a viewer


class _Changed(Exception):
    """The files changed while the checks ran."""


class Screen:
    """The viewer: found or started, fed, and started again when it ends."""

    def __init__(self, port: int | None, say: Say) -> None:
        self._say = say
        self._copies: Copies = {}
        self._model: cq.Assembly | None = None
        self._viewer: ShowResult | None = show.connect(port)
        self._retry = 0.0
        self.port = self._viewer.port
        say(f"open {self._viewer.url} (Ctrl-C ends)")

    def put(self, tree: Group) -> None:
        """Show a tree: the eye stays where it is if something was shown before."""
        fresh = self._model is None
        self._model = show.assembly(tree, self._copies)
        if self._viewer is None:
            return
        if fresh:
            show.deliver(self._model, self._viewer, 0.0)
        else:
            show.send_in_place(self._model, self._viewer)

    def tend(self) -> None:
        """Serve pages that opened, and see that there is a viewer."""
        if self._viewer is not None and show.alive(self._viewer):
            if self._model is not None:
                show.serve_pages(self._model, self._viewer)
            return
        if self._viewer is not None:
            self._say(f"the viewer at port {self.port} ended; starting another")
            self._viewer, self._retry = None, 0.0
        if time.monotonic() < self._retry:
            return
        try:
            self._viewer = show.connect(self.port)
        except ExportError as error:
            self._say(f"{error}\n  trying again in {_RETRY:.0f} s")
            self._retry = time.monotonic() + _RETRY
            return
        self._say(f"open {self._viewer.url} again, or reload the page")

    def close(self) -> None:
        """End the viewer if we started it."""
        if self._viewer is not None:
            self._viewer.close()


@dataclass
class Watch:
    """One job, watched. `say` gets every message for the user."""

    config: Path
    choice: Choice
    screen: Screen
    say: Say
    solids: Solids = field(default_factory=lambda: Solids(open_store()))

    def __post_init__(self) -> None:
        self.files = Files(self.config)
        self.files.follow(())
        self._unchecked: Scene | None = None

    def run(self, going: Callable[[], bool] = lambda: True) -> None:
        """Show the job, then every change of it, while `going` says so."""
        self.refresh()
        while going():
            if self.files.changed():
                self.files.settle()
                self.refresh()
            elif self._unchecked is not None:
                self._check(self._unchecked)
            self.screen.tend()
            time.sleep(POLL)

    def refresh(self) -> bool:
        """Read, size and show the job as it is now; on an error the last model stays."""
        begun, built = time.monotonic(), self.solids.built
        try:
            job = read_job(self.config)
            self.files.follow(files_of(job))
            scene = Scene(design(job), self.solids)
            self.screen.put(model(scene, self.choice))
        except JigsError as error:
            self._unchecked = None
            self.say(f"{error}\n  the last good model stays on screen")
            return False
        self.solids.forget_unused()
        self._unchecked = scene
        seconds, made = time.monotonic() - begun, self.solids.built - built
        self.say(f"shown after {seconds:.1f} s, {made} solids made")
        return True

    def _check(self, scene: Scene) -> None:
        """Say what is not met and mark it, unless the files change meanwhile."""
        setup = chosen_setup(scene.design, self.choice)
        try:
            findings, marks = not_met(scene, setup, self._go_on)
        except _Changed:
            return
        except JigsError as error:
            self.say(str(error))
            findings, marks = [], None
        self._unchecked = None
        self.solids.kept.save()
        for finding in findings:
            self.say(in_words(finding))
        if marks is not None:
            self.screen.put(marked(model(scene, self.choice), setup, marks))

    def _go_on(self) -> None:
        if self.files.changed():
            raise _Changed


def in_words(finding: Finding) -> str:
    """A finding that is not met, in a line."""
    value, limit = finding.value or 0.0, finding.limit or 0.0
    return (
        f"NOT MET: {finding.of}: {finding.check}: {value:.2f} {finding.unit}, "
        f"{finding.sense} {limit:.2f}; {finding.governs}"
    )


def watch(config: Path, choice: Choice, port: int | None, say: Say) -> None:
    """Show a job and every change of it, until interrupted.

    Raises: JigsError where there is no such file or setup, or no viewer can be had; what is wrong
    inside the files is said, and waited for.
    """
    if not config.is_file():
        read_job(config)
    screen = Screen(port, say)
    try:
        Watch(config, choice, screen, say).run()
    finally:
        screen.close()


def show_once(config: Path, choice: Choice, port: int | None, say: Say) -> None:
    """Show a job as it is; where no viewer was running, serve pages until it ends.

    Raises: JigsError where the job cannot be read, sized or shown.
    """
    scene = Scene(design(read_job(config)), Solids(open_store()))
    tree = model(scene, choice)
    setup = chosen_setup(scene.design, choice)
    result = show.show(tree, port=port, ready=lambda url: say(f"open {url} (Ctrl-C ends)"))
    try:
        findings, marks = not_met(scene, setup)
        scene.kept.save()
        for finding in findings:
            say(in_words(finding))
        if marks is not None:
            tree = marked(tree, setup, marks)
            show.send_in_place(show.assembly(tree), result)
        if result.process is None:
            say("shown" if result.shown else "sent; no page has answered yet")
            return
        show.tend(tree, result)
    finally:
        result.close()
