"""Results → the folder of a report."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from bodytest.export.csv_tables import to_csv
from bodytest.export.data_package import data_package
from bodytest.export.document import json_chunks
from bodytest.files.report_folder import refuse_report, replace_report
from bodytest.files.results_file import DATA_PACKAGE
from bodytest.files.writing import Content
from bodytest.findings import Finding, finding
from bodytest.report.bench_sheet import OwnSize
from bodytest.report.file_names import ALWAYS, INDEX, RESULTS_CSV, RESULTS_JSON
from bodytest.report.pages import early_date, report_pages
from bodytest.results import Results


def write_files(
    results: Results, folder: Path, today: date, *, decimal_sign: str = ".", own: Sequence[OwnSize] = ()
) -> tuple[Path, tuple[Finding, ...]]:
    """Write pages, results.json and results.csv into ``folder``, all or nothing; ``own``: sizes for the bench sheets.

    Returns:
        The index page, and what has to be told: a date before the last firing, pages of another report that stay.
    """
    refuse_report(folder, ALWAYS)
    early = tuple(early_date(results, today))
    pages: dict[str, Content] = dict(report_pages(results, today, decimal_sign, own))
    results = replace(results, findings=(*results.findings, *early))
    pages |= {RESULTS_JSON: json_chunks(results), RESULTS_CSV: to_csv(results, decimal_sign)}
    pages[DATA_PACKAGE] = data_package(RESULTS_CSV, decimal_sign)
    kept = replace_report(folder, pages)
    return folder / INDEX, (*early, *(finding("page-kept", sheet=str(folder / name)) for name in kept))
