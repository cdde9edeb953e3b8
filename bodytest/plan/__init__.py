"""From measured shrinkage to sizes: stages, matching, pieces really made, the printed ruler."""
