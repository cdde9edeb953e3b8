"""Grids → tables: headings get their meaning, rows become typed columns, columns become bars, firings, lab, pieces.

A grid's headings get their meaning (``vocabulary``, ``headings``, ``heading_row``); rows below become typed columns
(``columns``, ``cells``, ``commas``, ``broken_rows``, ``merged_cells``) and then marks and bars (``merging``,
``bars``); the other tables become what they are (``firings``, ``firings_from_bars``, ``lab_table``, ``pieces``,
``steps``); names are settled over all workbooks (``names``, ``copies``). `bodytest.reading` calls them.
"""
