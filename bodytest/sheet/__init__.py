"""The blank workbook that people fill in: guide, tables, drop-down lists, live formulas."""
