"""The page for the house's own network: encrypted, for paired phones."""

from typing import Annotated

import typer


def serve(
    address: Annotated[
        str, typer.Option(metavar="ADDRESS", help="This machine's own address in your network; else it is looked up.")
    ] = "",
    port: Annotated[int, typer.Option(min=1024, max=65535, help="Where the page is.")] = 8443,
) -> None:
    """Serve the page to phones in your own network, encrypted, and only to those that you pair.

    On this machine open the address that is printed, and choose "Pair a phone": it shows a square code that pairs one
    phone to a kitchen for a shift. Other devices see nothing. The first time this makes a certificate for this machine.

    Example: **python -m grader serve**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.serving import own_address, serve_house

    with plain_words():
        here = address or own_address()
        raise typer.Exit(serve_house(here, port, tell=typer.echo))
