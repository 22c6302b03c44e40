"""Ctrl-C while a command still loads: it ends at once, without a word. Imported before all that takes long.

Until `over`, which the command line calls, the signal has its own way, as with a program that never heard of it. A
process that is no command (a notebook, a script that imports the library) is left as it is.

Garbage is not collected meanwhile: next to nothing of what is loaded is any, and looking costs a twentieth of the time.
Nor is it looked for at the end: all that was loaded counts as old.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
import threading

COMMANDS = ("shortedge", "-m")  # its script; `python -m shortedge.cli`, while its package loads

collecting = gc.isenabled()
gc.disable()
begun = (
    os.path.basename(sys.argv[0] if sys.argv else "") in COMMANDS
    and threading.current_thread() is threading.main_thread()
    and signal.getsignal(signal.SIGINT) is signal.default_int_handler
)
if begun:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def loaded() -> None:
    """The package is there."""
    if collecting:
        if not gc.get_freeze_count():  # nobody else has frozen anything that this would thaw
            gc.freeze()
            gc.unfreeze()
        gc.enable()


def over() -> None:
    """Ctrl-C is a KeyboardInterrupt again."""
    global begun
    if begun:
        begun = False
        signal.signal(signal.SIGINT, signal.default_int_handler)
