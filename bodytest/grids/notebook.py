"""Where one workbook's findings and the accounts of its cells are written down while it is read."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from bodytest.findings import Finding, finding
from bodytest.grids.account import Account
from bodytest.grids.grid import CellError, Grid, Oddity, Place, address


@dataclass(frozen=True)
class _Made:
    """A table that was laid out anew from others."""

    places: Mapping[tuple[int, int], tuple[Place, ...]]
    """Row and column → the cells that it came from."""
    tables: str
    """Names of the tables that it came from."""
    first: dict[int, Place] = field(default_factory=dict)
    """Row → the first cell that it came from."""


class Notebook:
    """Collects findings with their places, and what became of each cell of each table."""

    def __init__(self, sheet: str) -> None:
        self.sheet = sheet
        """File name shown in every finding."""
        self.typed_for = ""
        """Name of the sheet whose readings it holds, where it says so."""
        self.accounts: dict[str, Account] = {}
        """The account of each table by its name."""
        self.of_file: list[Oddity] = []
        """What was written down about the file as a whole."""
        self._entries: list[tuple[tuple[int, int, int, int], Finding]] = []
        self._tables: dict[str, int] = {}
        self._rows: dict[str, set[int]] = {}
        self._cells: set[tuple[str, int, int]] = set()
        self._made: dict[str, _Made] = {}

    def open_account(self, grid: Grid) -> None:
        """Begin the account of a table; findings are put in the order in which accounts were begun."""
        self._tables.setdefault(grid.name, len(self._tables))
        self.accounts[grid.name] = Account(grid.filled)

    def lay_out(self, grid: Grid, places: Mapping[tuple[int, int], tuple[Place, ...]], tables: str) -> None:
        """Take in a table that was made of others; what is found in it is told of the cells that it came from."""
        made = self._made[grid.name] = _Made(places, tables)
        for (row, _), found in places.items():
            if found:
                made.first.setdefault(row, found[0])
        self.accounts[grid.name] = Account(grid.filled)

    def taken(self) -> set[Place]:
        """Return the cells from which tables were laid out anew."""
        return {place for made in self._made.values() for found in made.places.values() for place in found}

    def is_laid_out(self, table: str) -> bool:
        """Tell whether a table was made of others."""
        return table in self._made

    def source(self, table: str, row: int | None, column: int | None) -> tuple[str, int | None, int | None]:
        """Return where a cell stands in the file."""
        made = self._made.get(table)
        if made is None:
            return table, row, column
        if row is None:
            return made.tables, None, None
        found = made.places.get((row, -1 if column is None else column)) or ()
        place = found[0] if found else made.first.get(row)
        return (
            (place.table, place.row, None if column is None else place.column) if place else (made.tables, None, None)
        )

    def add(
        self,
        code: str,
        *,
        table: str | None = None,
        row: int | None = None,
        column: int | None = None,
        value: object = None,
        **words: object,
    ) -> None:
        """Write down one finding; ``row`` counts from 1, ``column`` from 0."""
        place = (table, row, column) if table is None else self.source(table, row, column)
        cell = place[0]
        if cell is not None and place[1] is not None:
            cell = address(cell, place[1], place[2] or 0)
        shown = None if value is None else shown_value(value)
        words = {name: printable(word) if isinstance(word, str) else word for name, word in words.items()}
        if table is None:
            self.of_file.append(Oddity(code, value, words=words))
        found = finding(code, sheet=printable(self.sheet), cell=cell, value=shown, **words)
        order = -1 if place[0] is None else self._tables.setdefault(place[0], len(self._tables))
        self._entries.append(((order, place[1] or 0, -1 if place[2] is None else place[2], len(self._entries)), found))
        if table is not None and row is not None:
            self._rows.setdefault(table, set()).add(row)
            if column is not None:
                self._cells.add((table, row, column))

    def address(self, table: str, row: int, column: int) -> str:
        """Return where a cell stands, as people know it."""
        name, number, place = self.source(table, row, column)
        return name if number is None else address(name, number, place or 0)

    def rows_of(self, table: str) -> set[int]:
        """Return the rows of a table about which something was written down."""
        return self._rows.get(table, set())

    def mention(self, table: str, row: int, column: int) -> None:
        """Remember a cell that a finding about another cell speaks of."""
        self._cells.add((table, row, column))

    def knows(self, table: str, row: int, column: int) -> bool:
        """Tell whether something was written down about a cell."""
        return (table, row, column) in self._cells

    def rows_of_column(self, table: str, column: int) -> list[int]:
        """Return the rows in which something was written down about a cell of one column."""
        return [row for name, row, place in self._cells if name == table and place == column]

    def close_accounts(self) -> None:
        """Mark every cell that a finding names; a cell that has no mark at all is told as a fault of the program."""
        for table, made in self._made.items():
            account = self.accounts.pop(table)
            account.name([(row, column) for name, row, column in self._cells if name == table])
            account.hand_over(made.places, self.accounts)
        for table, account in self.accounts.items():
            account.name([(row, column) for name, row, column in self._cells if name == table])
            if left := account.left():
                row, column = left[0]
                self.add("cells-unaccounted", table=table, row=row, value=len(left), column=column)

    def ordered(self) -> list[Finding]:
        """Return the findings by table, row and column."""
        return [found for _, found in sorted(self._entries, key=lambda entry: entry[0])]


def printable(text: str) -> str:
    r"""Return a text without signs that would steer a terminal.

    >>> printable("a\x1b[31mb")
    'a�[31mb'
    """
    return text if text.isprintable() else "".join(c if c.isprintable() else "\ufffd" for c in text)


def shown_value(value: object) -> str:
    """Return a cell's value as people would see it, an error or a formula without a result as well, 60 signs at most.

    >>> shown_value(88.93000000000001), shown_value(6.0), shown_value(" hot ")
    ('88.93', '6', 'hot')
    """
    held = value.shown if isinstance(value, CellError) else getattr(value, "formula", value)
    text = f"{held:.10g}" if isinstance(held, float) else str(held).strip()
    text = printable(" ".join(text.split()))
    return text if len(text) <= 60 else text[:59] + "…"
