"""`python -m jigs`."""

from jigs.cli import main

main(prog_name="jigs")
