"""How people lay out and name things in sheets of their own: one vocabulary for headings, titles and rows.

`vocabulary.toml` says what words mean, `words` reads headings by it, `headings` takes them apart, and `vocabulary`
holds the columns that our own tables have. A new word is one line in `vocabulary.toml`.
"""
