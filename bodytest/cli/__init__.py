"""The command line, the only printer: one command a module, slow imports inside the commands."""
