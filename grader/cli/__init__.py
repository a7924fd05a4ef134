"""The command line: thin, every command one call into the rooms below."""


def main() -> None:
    """Run the command line; what is heavy is imported by the command that needs it, so that help comes at once."""
    from grader.cli.commands import app

    app()
