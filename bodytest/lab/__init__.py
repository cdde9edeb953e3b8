"""Lab methods, one a file: plain numbers and arrays in and out, formula and source in each docstring."""
