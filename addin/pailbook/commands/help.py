"""How the help of every command reads, and in which order it lists the commands."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup

from pailbook.nearest import there_are

BEGIN, FILL, CHECK, SHARE, FUNCTIONS = (
    "Begin here", "Make a workbook and fill it", "Calculate and check it", "Share it", "The worksheet functions")
SECTIONS = (BEGIN, FILL, CHECK, SHARE, FUNCTIONS)
COMMANDS = "Commands"  # the one section of a command that has commands of its own
WrongUse: type[Exception] = typer.BadParameter.__bases__[0]
"""What the library raises for any wrong use: one class with a message and, mostly, a context."""
CHOICES = "{choices}"  # in a help text: all that completion offers there
REQUIRED, DEFAULT = " Required.", " Default: "  # behind a help text
_OF_ALL = {"help": "Show this help."}  # by the parameter's name


def summary(command: Any) -> str:
    """The first sentence of a command's help, which stands in the list of commands."""
    return " ".join(str(command.help or "").split("\n\n")[0].split()).rstrip(".")


class Command(TyperCommand):
    """A command whose help is laid out like that of all others."""

    allow_extra_args = True  # they are refused below, with a message of our own

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Parse the arguments; one too many is wrong use."""
        try:
            rest: list[str] = super().parse_args(ctx, args)
        except WrongUse as problem:
            problem.ctx = ctx  # type: ignore[attr-defined]  # which it lacks where an option's value is missing
            raise
        if rest and not ctx.resilient_parsing:
            ctx.fail(f"there is one argument too many, {rest[0]!r}; expected: {' '.join(_usage(self, ctx))}")
        return rest

    def get_short_help_str(self, limit: int = 0) -> str:
        """The summary, uncut, for completion."""
        return summary(self)

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write the help."""
        _write(self, ctx, formatter)


class Group(TyperGroup):
    """Commands in their order of use; without any, the help is shown."""

    def list_commands(self, ctx: Any) -> list[str]:
        """The commands' names, section by section."""
        def section(name: str) -> int:
            panel = getattr(self.commands[name], "rich_help_panel", None)
            return SECTIONS.index(panel) if panel in SECTIONS else len(SECTIONS)

        return sorted(self.commands, key=section)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Parse the arguments; without any, the help is what is wanted."""
        return super().parse_args(ctx, args or ([] if ctx.resilient_parsing else ["--help"]))

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command that is meant; an unknown one is wrong use."""
        name = args[0]
        if self.get_command(ctx, name) is None and not ctx.resilient_parsing and not name.startswith("-"):
            ctx.fail(f"there is no command {name!r}; {there_are(name, self.list_commands(ctx))}")
        return super().resolve_command(ctx, args)

    def get_short_help_str(self, limit: int = 0) -> str:
        """The summary, uncut, for completion."""
        return summary(self)

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write the help."""
        _write(self, ctx, formatter)


def shown(parameter: Any) -> str:
    """A parameter as people type it: LOG, or --since DATE."""
    if parameter.param_type_name == "argument":
        return str(parameter.metavar or parameter.name.upper())
    return " ".join(filter(None, (min(parameter.opts, key=len), _value(parameter))))


def help_of(parameter: Any, ctx: Any) -> str:
    """The help of a parameter, with the names to choose from and its default."""
    text = _OF_ALL.get(parameter.name, parameter.help or "")
    if CHOICES in text:
        offered = parameter.shell_complete(ctx, "") or parameter.shell_complete(ctx, "=")  # what follows a heading
        text = text.replace(CHOICES, ", ".join(item.value.lstrip("=") for item in offered))
    if parameter.param_type_name == "option" and parameter.required:
        return text + REQUIRED
    usual = parameter.default
    return text if usual in (None, False) or DEFAULT in text else f"{text}{DEFAULT}{usual}."


def _value(parameter: Any) -> str:
    return "" if getattr(parameter, "is_flag", False) else str(parameter.metavar or parameter.name.upper())


def _usage(command: Any, ctx: Any) -> Iterator[str]:
    for parameter in command.get_params(ctx):
        name = shown(parameter)
        if parameter.param_type_name == "argument":
            name += " ..." if parameter.nargs != 1 else ""
            yield name if parameter.required else f"[{name}]"
        elif parameter.required:
            yield name
    yield "COMMAND [options]" if hasattr(command, "commands") else "[options]"


def _write(command: Any, ctx: Any, formatter: Any) -> None:
    formatter.write_usage(ctx.command_path, " ".join(_usage(command, ctx)))
    formatter.write_paragraph()
    with formatter.indentation():
        formatter.write_text(command.help)
    parameters = [one for one in command.get_params(ctx) if not getattr(one, "hidden", False)]
    _section(formatter, "Arguments", [
        (shown(one), help_of(one, ctx)) for one in parameters if one.param_type_name == "argument"])
    if isinstance(command, Group):
        named = [(name, command.commands[name]) for name in command.list_commands(ctx)]
        for title in dict.fromkeys(getattr(one, "rich_help_panel", None) for _, one in named):
            _section(formatter, str(title), [
                (name, summary(one)) for name, one in named if getattr(one, "rich_help_panel", None) == title])
    _section(formatter, "Options", [
        (f"{', '.join(sorted(one.opts, key=len) + one.secondary_opts)} {_value(one)}".rstrip(), help_of(one, ctx))
        for one in parameters if one.param_type_name == "option"])
    for text in (command.epilog or "").split("\n\n"):
        title, *lines = text.splitlines() or [""]
        if title:
            formatter.write(f"\n{title}\n" + "".join(f"  {line}\n" for line in lines))


def _section(formatter: Any, title: str, rows: list[tuple[str, str]]) -> None:
    if rows:
        with formatter.section(title):
            formatter.write_dl(rows)
