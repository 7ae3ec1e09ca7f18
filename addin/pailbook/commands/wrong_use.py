"""The message for a command line that cannot be understood, worded like all other messages."""

from __future__ import annotations

from typing import Any

from pailbook.commands.help import DEFAULT, REQUIRED, help_of, shown
from pailbook.nearest import nearest


def message_of(problem: Any) -> str:
    """What is wrong, what is expected, and where to read on."""
    page = problem.ctx.command_path if problem.ctx else "pailbook"
    what = _what(problem)
    return f"{what} See: {page} --help" if what.endswith("?") else f"{what}; see: {page} --help"


def _what(problem: Any) -> str:
    parameter, ctx = getattr(problem, "param", None), problem.ctx
    message = str(problem.message).rstrip(".")
    if hasattr(problem, "param_type") and parameter is not None:  # something is missing
        return f"{shown(parameter)} is missing: {_expected(parameter, ctx)}"
    if hasattr(problem, "possibilities"):
        names = [name for one in ctx.command.get_params(ctx) for name in (*one.opts, *one.secondary_opts)
                 if name.startswith("-")]
        question = nearest(problem.option_name, names)
        return f"there is no option {problem.option_name}{'; ' if question else ''}{question}"
    if name := getattr(problem, "option_name", ""):
        for one in ctx.command.get_params(ctx):
            if name in (*one.opts, *one.secondary_opts):
                is_flag = getattr(one, "is_flag", False)
                return f"{name} takes no value" if is_flag else f"{shown(one)} needs a value: {_expected(one, ctx)}"
    if parameter is not None:
        return f"{shown(parameter)}: {message}; expected: {_expected(parameter, ctx)}"
    return message


def _expected(parameter: Any, ctx: Any) -> str:
    text = help_of(parameter, ctx).removesuffix(REQUIRED).split(DEFAULT)[0].rstrip(".")
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text
