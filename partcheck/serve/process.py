"""The process that does long work: it works on what comes, says what it is doing, and sends what it came to."""

import os
import signal
import threading
from contextlib import suppress
from multiprocessing.connection import Connection

from partcheck import stages
from partcheck.errors import PartcheckError, UsageError
from partcheck.serve.folder import Folder
from partcheck.serve.long import made_of
from partcheck.serve.serving import Serving
from partcheck.serve.warm import WarmBoards

_EVERY = 0.2


def work_on(pipe: Connection, serving: Serving) -> None:
    """The process: work after work until the other end closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server ends it
    boards = WarmBoards(serving, Folder(serving.folder.resolve()))
    saying = threading.Lock()
    while True:
        try:
            work, form = pipe.recv()
        except (EOFError, OSError):
            os._exit(0)
        over = threading.Event()
        watcher = threading.Thread(target=_say, args=(pipe, over, saying), daemon=True)
        watcher.start()
        answer: tuple[str, object]
        try:
            answer = ("made", made_of(work, boards, form))
        except PartcheckError as slip:
            answer = ("slip", (type(slip) is UsageError, str(slip), slip.details))
        except MemoryError:
            answer = ("slip", (True, "there is not enough memory for this; ask for less at once", ()))
        except Exception as slip:
            where = slip.__traceback__
            while where is not None and where.tb_next is not None:
                where = where.tb_next
            place = f"{where.tb_frame.f_code.co_filename}:{where.tb_lineno}" if where is not None else "?"
            answer = ("fault", f"{type(slip).__name__} at {place}")
        over.set()
        watcher.join()
        with suppress(OSError):
            pipe.send(answer)


def _say(pipe: Connection, over: threading.Event, saying: threading.Lock) -> None:
    while not over.wait(_EVERY):
        stage = stages.running()
        with saying, suppress(OSError):
            pipe.send(("at", (stage.what, stage.done, stage.total) if stage is not None else ("working", 0, 0)))
