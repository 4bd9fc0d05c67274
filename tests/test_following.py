"""The files of a job followed: now, at each save, and never while nothing changes."""

import threading

from jigs.following import Files, every_change


def test_it_comes_at_once_and_again_after_each_save(tmp_path):
    job, machine = tmp_path / "job.yaml", tmp_path / "machine.yaml"
    job.write_text("a: 1\n")
    machine.write_text("b: 1\n")
    files = Files(job)
    files.follow([machine])
    changes = every_change(files)
    next(changes)
    seen = []
    for path, text in ((job, "a: 22\n"), (machine, "b: 333\n")):
        later = threading.Timer(0.2, path.write_text, (text,))
        later.start()
        assert not files.changed()
        next(changes)
        later.join()
        seen.append(path.read_text())
        assert not files.changed(), "it has come to rest"
    assert seen == ["a: 22\n", "b: 333\n"]


def test_a_file_that_goes_away_is_a_change_too(tmp_path):
    job = tmp_path / "job.yaml"
    job.write_text("a: 1\n")
    files = Files(job)
    files.follow(())
    job.unlink()
    assert files.changed()
    files.settle()
    assert not files.changed()
