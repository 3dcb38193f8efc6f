"""``trainer data``: where and whose it is; check, back up, restore, export, import."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.cli import diagnostics, options, output
from trainer.cli.context import (
    CliContext,
    confirmed,
    may_fill,
    may_write,
    pass_context,
    replace_option,
    usual_options,
    want_subcommand,
    write_file,
)
from trainer.core.bounds import LARGEST_MB, why_not_parsed
from trainer.errors import DataDamagedError, ExitCode, UsageError

if TYPE_CHECKING:
    from trainer.store import Store


@click.group("data", invoke_without_command=True)
@usual_options
@click.pass_context
def data_command(ctx: click.Context) -> None:
    """Where the data is; check, back up, restore, export, import."""
    want_subcommand(ctx)


@data_command.command("path", epilog=options.epilog("trainer data path"))
@usual_options
@pass_context
def path_command(context: CliContext) -> int:
    """Print the data file's path."""
    output.exactly(str(context.db_path))
    return ExitCode.DONE


@data_command.command("name", epilog=options.epilog("trainer data name Mirel"))
@click.argument("name", required=False, metavar="[NAME]")
@click.option("--clear", is_flag=True, help="Take the name out of the file.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def name_command(
    context: CliContext, *, name: str | None, clear: bool, as_json: bool
) -> int:
    """Print the name of the file's trainee; with NAME, set it.

    It heads the screens, the page for a coach and the export, so that one person's
    log isn't taken for another's. No file needs one.
    """
    from trainer.core.answers import LONGEST_NAME, NAME_KEY, trainee_name

    if name is not None and clear:
        raise UsageError("--clear takes no name", "Leave one of the two out")
    if name is None and not clear:
        with context.open_to_read() as store:
            found = trainee_name(store.answers())
        if as_json:
            output.document({"name": found})
        elif found is None:
            output.line("No name is set. Set one: trainer data name NAME")
        else:
            output.line(found)
        return ExitCode.DONE
    said = options.parse_note(name or "", limit=LONGEST_NAME)
    if not said and not clear:
        raise UsageError("The name is empty", "To take it out, say --clear")
    with context.open_store() as store:
        store.set_answer(NAME_KEY, said)
    if as_json:
        output.document({"name": said or None})
    else:
        output.line(f"The file is {said}'s now." if said else "The file has no name.")
    return ExitCode.DONE


