"""Names of a report's files that are the same whatever the bodies are called."""

from bodytest.files.results_file import DATA_PACKAGE

INDEX = "index.html"
SIDE_BY_SIDE = "side-by-side.html"
RESULTS_JSON = "results.json"
RESULTS_CSV = "results.csv"
ALWAYS = (INDEX, SIDE_BY_SIDE, RESULTS_JSON, RESULTS_CSV, DATA_PACKAGE)
"""What every report holds, besides the pages of each body."""
BENCH_ENDING = "-bench"
"""Behind the name of a body's page stands the name of its bench sheet."""
CERTIFICATE_ENDING = "-certificate"
"""Behind the name of a body's page stands the name of its certificate, where it has one."""


def beside(page: str, ending: str) -> str:
    """Return the name of a file beside a page: ``marl-red.html`` → ``marl-red-bench.html``."""
    return f"{page.removesuffix('.html')}{ending}.html"
