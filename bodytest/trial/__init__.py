"""Before the kiln: the test planned, and what is taken to the bench."""
