"""From checked tables to results: the only place where lab methods and statistics meet."""
