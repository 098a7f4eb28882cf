"""`python -m schedule2sign`."""

from schedule2sign.cli.main import run

run()
