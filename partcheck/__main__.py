"""The command ``partcheck``: run one command, print its answer, end with its exit code.

The answer is printed out here and not inside a command, so that a reader who closes the pipe early changes
nothing about the exit code.

``process`` is the whole of a process of its own, and may tune it; ``main`` may be called by any other program, and
leaves that program's process as it was.
"""

import gc
import os
import re
import sys
from contextlib import suppress
from typing import NoReturn

try:
    import typer

    from partcheck.cli import Answer, app
    from partcheck.cli.consoles import prepare, reopen
    from partcheck.cli.progress import watching
    from partcheck.errors import PartcheckError, masked, plainly, shortened
    from partcheck.inputs import piped_once
    from partcheck.scratch import swept
except KeyboardInterrupt:  # these take the better part of a second
    sys.exit(130)

WRONG_USE, INTERNAL, INTERRUPTED = 2, 70, 130
SMALLER = "give fewer or smaller files, fewer parts, or a coarser --grid; or close other programs"
MOST_TOLD = 200
"""Further sentences of one error; who mends that many sees the next ones in the next run."""
SELDOM = 200_000
"""Objects made between two looks for cycles, in a process that runs one command and ends."""


def _say(sentence: str, details: tuple[str, ...] = ()) -> None:
    head, _, first = sentence.partition(", first ")
    if first and details and first in details[0]:  # told once: in the list, or alone in the sentence
        sentence, details = (head, details) if len(details) > 1 else (f"{head}, first {details[0]}", ())
    listed = [f"  {detail}" for detail in details[:MOST_TOLD]]
    if len(details) > MOST_TOLD:
        listed.append(f"  and {len(details) - MOST_TOLD} more")
    for line in (f"partcheck: {sentence}", *listed):
        with suppress(OSError):  # nobody is left to be told
            print(shortened(masked(line)), file=sys.stderr)


def _print(answer: Answer) -> None:
    try:
        for note in answer.notes:
            print(note, file=sys.stderr)
        print(answer.text)
        sys.stdout.flush()
    except BrokenPipeError:  # the reader has left: the verdict stands
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)


def process() -> NoReturn:
    """Run one command as the whole of this process."""
    gc.set_threshold(SELDOM)  # a command is over in a second; looking for cycles all the time would cost a tenth of it
    reopen()
    if sys.flags.optimize > 1:  # claims and meanings are told from docstrings, which such a Python leaves out
        _say("PYTHONOPTIMIZE=2 (or -OO) takes away texts that answers are made of; unset it or set it to 1")
        sys.exit(WRONG_USE)
    try:
        main()
    finally:
        if "sqlite3" not in sys.modules:  # a database left open is closed by the last look for cycles
            gc.freeze()  # what is left goes with the process; looking through it would cost a tenth of a second


def main() -> NoReturn:
    """Run one command."""
    code = WRONG_USE
    left: list[str] = []
    prepare(sys.argv[1:])
    try:
        with piped_once(), watching(), swept() as left:
            answer = app(standalone_mode=False, prog_name="partcheck")
        if isinstance(answer, Answer):
            code = answer.code
            _print(answer)
        else:
            code = answer or 0
    except (Exception, KeyboardInterrupt) as wrong:
        code = _failed(wrong)
    if left:
        listed = ", ".join(left[:5]) + (f" and {len(left) - 5} more" if len(left) > 5 else "")
        _say(f"removed what an interrupted run had left behind: {listed}")
    sys.exit(code)


def _failed(wrong: BaseException) -> int:
    """Say in a sentence why a command has no answer; its exit code."""
    code = WRONG_USE
    match wrong:
        case typer.TyperException():
            context = getattr(wrong, "ctx", None)
            path = context.command_path if context is not None else "partcheck"
            said = wrong.format_message().replace(". Did you mean", "; did you mean").rstrip(".")
            said = re.sub(r" \(Possible options?: (.+)\)", r"; did you mean \1?", plainly(said))
            _say(f"{said}{' See' if said.endswith('?') else '; see'} `{path} --help`")
        case typer.Abort() | KeyboardInterrupt():
            code = INTERRUPTED
        case PartcheckError():
            _say(str(wrong), wrong.details)
        case OSError():
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            _say(f"{wrong.filename or 'the answer'} cannot be read or written: {wrong.strerror or wrong}")
        case UnicodeDecodeError():
            _say(f"what was typed or piped in is not {wrong.encoding} text; give UTF-8 and set PYTHONIOENCODING=utf-8")
        case MemoryError():
            _say(f"there is not enough memory for this; {SMALLER}")
        case RecursionError():
            _say("what was given is nested too deeply to be read; write the file as its format says")
        case _:
            code = INTERNAL
            _say(f"internal fault ({type(wrong).__name__}: {wrong}); please report it with the command that you gave")
    return code


if __name__ == "__main__":
    process()
