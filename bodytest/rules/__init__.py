"""Checked tables → findings: what is impossible, what is implausible, which slip would explain it."""
