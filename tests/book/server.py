"""A PostgreSQL server for the tests, from the distribution's packages: started once, gone with the tests."""

import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from contextlib import contextmanager
from pathlib import Path

#: Nothing is kept: the server need not wait for the disk.
SETTINGS = "-c fsync=off -c full_page_writes=off -c synchronous_commit=off -c listen_addresses=127.0.0.1"


def programs() -> Path | None:
    """The folder of the server's programs, the newest; None where there is no server."""
    if found := shutil.which("initdb"):
        return Path(found).resolve().parent
    folders = Path("/usr/lib/postgresql").glob("*/bin/initdb")
    return max((path.parent for path in folders), key=lambda path: int(path.parts[-2]), default=None)


def why_not() -> str:
    """Why no server can be started here; empty if one can."""
    if os.name == "nt" or programs() is None:
        return "no PostgreSQL server on this machine (package postgresql)"
    try:
        import psycopg2  # noqa: F401
    except ImportError:
        return "no driver for PostgreSQL (extra shared)"
    return ""


@contextmanager
def server():
    """Start a server and give a function that makes an empty database and returns its address."""
    import pwd

    # It refuses to run as root, and pytest's own folders are closed to others.
    owner = pwd.getpwnam("nobody") if os.geteuid() == 0 else pwd.getpwuid(os.geteuid())
    other = {"user": owner.pw_uid, "group": owner.pw_gid} if os.geteuid() == 0 else {}
    with tempfile.TemporaryDirectory(prefix="bladelab-pg-", ignore_cleanup_errors=True) as folder:
        os.chown(folder, owner.pw_uid, owner.pw_gid)
        data, bin_folder = Path(folder) / "data", programs()
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]

        def run(*command: str) -> None:
            done = subprocess.run(
                command, cwd=folder, capture_output=True, text=True, timeout=60, env={"LC_ALL": "C"}, **other
            )
            assert done.returncode == 0, done.stdout + done.stderr

        run(f"{bin_folder}/initdb", "-D", f"{data}", "-U", "tester", "-A", "trust", "-N", "-E", "UTF8")
        options = f"{SETTINGS} -c port={port} -c unix_socket_directories={folder}"
        log = f"{folder}/log"
        run(f"{bin_folder}/pg_ctl", "-D", f"{data}", "-w", "-s", "-l", log, "-o", options, "start")
        try:
            address = f"postgresql://tester@127.0.0.1:{port}/postgres"

            def database() -> str:
                import psycopg2

                name = f"club_{uuid.uuid4().hex}"  # a schema does what a database does, and takes no time
                connection = psycopg2.connect(address)
                with connection, connection.cursor() as cursor:
                    cursor.execute(f"CREATE SCHEMA {name}")
                connection.close()
                return f"{address}?options=-csearch_path%3D{name}"

            yield database
        finally:
            run(f"{bin_folder}/pg_ctl", "-D", f"{data}", "-w", "-s", "-m", "immediate", "stop")
