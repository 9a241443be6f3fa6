"""``partcheck ask``: a group whose commands are made when one is used, so that the help of others stays quick."""

from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperGroup

from partcheck.cli.app import Answer, app
from partcheck.errors import UsageError

if TYPE_CHECKING:
    from partcheck.jobs.ask.topics import AskTopic


class ByTopic(TyperGroup):
    """One command for each topic: ``partcheck ask mosfet``."""

    def list_commands(self, ctx: Any) -> list[str]:
        """The names of the topics."""
        return list(_topics())

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of a topic; None where there is no such topic."""
        from partcheck.cli.ask.topics import command_of

        found = _topics().get(cmd_name)
        return command_of(found) if found is not None else None

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command of a topic; what is none is told with the one that may have been meant."""
        topics = _topics()
        if args and args[0] not in topics and not args[0].startswith("-"):
            from difflib import get_close_matches  # not needed while nothing is wrong

            close = get_close_matches(args[0], topics, 1)
            raise UsageError(
                f"{args[0]!r} is not what can be asked about; "
                + (f"did you mean {close[0]}?" if close else _known(topics))
            )
        return super().resolve_command(ctx, args)


def _known(topics: "dict[str, AskTopic]") -> str:
    return f"write one of {', '.join(topics)}"


def _topics() -> "dict[str, AskTopic]":
    from partcheck.jobs.ask.topics import TOPICS

    return TOPICS


group = typer.Typer(
    cls=ByTopic,
    help="Ask about one part with no board file: will it do, and what else would?",
    short_help="Ask about one part with no board file.",
    no_args_is_help=False,
    rich_markup_mode=None,
    invoke_without_command=True,
)
app.add_typer(group, name="ask")


@group.callback()
def choose(context: typer.Context) -> Answer | None:
    """Ask about one part with no board file: will it do, and what else would?"""
    if context.invoked_subcommand is not None:
        return None
    from partcheck.cli.ask.interview import chosen_topic
    from partcheck.cli.ask.topics import run

    return run(chosen_topic(_topics()), {}, [], None, None, 5, False, None, None, None, False)
