"""What stands between the commands and the person: every error one sentence, never a traceback.

Exit codes: 0 done, 2 something given cannot be used, 3 a fault of the program itself, 130 stopped by the keyboard.
With ``TEMPERBENCH_TRACE=1`` in the environment a fault of the program is raised with its trace instead.
"""

from __future__ import annotations

import os
import sys
from typing import Any, NoReturn

import click

from temperbench import __version__
from temperbench.foundation.errors import InputError, Unavailable, nearest

__all__ = ["Bench", "sentence"]


class Bench(click.Group):
    """The command group whose every failure is one sentence on stderr and an exit code."""

    def main(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Run a command line and leave the process with the code that says how it went."""
        kwargs["standalone_mode"] = False
        kwargs["prog_name"] = self.name
        for stream in (sys.stdout, sys.stderr):
            reconfigure = getattr(stream, "reconfigure", None)
            if reconfigure is not None:  # a terminal without °, for example, shows ? instead of failing
                reconfigure(errors="replace")
        sys.exit(self._guarded(*args, **kwargs))

    def _guarded(self, *args: Any, **kwargs: Any) -> int:
        try:
            code = super().main(*args, **kwargs)
            if sys.stdout is not None:  # as it is when the caller has closed it
                sys.stdout.flush()
        except click.Abort:
            click.echo("Stopped.", err=True)
            return 130
        except SystemExit:  # click's answer to a reader that stopped early, as head does: no fault
            return 0
        except BrokenPipeError:  # the same, noticed at the last flush; what is left over goes nowhere
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return 0
        except (InputError, Unavailable, click.ClickException, OSError) as error:
            click.echo(sentence(error), err=True)
            return 2
        except Exception as error:
            if os.environ.get("TEMPERBENCH_TRACE"):
                raise
            click.echo(_apology(error), err=True)
            return 3
        return code if isinstance(code, int) else 0

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command meant, or name the nearest one."""
        name = args[0] if args else ""
        if name and not name.startswith("-") and self.get_command(ctx, name) is None:
            known = self.list_commands(ctx)
            guess = nearest(name[:80], known)
            advice = f"did you mean “{guess}”?" if guess else "see temperbench --help"
            raise InputError("command", name, ", ".join(known), advice)
        return super().resolve_command(ctx, args)


def sentence(error: Exception) -> str:
    """Return an error as one line that a terminal can show.

    Parameters
    ----------
    error : Exception
        What went wrong. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    if isinstance(error, click.ClickException):
        text = _usage(error)
    elif isinstance(error, OSError):
        named = f"{error.filename}: " if error.filename else "output: "
        text = f"{named}{error.strerror or error}; check that it can be written and has room."
    elif isinstance(error, Unavailable):
        text = str(error).replace("press again", "try again")  # there is no key to press here
    else:
        text = str(error)
    return _printable(text)


def _usage(error: click.ClickException) -> str:
    """Say what is wrong with the way options were given."""
    context = getattr(error, "ctx", None)
    command = where = context.command_path if context is not None else "temperbench"
    if isinstance(error, click.NoSuchOption) and context is not None:
        known = [name for parameter in context.command.get_params(context) for name in parameter.opts]
        guess = nearest(error.option_name[:80], [name for name in known if name.startswith("--")])
        advice = f"did you mean “{guess}”?" if guess else f"see {where} --help."
        return f"{error.option_name}: not an option of {where}; {advice}"
    if isinstance(error, click.BadOptionUsage):
        where = error.option_name
    text = " ".join(error.format_message().split()).rstrip(".")
    return f"{where}: {text[:1].lower()}{text[1:]}; see {command} --help."


def _apology(error: Exception) -> str:
    told = " ".join(str(error).split())[:200]
    return _printable(
        f"Sorry, temperbench {__version__} met a fault of its own ({type(error).__name__}: {told}); "
        "please report this line with the command and the job file."
    )


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in " ".join(text.split()))
