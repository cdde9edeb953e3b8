"""Every option is written in one way and means one thing, whatever the command; options.txt beside this lists them all.

After a wanted change: ``python -m tests.cli.test_options`` writes options.txt anew.
"""

import re
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

import pytest
import typer

from bodytest.cli.app import app

COMMANDS = typer.main.get_command(app).commands
GOES_ON = {"open", "watch"}
"""Commands that go on until they are stopped have no answer that could be JSON."""
REPEATABLE = " Repeatable."
TABLE = Path(__file__).with_name("options.txt")


def options_of(command):
    """Return the options of a command by name, without ``--help``."""
    params = [p for p in COMMANDS[command].params if p.param_type_name == "option" and not p.hidden]
    return {max(p.opts, key=len): p for p in params}


def wording(option):
    """Return how an option is written and what it means."""
    written = ", ".join(sorted([*option.opts, *option.secondary_opts]))
    return f"{written} {option.metavar or ''}".strip(), (option.help or "").removesuffix(REPEATABLE)


def table():
    """Return all commands and options as text."""
    lines = []
    for name, command in COMMANDS.items():
        arguments = [p.metavar or p.name.upper() for p in command.params if p.param_type_name == "argument"]
        lines.append(" ".join([name, *arguments]))
    commands = defaultdict(list)
    for name in COMMANDS:
        for option, found in options_of(name).items():
            commands[option, *wording(found)].append(name)
    for (_, written, meant), names in sorted(commands.items()):
        lines += ["", f"{written}: {meant}", f"    {', '.join(names)}"]
    return "\n".join([*lines, ""])


@pytest.mark.parametrize("option", sorted({option for command in COMMANDS for option in options_of(command)}))
def test_an_option_is_written_in_one_way_and_means_one_thing(option):
    found = {name: options_of(name)[option] for name in COMMANDS if option in options_of(name)}
    assert len({wording(one) for one in found.values()}) == 1, found.keys()


def test_no_two_options_mean_the_same():
    meant = defaultdict(set)
    for name in COMMANDS:
        for option, found in options_of(name).items():
            assert found.help, (name, option)
            meant[found.help.removesuffix(REPEATABLE)].add(option)
    assert {told: names for told, names in meant.items() if len(names) > 1} == {}


@pytest.mark.parametrize("command", COMMANDS)
def test_an_option_that_can_be_given_several_times_says_so(command):
    told = {name: (one.help or "").endswith(REPEATABLE) for name, one in options_of(command).items()}
    taken = {name: one.multiple or name == "--sizes" for name, one in options_of(command).items()}
    told |= {"--sizes": True} if "--sizes" in told else {}
    assert told == taken


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_answers_in_the_ways_that_all_have(command):
    options = options_of(command)
    assert "--quiet" in options
    assert ("--json" in options) != (command in GOES_ON)
    sheets = {p.name for p in COMMANDS[command].params} & {"sheets", "sources"}
    assert ({"--from", "--as", "--unit"} <= options.keys()) == bool(sheets)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_says_what_to_type_in_words(command):
    found = COMMANDS[command]
    told = found.get_help(typer.Context(found, info_name=f"bodytest {command}"))
    assert told.startswith(f"Usage: bodytest {command} [OPTIONS]")
    assert not re.search(r"<|\bint\b|range\]|x[<>]=|\]\.\.\.|[{}]", told)


def test_the_table_of_options_is_that_of_the_program():
    assert table() == TABLE.read_text(encoding="utf-8")


def test_completion_can_be_shown_for_the_shell_that_runs_it():
    asked = f"'{sys.executable}' -m bodytest --show-completion && true"  # so that the shell stays its parent
    said = subprocess.run(["bash", "-c", asked], capture_output=True, text=True, check=False)
    assert (said.returncode, said.stderr) == (0, "")
    assert "=complete_bash" in said.stdout


def test_completion_knows_commands_and_options(monkeypatch, capfd):
    for typed, place, offered in (("bodytest si", 1, "size"), ("bodytest match --conf", 2, "--confidence")):
        monkeypatch.setenv("_BODYTEST_COMPLETE", "complete_bash")
        monkeypatch.setenv("COMP_WORDS", typed)
        monkeypatch.setenv("COMP_CWORD", str(place))
        with pytest.raises(SystemExit) as left:
            app(prog_name="bodytest")
        assert not left.value.code
        assert capfd.readouterr().out.split() == [offered]


if __name__ == "__main__":
    TABLE.write_text(table(), encoding="utf-8")
