"""Spreadsheets in, checked tables out; the blank sheet and the marked copy.

Reading goes one way. A file becomes grids of raw cells (``workbook``, ``xlsx``, ``ods``, ``delimited``, ``quoting``,
``xml_parts``, ``grid``); a grid's headings get their meaning (``vocabulary``, ``headings``, ``heading_row``); the
rows below become typed columns (``columns``, ``cells``, ``commas``, ``broken_rows``, ``merged_cells``); rows become
marks and bars (``merging``, ``bars``), and the other tables what they are (``firings``, ``firings_from_bars``,
``lab_table``, ``pieces``, ``steps``); names are settled over all workbooks (``names``, ``repeats``, ``copies``);
rules look at readings beside each other and beside their neighbours (``rules``, ``impossible``, ``plausible``,
``magnitudes``, ``neighbours``, ``slips``, ``completeness``). ``reading`` calls them in this order, and each writes
what it finds into a ``notebook``.
"""
