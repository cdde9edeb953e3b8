"""From measured shrinkage to the next piece: sizes at each stage, clay mass and capacity, matching, and the ruler."""
