"""The package as installed."""

from importlib.metadata import version

import jigs


def test_version_is_the_installed_one():
    assert jigs.__version__ == version("jigs")
