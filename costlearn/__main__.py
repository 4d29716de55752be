"""Runs the command line as ``python -m costlearn``."""

from costlearn.cli.main import run

if __name__ == "__main__":
    run()
