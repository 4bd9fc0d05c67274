"""Builds of a folder that are killed from outside, and what the next command makes of it.

`tests/test_publish.py` dies at every single call that changes the disk. Here a process of its own
is killed by SIGKILL at a moment that nobody chose, also while a second one waits for the lock, and
the folder may be gone, or be edited by its owner, before the next command.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

HERE = Path(__file__).resolve()
ROOT = HERE.parents[2]
NOTES = "parts/ring/my notes.txt"
MINE = b"bought the bolts on Tuesday"


def files_of(version: int) -> dict[str, bytes]:
    """What a build writes: files new, gone, changed and the same from one version to the next."""
    r = random.Random(version)
    found = {f"parts/ring/part {i}.step": r.randbytes(r.randint(1, 60_000)) for i in range(25)}
    found |= {f"make/sheets/sheet {i} of {version}.dxf": r.randbytes(9000) for i in range(8)}
    found |= {f"drawings/{i}.svg": bytes(str(i), "ascii") * 2000 for i in range(8)}
    found["setup" if version % 2 else "setup/first.txt"] = b"a file, or a folder"
    return found


def main_builds(folder: Path, first: int, pause: float) -> None:
    """Publish one version after the other until killed. Says so each time."""
    from jigs import publish

    version = first
    while True:
        with publish.into(folder, publish.Stamp(str(version)), wait=30) as out:
            for name, data in files_of(version).items():
                out.write_bytes(name, data)
        sys.stdout.write(f"{version}\n")
        sys.stdout.flush()
        time.sleep(pause)
        version += 1


def child(*words: object) -> subprocess.Popen[str]:
    """This file in a process of its own."""
    return subprocess.Popen(
        [sys.executable, str(HERE), *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


def seen(folder: Path) -> dict[str, bytes]:
    """Every file, but what publishing keeps for itself."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and ".jigs" not in path.relative_to(folder).parts[0]
    }


def lies(files: Mapping[str, bytes]) -> list[str]:
    """Files that the manifest describes otherwise than they are."""
    if "manifest.json" not in files:
        return []
    listed = json.loads(files["manifest.json"])["files"]
    return [
        name
        for name, entry in listed.items()
        if hashlib.sha256(files.get(name, b"not there")).hexdigest() != entry["sha256"]
    ]


def kill_at(r: random.Random, folder: Path) -> str:
    """Let a process build, kill it at some moment, then ask for the truth. Returns what was left.

    Raises AssertionError where the manifest lies, the folder is of two builds, or a file of the
    user's is lost.
    """
    from jigs import publish

    second = None
    process = child("builds", folder, 1, 0.0)
    try:
        assert process.stdout is not None
        assert process.stdout.readline(), process.stderr and process.stderr.read()
        (folder / NOTES).write_bytes(MINE)
        if r.random() < 0.3:
            second = child("builds", folder, 1000, 0.01)
        time.sleep(r.random() * 0.5)
    finally:
        process.kill()
        process.communicate()
        if second is not None:
            second.kill()
            second.communicate()
    left = seen(folder)
    assert not lies(left), f"after the kill: {lies(left)}"
    assert left.get(NOTES) == MINE
    if r.random() < 0.2:
        shutil.rmtree(folder)
        assert publish.recover(folder) is publish.Recovery.NOTHING
        told = "folder deleted"
    else:
        told = publish.recover(folder).name.lower().replace("_", " ")
        _is_one_build(seen(folder))
        assert publish.verify(folder) == []
    _next_build(folder, kept=told != "folder deleted")
    return told


def _is_one_build(now: Mapping[str, bytes]) -> None:
    versions = {name.split(" of ")[1] for name in now if " of " in name}
    assert len(versions) == 1, versions
    (version,) = versions
    expected = files_of(int(version.removesuffix(".dxf")))
    assert {**expected, NOTES: MINE} == {k: v for k, v in now.items() if k != "manifest.json"}
    assert "manifest.json" in now
    assert not lies(now)


def _next_build(folder: Path, *, kept: bool) -> None:
    """The next build is whole, and leaves alone what is not its own."""
    from jigs import publish

    with publish.into(folder, publish.Stamp("next")) as out:
        for name, data in files_of(7).items():
            out.write_bytes(name, data)
    now = seen(folder)
    assert {k: v for k, v in now.items() if k not in ("manifest.json", NOTES)} == files_of(7)
    assert publish.verify(folder) == []
    assert (now.get(NOTES) == MINE) == kept


def kill_the_command(r: random.Random, folder: Path) -> str:
    """Kill `jigs build` itself at some moment; the next one ends well or says what is left."""
    job = folder / "job.yaml"
    folder.mkdir(parents=True, exist_ok=True)
    text = (ROOT / "tests/one_setup.yaml").read_text(encoding="utf-8")
    job.write_text(text.replace("machines/", f"{ROOT}/configs/machines/"), encoding="utf-8")
    words = [sys.executable, "-m", "jigs", "build", "--no-pictures", "--no-dry-fit",
             "--out", str(folder / "out"), str(job)]  # fmt: skip
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    quiet = subprocess.DEVNULL
    process = subprocess.Popen(words, cwd=folder, env=env, stdout=quiet, stderr=quiet)
    _wait_for_writing(process, folder / "out")
    time.sleep(r.random() * 2.0)
    done = process.poll() is not None
    process.kill()
    process.communicate()
    out = folder / "out"
    assert not out.exists() or not lies(seen(out))
    from jigs import publish

    told = publish.recover(out).name.lower().replace("_", " ")
    assert not out.exists() or publish.verify(out) == [] or not (out / "manifest.json").exists()
    return f"command {'that was done' if done else 'killed'}, {told}"


def _wait_for_writing(process: subprocess.Popen[bytes], out: Path) -> None:
    """Until the first file is being written: before that a kill finds nothing to spoil."""
    while process.poll() is None and not out.exists():
        time.sleep(0.05)


if __name__ == "__main__":
    main_builds(Path(sys.argv[2]), int(sys.argv[3]), float(sys.argv[4]))
