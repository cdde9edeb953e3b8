"""Wrong usage in plain words: the framework finds it, the sentence is ours."""

import re
from typing import Any

from bodytest.cli import console

_IN_OUR_WORDS = (
    (re.compile(r"Value error, "), ""),
    (re.compile(r"Input should be a valid integer.*"), "a whole number is needed."),
    (re.compile(r"does not match the formats '%Y-%m-%d'"), "is no date; write it as 2026-03-09"),
)


def reword(message: str) -> str:
    """Return the framework's message in our words.

    >>> reword("Input should be a valid integer, unable to parse string as an integer")
    'a whole number is needed.'
    >>> reword("Value error, 'ft' is not one of 'mm', 'cm', 'in'.")
    "'ft' is not one of 'mm', 'cm', 'in'."
    """
    for pattern, ours in _IN_OUR_WORDS:
        message = pattern.sub(ours, message)
    return message


def is_wrong_usage(error: Exception) -> bool:
    """Say whether the framework raised the error about what was typed after the command's name."""
    return hasattr(error, "format_message") and hasattr(error, "exit_code")


def explain(error: Any) -> int:
    """Tell the usage and what is wrong with it; return the exit code."""
    from bodytest.findings import finding

    if isinstance(getattr(error, "message", None), str):
        error.message = reword(error.message)
    if type(error).__name__ == "NoArgsIsHelpError":
        console.tell(*error.format_message().splitlines())
        return int(error.exit_code)
    command, usage = "bodytest", []
    if error.ctx is not None:
        command = error.ctx.command_path
        usage = [*error.ctx.get_usage().splitlines(), f"Try '{command} --help' for help.", ""]
    wrong = finding("wrong-usage", value=error.format_message(), command=command)
    console.refuse([wrong], error.exit_code, in_words=[*usage, f"Error: {error.format_message()}"])
    return int(error.exit_code)
