"""Files on disk: written whole or not at all, named safely, repeatable to the byte."""
