"""Results as pages: wording, charts, page data (finished strings), templates that only loop and ask."""
