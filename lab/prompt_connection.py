"""The connection between a notebook's page and its kernel, without a wait between messages.

For the servers, which serve.py starts.
"""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """Sends each message of the kernel to the page at once.

    By default the operating system holds a small message back until the one before it is acknowledged, and
    the browser acknowledges after up to 40 ms: on a held key that is two thirds of the time between two
    pictures.
    """

    def connect(self) -> Any:
        """Open the connection; what the caller waits for."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
