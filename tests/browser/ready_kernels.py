"""Kernels that have loaded everything before they are asked for: what a process takes a second and more to
import, one that is forked from it has.

Dozens of notebooks are opened by these tests. Beginning each with a new Python would take longer than all
they do. A server starts `join`, a small process that stands for a kernel; it asks the one that runs `serve`
for a fork, which has the environment, the folder and the output of `join`, ends when that ends, and is
interrupted when that is.

What is forked for a notebook under nbval (tests/notebook_kernels.py) has no module of bladelab yet: that a
notebook imports all that it uses is shown there. Kernels begun from nothing, as a reader's are, run one
notebook under nbval (see there) and that of tests/tools/test_execute_notebooks.py.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import socket
import sys

# `join` is started for each kernel, without site-packages: nothing else is imported up here.

INTERRUPT = b"i"


def kernel_spec(python: str, address: str) -> dict:
    """What kernel.json says, so that a server gets its kernels from the process that listens at `address`."""
    return {
        "argv": [python, "-I", "-S", __file__, "join", address, "{connection_file}"],
        "display_name": "Python 3",
        "language": "python",
    }


def join(address: str, connection_file: str) -> None:
    """Ask for a kernel and end when it ends."""
    with socket.socket(socket.AF_UNIX) as line:
        line.connect(address)
        signal.signal(signal.SIGINT, lambda *_: line.send(INTERRUPT))
        wanted = {"file": connection_file, "folder": os.getcwd(), "environment": dict(os.environ)}
        socket.send_fds(line, [json.dumps(wanted).encode() + b"\n"], [0, 1, 2])
        line.recv(1)  # nothing ever comes: it ends with the kernel


def serve(door_number: str, unloaded: str = "") -> None:
    """Import what notebooks import, then fork a kernel for each that asks at an open socket. The package
    `unloaded` is forgotten again, and only what it needs is kept."""
    import gc
    import importlib
    import pkgutil

    import bladelab

    os.environ["MPLBACKEND"] = "module://matplotlib_inline.backend_inline"  # as in any kernel
    for module in pkgutil.walk_packages(bladelab.__path__, "bladelab."):
        importlib.import_module(module.name)
    importlib.import_module("ipykernel.kernelapp")
    for name in [name for name in sys.modules if name.split(".")[0] == unloaded]:
        del sys.modules[name]
    gc.collect()
    gc.freeze()
    door = socket.socket(fileno=int(door_number))
    while True:
        line, _ = door.accept()
        with contextlib.suppress(ChildProcessError):  # none has ended, or none is left
            while os.waitpid(-1, os.WNOHANG)[0]:
                pass
        if not os.fork():
            door.close()
            become_a_kernel(line)
        line.close()


def become_a_kernel(line: socket.socket) -> None:
    """Run the kernel that is asked for on `line`, in a process that was forked for it."""
    import atexit
    import threading

    from ipykernel.kernelapp import launch_new_instance

    asked, files, *_ = socket.recv_fds(line, 1 << 16, 3)
    while not asked.endswith(b"\n"):
        asked += line.recv(1 << 16)
    wanted = json.loads(asked)
    os.setsid()
    for number, file in enumerate(files):
        os.dup2(file, number)
        os.close(file)
    os.environ.clear()
    os.environ.update(wanted["environment"], JPY_PARENT_PID=str(os.getppid()))
    os.chdir(wanted["folder"])
    sys.argv = ["ipykernel_launcher", "-f", wanted["file"]]

    def follow() -> None:
        while line.recv(1) == INTERRUPT:
            os.kill(os.getpid(), signal.SIGINT)
        os.kill(os.getpid(), signal.SIGKILL)  # who asked is gone

    threading.Thread(target=follow, daemon=True).start()
    launch_new_instance()
    atexit._run_exitfuncs()
    sys.stdout.flush()
    os._exit(0)  # to take all that was loaded to pieces first takes longer than to fork it


if __name__ == "__main__":
    {"join": join, "serve": serve}[sys.argv[1]](*sys.argv[2:])
