"""One module a command: what it is asked and how it answers. `jigs/cli.py` puts them together."""
