"""Ctrl-C: answered at once, whatever runs.

Python hears a signal between two of its own steps. Work that is long gives it the chance: the compiled side asks every
50 ms, threads ask `asked` after each play, worker processes end with the process that began them (`with_parent`). The
command line does not wait for what asks too seldom, such as a library that reads a large file: `answering` ends the
process. Nothing is lost by that: every writer stands a kill.
"""

from __future__ import annotations

import ctypes
import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE = 0.3  # s
PR_SET_PDEATHSIG = 1  # prctl(2)

stopped = threading.Event()  # threads that measure parts are to stop
over = threading.Event()  # the work has ended, or Ctrl-C was heard and only what is kept has to be told


def asked(done: int, all: int) -> None:
    """Progress of work on a thread that hears no Ctrl-C: stops it when another thread has."""
    if stopped.is_set():
        raise KeyboardInterrupt


def with_parent(parent: int) -> None:
    """A worker process hears no Ctrl-C of its own, and ends when the process that began it does, however that ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    prctl = getattr(ctypes.CDLL(None), "prctl", None)
    if prctl is not None:
        prctl(PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:
        os._exit(130)


@contextmanager
def answering() -> Iterator[Callable[[], None]]:
    """While it lasts, Ctrl-C that is not answered within PATIENCE ends the process with 130. Gives what is to be called
    when the work has ended, be it by Ctrl-C."""
    if threading.current_thread() is not threading.main_thread():
        yield lambda: None
        return
    ours, signals = socket.socketpair()
    signals.setblocking(False)
    over.clear()
    before = signal.set_wakeup_fd(signals.fileno(), warn_on_full_buffer=False)

    def watch() -> None:
        while number := ours.recv(1):
            if number[0] == signal.SIGINT and not over.wait(PATIENCE):
                os._exit(130)

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield over.set
    finally:
        over.set()
        signal.set_wakeup_fd(before)
        signals.close()
        watcher.join()
        ours.close()
