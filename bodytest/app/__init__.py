"""The pages of ``bodytest open``: one module a page, each with its routes and a template; they call what commands call.

``server`` puts them together behind ``security``; ``page`` turns what was asked into an answer; ``folder`` is all of
the disk that pages see. A new page is a module with ``ROUTES``, a template, a line in ``server.PAGES`` and, if it is
about a sheet, one in ``page.OF_A_SHEET``.
"""
