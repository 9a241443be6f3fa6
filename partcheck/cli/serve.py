"""The command that opens the answers in a browser."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from partcheck.cli.app import Answer, CatalogAt, PartsFrom, PolicyName, app

Folder = Annotated[
    Path,
    typer.Argument(metavar="FOLDER", help="Folder of board files (default: this one).", show_default=False),
]


@app.command(short_help="Open the boards of a folder in a browser.")
def serve(
    folder: Folder = Path(),
    port: Annotated[
        int, typer.Option(help="Port to listen on; 0: the first free one from 8790.", min=0, max=65535)
    ] = 0,
    address: Annotated[
        str, typer.Option(help="Address to listen on; any but this machine's own needs --read-only.")
    ] = "127.0.0.1",
    name: Annotated[
        list[str] | None,
        typer.Option("--name", metavar="HOST", help="A name under which a proxy passes requests on; may be repeated."),
    ] = None,
    read_only: Annotated[
        bool, typer.Option("--read-only", help="Write nothing: no board, no record, no part.")
    ] = False,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
) -> Answer:
    """Open the boards of a folder in a browser on this machine; the address that is printed holds the key to it.

    Runs until it is interrupted (Ctrl-C). Needs the extra `partcheck[serve]`.
    """
    from partcheck.catalog.place import find_place
    from partcheck.errors import UsageError
    from partcheck.scratch import tidy
    from partcheck.serve.running import serve as run
    from partcheck.serve.serving import Serving

    if not folder.is_dir():
        raise UsageError(f"{folder} is not a folder; name one that holds board files (.toml)")
    if address not in ("127.0.0.1", "::1", "localhost") and not read_only:
        raise UsageError(
            f"--address {address} lets other machines in, which may only look; add --read-only, or leave --address out"
        )
    find_place(catalog)  # an address that cannot be read is refused before anything is opened
    serving = Serving(folder, tuple(parts or ()), catalog, policy, read_only, address, port, tuple(name or ()))
    if left := tidy():
        print(f"partcheck: removed what an interrupted run had left behind: {', '.join(left)}", file=sys.stderr)
    run(serving, lambda where: print(f"partcheck: open {where}\npartcheck: stop with Ctrl-C", file=sys.stderr))
    return Answer("Ended; nothing is left open.")
