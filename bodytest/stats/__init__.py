"""Statistics on plain arrays: one batch, several batches, outliers, limits, comparison, response, time, counts."""
