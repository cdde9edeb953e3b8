"""The one base exception; the command line catches it in one place and prints its finding."""

from typing import Self

from bodytest.findings import Finding, finding


class BodytestError(Exception):
    """Something that stops a whole command; its ``finding`` is of the same catalogue as those of a sheet."""

    def __init__(
        self, code: str, *, sheet: str | None = None, cell: str | None = None, value: object = None, **words: object
    ) -> None:
        """Fill the catalogue's sentence for ``code``; see `bodytest.findings.finding`."""
        self.finding: Finding = finding(code, sheet=sheet, cell=cell, value=value, **words)
        self.words = words
        super().__init__(f"{self.finding.sentence} {self.finding.remedy}")

    @classmethod
    def of(cls, found: Finding) -> Self:
        """Return the error that a finding is for a caller who cannot go on."""
        error = cls.__new__(cls, f"{found.sentence} {found.remedy}")
        error.finding = found
        return error


class UnreadableSheet(BodytestError):
    """A file that cannot be read as a sheet of test bars at all."""


class UnreadableResults(BodytestError):
    """A results file that is damaged, foreign or of a later version."""


class NotMeasured(BodytestError):
    """A body, firing, direction or stage was asked for that nobody measured."""


class UnusableRequest(BodytestError):
    """A size, unit or option that cannot be meant."""


class UnwritableFile(BodytestError):
    """A file that exists already, or that the system does not let us write."""


class SystemRefused(BodytestError):
    """Something that the operating system refused outside the reading and writing of one file."""


class UnexpectedFault(BodytestError):
    """An error that nobody foresaw: a fault of the program, not of what it was given."""
