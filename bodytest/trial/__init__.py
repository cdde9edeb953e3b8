"""Before the kiln: what is taken to the bench."""
