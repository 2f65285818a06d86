"""The notebooks as plain pages without code: voila on a Jupyter Server that asks for a code.

The server is reached from this computer only, unless it is started for the network. Either way each request
must carry the code (or a cookie, which a browser gets for it) and must name this computer: a page elsewhere
that has its own name point here (DNS rebinding) gets nothing. The reader's Jupyter settings don't count.
"""

from __future__ import annotations

import ipaddress
import os
import secrets
import socket
from pathlib import Path
from typing import Any

from front import PLACE, FrontPage, as_page
from jupyter_server.serverapp import ServerApp
from tornado.httputil import HTTPServerRequest
from tornado.routing import Matcher, Rule, RuleRouter
from traitlets.config import Config

PROJECT = Path(__file__).resolve().parents[1]
FIRST_PAGE = PLACE
# Letters and digits that aren't taken for each other. Eight of them are 2e11 codes: years of guessing.
_LETTERS, _CODE_LENGTH = "abcdefghjkmnpqrstuvwxyz23456789", 8

_TAKE_CARE = """\
Take care: anyone with the code can use this computer as you can, and nothing is encrypted. Start
this only on a network you trust, give the code only to those it is for, and end it (Ctrl-C twice) when you
are done."""


class ThisComputer(Matcher):
    """Lets through what is sent to this computer by number or by one of its names."""

    def __init__(self) -> None:
        own = socket.gethostname().lower()
        self._names = {"localhost", own, f"{own}.local", own.removesuffix(".local")}

    def match(self, request: HTTPServerRequest) -> dict[str, Any] | None:
        """Return what tornado passes on, or None for a name of someone else's."""
        name = request.host_name.lower().strip("[]")
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return {} if name in self._names else None
        return {}


class Pages(ServerApp):
    """A Jupyter Server with voila and nothing else."""

    name = "bladelab-pages"

    def load_config_file(self, suppress_errors: bool = True) -> None:
        """Read no settings: they could switch off the code."""

    def init_webapp(self) -> None:
        """Add the front page."""
        super().init_webapp()
        self.web_app.add_handlers(".*$", [(PLACE, FrontPage)])

    def init_httpserver(self) -> None:
        """Check the name that a request is sent to before anything else."""
        super().init_httpserver()
        self.http_server.request_callback = RuleRouter([Rule(ThisComputer(), self.web_app)])


def opened(handler: Any, notebook: Any, cwd: str) -> Any:
    """Make a notebook a page, and give the browser the cookie without which a page that is left can't end its
    kernel: it has none yet if this is the first page it opens."""
    _ = handler.xsrf_token  # sets the cookie
    return as_page(handler, notebook, cwd)


def settings(network: bool) -> Config:
    """Return the settings of the server."""
    own = Config()
    own.ServerApp.ip = "0.0.0.0" if network else "127.0.0.1"
    own.ServerApp.allow_remote_access = network
    own.ServerApp.root_dir = str(PROJECT / "notebooks")
    own.ServerApp.default_url = FIRST_PAGE
    own.ServerApp.open_browser = True
    own.ServerApp.jpserver_extensions = {"voila.server_extension": True}
    own.ServerApp.extra_template_paths = [str(PROJECT / "lab" / "templates")]
    own.ServerApp.extra_static_paths = [str(PROJECT / "lab" / "static")]
    own.ServerApp.tornado_settings = {
        "mathjax_url": "/static/no_mathjax.js",
        # A photograph comes to its panel in one message; by default the connection breaks at 10 MB.
        "websocket_max_message_size": 60_000_000,
    }
    own.ServerApp.kernel_websocket_connection_class = "prompt_connection.PromptConnection"
    own.MappingKernelManager.kernel_manager_class = "quiet_kernel.QuietKernel"
    own.ServerApp.cookie_secret = secrets.token_bytes(32)  # an old code's cookies end with its server
    own.ServerApp.log_level = "WARN"
    own.IdentityProvider.token = "".join(secrets.choice(_LETTERS) for _ in range(_CODE_LENGTH))
    # Voila serves these to anyone who asks; what readers save goes through the server's own files/.
    own.VoilaConfiguration.file_allowlist = [r"pictures[/\\].*\.png"]
    own.VoilaConfiguration.template = "plain"
    own.VoilaConfiguration.allow_template_override = own.VoilaConfiguration.allow_theme_override = "NO"
    own.VoilaConfiguration.prelaunch_hook = opened
    # A phone doesn't say when it leaves a page.
    own.MappingKernelManager.cull_idle_timeout = 1800
    return own


def own_address() -> str | None:
    """Return the address at which others on the network reach this computer, or None without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing; an address kept for examples (RFC 5737)
            return str(probe.getsockname()[0])
        except OSError:  # no way out, as at a rink without internet
            found = socket.gethostbyname_ex(socket.gethostname())[2]
    return next((number for number in found if not number.startswith("127.")), None)


def greeting(server: ServerApp, network: bool) -> str:
    """Return what is printed at the start: the address, the code, and the safety note."""
    code = server.identity_provider.token
    here = f"http://127.0.0.1:{server.port}{FIRST_PAGE}?token={code}"
    if not network:
        return f"The pages, on this computer only:\n\n    {here}\n"
    return (
        f"The pages, on this computer:\n\n    {here}\n\n"
        f"On a phone or another computer on the same network:\n\n"
        f"    http://{own_address() or 'THE-NUMBER-OF-THIS-COMPUTER'}:{server.port}/\n"
        f"    code: {code}\n\n{_TAKE_CARE}\n"
    )


def serve(options: list[str]) -> None:
    """Serve the pages; `--network` for the network too, all other options are Jupyter Server's."""
    network = "--network" in options
    os.environ["BLADELAB_SERVED"] = str(
        PROJECT / "notebooks"
    )  # bladelab/show/panel/files.py makes links from it
    # Where voila finds the template.
    os.environ["JUPYTER_PATH"] = os.pathsep.join(
        filter(None, [str(PROJECT / "lab" / "share"), os.environ.get("JUPYTER_PATH")])
    )
    server = Pages.instance(config=settings(network))
    server.initialize([option for option in options if option != "--network"], find_extensions=False)
    print(greeting(server, network), flush=True)
    server.start()
