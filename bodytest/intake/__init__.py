"""Spreadsheets in: workbook → headings → rows → rules → checked tables; the blank sheet and the marked copy."""