@data_command.command(
    "check", epilog=options.epilog("trainer data check --db other.db")
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def check(context: CliContext, *, as_json: bool) -> int:
    """Look the data file over, and say what is wrong with it."""
    store, damage = _opened_however_it_is(context)
    with store, diagnostics.working("Checking"):
        faults = store.check()
    # What keeps it from being written needn't be found when it is only read.
    ill = bool(faults or damage)
    if as_json:
        output.document({"path": str(context.db_path), "faults": faults or damage})
    else:
        for fault in faults:
            output.line(f"{fault.rstrip('.')}.")
        if not ill:
            output.line(f"{context.db_path} is well.")
    return ExitCode.DATA if ill else ExitCode.DONE


def _opened_however_it_is(context: CliContext) -> tuple[Store, list[str]]:
    """Open the data file to look it over, a damaged one too; give what was damaged."""
    from trainer.store import open_store
    from trainer.store.database import MayBe

    try:
        return context.open_to_read(must_be_there=True), []
    except DataDamagedError as damaged:
        diagnostics.error(str(damaged))
        either = MayBe.DAMAGED | MayBe.OLDER
        store = open_store(
            context.db_path, clock=context.clock, read_only=True, may_be=either
        )
        return store, [str(damaged)]


@data_command.command(
    "salvage", epilog=options.epilog("trainer data salvage read.json")
)
@click.argument("file", type=click.Path(path_type=Path))
@replace_option
@usual_options
@pass_context
def salvage(context: CliContext, *, file: Path, replace: bool) -> int:
    """Read out of a damaged data file what can be read, into FILE (- for stdout).

    The file is left as it is. What is read out is a document that import takes: into
    a new file, or into the last good copy.
    """
    from trainer.store.care.salvage import salvage as read_out

    to_stdout = str(file) == "-"
    if not to_stdout:
        may_write(file, replace=replace)
    with diagnostics.working("Reading out what can be read"):
        found = read_out(context.db_path, today=context.clock.wall().date())
    if to_stdout:
        output.document(found.document)
    else:
        text = json.dumps(found.document, ensure_ascii=False, indent=2) + "\n"
        write_file(file, text, replace=replace)
    diagnostics.say(
        f"{found.sessions} sessions and {found.holds} holds could be read;"
        f" {found.unread} rows could not. {context.db_path} is left as it is."
    )
    return ExitCode.DONE


@data_command.command("backup", epilog=options.epilog("trainer data backup"))
@click.argument("file", required=False, type=click.Path(path_type=Path))
@replace_option
@usual_options
@pass_context
def backup(context: CliContext, *, file: Path | None, replace: bool) -> int:
    """Copy the data file, to FILE or into the folder of copies beside it."""
    if file is not None:
        may_write(file, replace=replace)
    with context.open_store() as store:
        made = store.backup(file)
    output.line(f"Copied to {made}")
    return ExitCode.DONE


@data_command.command(
    "restore",
    epilog=options.epilog("trainer data restore", "trainer data restore copy.db"),
)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Don't ask.")
@click.option("--json", "as_json", is_flag=True, help="List as one JSON document.")
@usual_options
@pass_context
def restore(context: CliContext, *, file: Path | None, yes: bool, as_json: bool) -> int:
    """Go back to the copy FILE; without FILE, list the copies.

    The present file is kept beside it first, so that this can be undone.
    """
    from trainer.store import restore as restore_copy

    path = context.db_path
    if file is None:
        return _list_copies(path, as_json=as_json)
    if not file.is_file():
        file = _copy_named(path, str(file))
    if not confirmed(
        f"Put {file} in the place of {path}?",
        yes=yes,
        unasked="Nothing was restored",
    ):
        output.line("Left as it is.")
        return ExitCode.DONE
    with diagnostics.working("Restoring"):
        kept = restore_copy(path, file, clock=context.clock)
    output.line(f"Restored from {file}")
    if kept is not None:
        output.line(f"What was there is kept: {kept}")
    return ExitCode.DONE


def _list_copies(path: Path, *, as_json: bool) -> int:
    from trainer.store import list_backups

    copies = list_backups(path)
    if as_json:
        output.document(
            [
                {
                    "name": copy.name,
                    "kind": copy.kind.value,
                    "size_bytes": copy.size_bytes,
                    "path": str(copy.path),
                }
                for copy in copies
            ]
        )
        return ExitCode.DONE
    for copy in copies:
        output.line(
            f"{copy.name}  {copy.kind}  {copy.size_bytes // 1000} kB  {copy.path}"
        )
    if not copies:
        output.line("There are no copies yet. Make one: trainer data backup")
    return ExitCode.DONE


def _copy_named(path: Path, name: str) -> Path:
    """Find a copy by its name or its file's name, as the list shows them.

    Raises:
        UsageError: there is none.
    """
    from trainer.store import list_backups

    for copy in list_backups(path):
        if name in (copy.name, copy.path.name):
            return copy.path
    raise UsageError(
        f"There is no such file and no copy of that name: {name}",
        "List the copies: trainer data restore",
    )


@data_command.command(
    "export",
    epilog=options.epilog(
        "trainer data export log.json", "trainer data export --csv tables"
    ),
)
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--csv",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="A comma-separated file per table, into this folder.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON: what it is anyway.")
@replace_option
@usual_options
@pass_context
def export(
    context: CliContext,
    *,
    file: Path | None,
    folder: Path | None,
    as_json: bool,
    replace: bool,
) -> int:
    """Write all that was logged as one JSON document, to FILE or to stdout."""
    if folder is not None and (file is not None or as_json):
        raise UsageError("--csv writes into its folder only", "Leave the rest out")
    to_stdout = file is None or str(file) == "-"
    if file is not None and not to_stdout:
        may_write(file, replace=replace)
    if folder is not None:
        may_fill(folder, replace=replace)
    with context.open_to_read(must_be_there=True) as store:
        if folder is not None:
            for written in store.export_csv(folder):
                diagnostics.say(f"Written: {written}")
            return ExitCode.DONE
        document = store.export()
    if file is None or to_stdout:
        output.document(document)
        return ExitCode.DONE
    text = json.dumps(document, ensure_ascii=False, indent=2) + "\n"
    write_file(file, text, replace=replace)
    diagnostics.say(f"Written: {file}")
    return ExitCode.DONE


@data_command.command(
    "import", epilog=options.epilog("trainer data import log.json --dry-run")
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--dry-run", is_flag=True, help="Only say what it would do.")
@click.option("--yes", is_flag=True, help="Don't ask whose it is.")
@usual_options
@pass_context
def import_(context: CliContext, *, file: Path, dry_run: bool, yes: bool) -> int:
    """Take an exported document in (- for stdin): all of it or nothing.

    What is there already is known by its id, so importing twice changes nothing, and
    two machines become one. A document that may be somebody else's is asked about. A
    copy of the data file is made before.
    """
    document = read_document(file)
    with context.open_store() as store:
        doubt = store.may_be_somebody_elses(document)
        if doubt is not None and dry_run:
            diagnostics.warning(f"{doubt}.")
        elif doubt is not None and not confirmed(
            f"{doubt}. Take it in all the same?",
            yes=yes,
            unasked=f"{doubt}; nothing was imported",
        ):
            output.line("Left as it is.")
            return ExitCode.DONE
        with diagnostics.working("Importing"):
            report = store.import_document(document, dry_run=dry_run)
    would = "Would be imported" if dry_run else "Imported"
    output.line(
        f"{would}: {report.added} added, {report.updated} updated,"
        f" {report.unchanged} unchanged."
    )
    return ExitCode.DONE


def read_document(file: Path) -> object:
    """Read a JSON file that is within bounds.

    Raises:
        UsageError: it can't be read, or is no JSON.
    """
    at_most = LARGEST_MB * 1_000_000 + 1
    try:
        if str(file) == "-":
            raw = sys.stdin.buffer.read(at_most)
        else:
            with file.open("rb") as handle:
                raw = handle.read(at_most)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise UsageError(f"{file} can't be read: {reason}", "Check its name") from None
    if why_not := why_not_parsed(raw):
        raise UsageError(f"{file} {why_not}", "This can't be an export of ours")
    try:
        return json.loads(raw.decode("utf-8-sig"), parse_constant=_no_constant)
    except UnicodeDecodeError:
        raise UsageError(f"{file} is no UTF-8 text", "Export it again") from None
    except json.JSONDecodeError as error:
        raise UsageError(
            f"{file}, line {error.lineno}: no JSON ({error.msg.lower()})",
            "Export it again; nothing was changed",
        ) from None
    except (RecursionError, ValueError):
        raise UsageError(f"{file} is no JSON that we read", "Export it again") from None


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is no JSON")
