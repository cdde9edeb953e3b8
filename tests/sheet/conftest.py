"""The browser of the tests of pages, and the command line, for the phone form."""

from tests.cli.conftest import run  # noqa: F401 (fixture)
