"""The sections of a page: results in, finished strings out, one section a module."""
