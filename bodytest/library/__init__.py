"""What a script imports: each function of `bodytest`, with its boundary checked before anything is computed."""
