"""Ctrl-C while a command still loads: it ends at once, without a word. Imported before all that takes long.

Until `over`, which the command line calls, the signal has its own way, as with a program that never heard of it. A
process that is no command (a notebook, a script that imports the library) is left as it is.
"""

from __future__ import annotations

import os
import signal
import sys
import threading

COMMANDS = ("shortedge", "-m")  # its script; `python -m shortedge.cli`, while its package loads

begun = (
    os.path.basename(sys.argv[0] if sys.argv else "") in COMMANDS
    and threading.current_thread() is threading.main_thread()
    and signal.getsignal(signal.SIGINT) is signal.default_int_handler
)
if begun:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def over() -> None:
    """Ctrl-C is a KeyboardInterrupt again."""
    global begun
    if begun:
        begun = False
        signal.signal(signal.SIGINT, signal.default_int_handler)
