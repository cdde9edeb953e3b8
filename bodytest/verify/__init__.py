"""Published check values, run on this installation: read the examples, compute them with the program, compare."""
