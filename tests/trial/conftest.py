"""The command line, for tests that go from plan to report."""

from tests.cli.conftest import run  # noqa: F401 (fixture)
