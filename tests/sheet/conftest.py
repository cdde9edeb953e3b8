"""The browser of the tests of pages, and the command line, for the phone form."""

from tests.cli.conftest import run  # noqa: F401 (fixture)
from tests.report.conftest import chromium  # noqa: F401 (fixture)
