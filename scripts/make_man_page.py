#!/usr/bin/env python3
"""Write the man page from the help as the program gives it.

    make_man_page.py [FILE]      FILE: scripts/man/trainer.1, or - for stdout

One page for the program and all its commands, in man(7) macros (click-man makes one for
each, without examples, and finds no command that is loaded when it is called). What is
said in it is said by the help alone: to change the page, change the help, and run this
again. A test compares the two.
"""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

import trainer
from trainer.cli.main import cli

PAGE = Path(__file__).parent / "man" / "trainer.1"
WIDTH = 68
EVERYWHERE = {"db", "help"}
"""Options of every command, which are said once."""


def page() -> str:
    """Return the whole page."""
    ctx = click.Context(cli, info_name="trainer")
    lines = [
        '.\\" Made from the help by scripts/make_man_page.py',
        f'.TH TRAINER 1 "" "trainer {trainer.__version__}" "User Commands"',
        ".SH NAME",
        f"trainer \\- {escaped(subject(cli.help or ''))}",
        ".SH SYNOPSIS",
        ".B trainer",
        escaped(" ".join(cli.collect_usage_pieces(ctx))),
        ".SH DESCRIPTION",
        *prose(without_first(cli.help or ""))[1:],
        ".SH OPTIONS",
        *options(ctx, but=set()),
        ".SH COMMANDS",
    ]
    for command, sub in leaves(ctx):
        lines += section(command, sub)
    lines += [".SH ENVIRONMENT AND EXIT STATUS", *prose(cli.epilog or "")[1:]]
    return "\n".join(lines) + "\n"


def leaves(ctx: click.Context) -> Iterator[tuple[click.Command, click.Context]]:
    """Return every command that does something, in the order of the help."""
    group = ctx.command
    if not isinstance(group, click.Group):
        return
    for name in group.list_commands(ctx):
        command = group.get_command(ctx, name)
        if command is None:
            continue
        sub = click.Context(command, info_name=name, parent=ctx)
        if isinstance(command, click.Group):
            yield from leaves(sub)
        else:
            yield command, sub


def section(command: click.Command, ctx: click.Context) -> list[str]:
    """Return what is said of one command."""
    usage = escaped(" ".join(command.collect_usage_pieces(ctx)))
    return [
        f".SS {escaped(ctx.command_path)}",
        f".B {escaped(ctx.command_path)}",
        usage,
        *prose(command.help or ""),
        *options(ctx),
        *prose(command.epilog or ""),
    ]


def options(ctx: click.Context, *, but: set[str] = EVERYWHERE) -> list[str]:
    """Return each option with its help."""
    lines = []
    for parameter in ctx.command.get_params(ctx):
        record = parameter.get_help_record(ctx)
        if (
            not isinstance(parameter, click.Option)
            or parameter.name in but
            or not record
        ):
            continue
        names, said = record
        lines += [".TP", f"\\fB{escaped(names)}\\fR", *text_lines(said)]
    return lines


def prose(text: str) -> list[str]:
    """Return paragraphs; one that click leaves as it is, is left so here, too."""
    lines = []
    for paragraph in re.split(r"\n\s*\n", textwrap.dedent(text).strip()):
        if paragraph.startswith("\b"):
            head, *rows = paragraph.lstrip("\b\n").splitlines()
            lines += [".PP", escaped(head), ".PP", ".nf", ".RS 4"]
            lines += [escaped(row.strip()) for row in rows]
            lines += [".RE", ".fi"]
        elif paragraph:
            lines += [".PP", *text_lines(paragraph)]
    return lines


def text_lines(text: str) -> list[str]:
    """Return a text in lines of a usual width, as readers of the source like it."""
    return [escaped(row) for row in textwrap.wrap(" ".join(text.split()), WIDTH)]


def subject(text: str) -> str:
    """Return the help's first line, as the page's name wants it: without a stop."""
    return text.strip().partition("\n\n")[0].rstrip(".").replace("\n", " ")


def without_first(text: str) -> str:
    """Return what follows the first paragraph."""
    return text.strip().partition("\n\n")[2]


def escaped(text: str) -> str:
    """Return a line that roff takes as text: no escapes, no request at its start."""
    said = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{said}" if said.startswith((".", "'")) else said


def main() -> int:
    """Write the page where it was asked for."""
    where = sys.argv[1] if len(sys.argv) > 1 else str(PAGE)
    if where == "-":
        print(page(), end="")
        return 0
    path = Path(where)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(page(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
