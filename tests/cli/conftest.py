"""What tests of commands share."""

import sys

import pytest

from bodytest.cli.app import main


@pytest.fixture
def run(monkeypatch, tmp_path, capfd):
    """Run a command in an empty folder; returns exit code, standard output and standard error."""
    monkeypatch.chdir(tmp_path)

    def command(*arguments):
        monkeypatch.setattr(sys, "argv", ["bodytest", *map(str, arguments)])
        code = 0
        try:
            main()
        except SystemExit as ended:
            code = ended.code or 0
        said = capfd.readouterr()
        return code, said.out, said.err

    return command
