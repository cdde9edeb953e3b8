"""The help of a command in plain words, where typer names types as Python does."""

import re
from itertools import pairwise
from typing import Any

from typer.core import TyperCommand

_TYPES = {"str": "TEXT", "path": "PATH", **dict.fromkeys(("int", "float", "int range", "float range"), "NUMBER")}


class PlainCommand(TyperCommand):
    """A command whose help says what to type: ``NUMBER`` for ``<int range>``, ``1 to 20`` for ``1<=x<=20``."""

    def collect_usage_pieces(self, ctx: Any) -> list[str]:
        """Return what stands behind the command's name, arguments as they are named here."""
        arguments = [param for param in self.get_params(ctx) if param.param_type_name == "argument"]
        return [self.options_metavar or "", *(param.metavar or param.name.upper() for param in arguments)]

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Take in what was typed; where a value is missing, or is one too many, say it as the help does."""
        try:
            return super().parse_args(ctx, self._until_a_value_is_missing(ctx, args))
        except Exception as error:
            if type(error).__name__ == "BadOptionUsage":
                self._reword(error, ctx)
            raise

    def _options(self, ctx: Any) -> dict[str, Any]:
        """Return what the command takes, by each of its names."""
        return {name: param for param in self.get_params(ctx) for name in (*param.opts, *param.secondary_opts)}

    def _until_a_value_is_missing(self, ctx: Any, args: list[str]) -> list[str]:
        """Return what was typed, up to an option that has another one where its value should stand."""
        options = self._options(ctx)
        typed = args[: args.index("--")] if "--" in args else args
        for number, (option, behind) in enumerate(pairwise(typed), start=1):
            if option in options and behind in options and not options[option].is_flag:
                return args[:number]
        return args

    def _reword(self, error: Any, ctx: Any) -> None:
        option = self._options(ctx)[error.option_name]
        name, _ = option.get_help_record(ctx) or ("", "")
        wrong = "takes no value" if option.is_flag else "needs a value behind it"
        error.ctx = ctx
        error.message = f"{error.option_name} {wrong}. {_plain(name, 'option')}: {option.help}"

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write what the command takes: arguments by their name alone, options with what stands behind them."""
        for kind in ("argument", "option"):
            params = [param for param in self.get_params(ctx) if param.param_type_name == kind]
            records = [record for param in params if (record := param.get_help_record(ctx))]
            if records:
                with formatter.section(f"{kind.capitalize()}s"):
                    formatter.write_dl([(_plain(name, kind), _range(told)) for name, told in records])


def _plain(name: str, kind: str) -> str:
    """Return how an argument or option is written.

    >>> _plain("SHEET... <list[Path]>", "argument"), _plain("--shelves <int range>", "option")
    ('SHEET...', '--shelves NUMBER')
    >>> _plain("--order <date|listed>", "option")
    '--order date|listed'
    """
    written, _, rest = name.partition(" <")
    of_python = rest.removesuffix(">").removeprefix("list[").removesuffix("]")
    return f"{written} {_TYPES.get(of_python, of_python)}" if rest and kind == "option" else written


def _range(told: str) -> str:
    """Return the help of an option with the range of its numbers in words.

    >>> _range("Shelves in one load.  [default: 1; 1<=x<=20]")
    'Shelves in one load.  [default: 1; 1 to 20]'
    """
    return re.sub(r"(\S+)<=x<=(\S+)\]", r"\1 to \2]", told).replace("x>=", "at least ")
