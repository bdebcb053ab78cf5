"""The group of commands. Help and completion know them by name; a command is imported only when it runs."""

from __future__ import annotations

from importlib import import_module

import click

from .. import LANGUAGE, __version__

COMMANDS = {
    "draft": "Start an edition: a first one, or an amendment of another.",
    "enact": "Enact an edition: from then on no change of it goes unnoticed.",
    "judge": "Judge recorded tests by an edition, and explain the verdict.",
    "limits": "Every figure that a test must meet, before any reading.",
    "proofread": "Everything wrong with an edition, with its place.",
    "ready": "Which tests of the programme are passed, missing, failed, invalid or expired.",
    "recheck": "Judge again from a stored verdict: does it still hold?",
    "redline": "What a new edition changes, in wording and in effect.",
    "replay": "Which recorded tests come out differently under another edition.",
    "sheet": "The form of a test, to be filled in on paper or in a browser.",
    "shelf": "The rulesets and editions at hand.",
}


class Commands(click.Group):
    """Commands by name, imported late."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command = getattr(import_module(f".{cmd_name}", __package__), cmd_name)
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        from ..lang.problem import did_you_mean, visible

        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            help = did_you_mean(args[0], COMMANDS, f"there are: {', '.join(COMMANDS)}")
            ctx.fail(f"there is no command `{visible(args[0])}`; {help}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(cls=Commands, context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 100})
@click.version_option(__version__, message=f"tautbook %(version)s, language {LANGUAGE}")
def tautbook() -> None:
    """Judge recorded tests of structural bolting by the edition of the rules that the contract names.

    A verdict is not an acceptance of the work: the contract, the local code, the makers' instructions and the
    licensed engineer govern.
    """
