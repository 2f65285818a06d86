"""The connection to the kernel is told to send at once, before anything goes over it."""

import asyncio
import socket

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyter_server.services.kernels.websocket import KernelWebsocketHandler
from prompt_connection import PromptConnection
from tornado.httpserver import HTTPServer
from tornado.testing import bind_unused_port
from tornado.web import Application
from tornado.websocket import WebSocketHandler, websocket_connect


class Handler(KernelWebsocketHandler):
    """Opens the connection as the server of the notebooks does; there is no kernel, and nobody logs in."""

    async def prepare(self):
        pass

    async def get(self):
        await WebSocketHandler.get(self)

    def open(self):
        connection = PromptConnection.__new__(PromptConnection)
        connection.set_trait("websocket_handler", self)
        connection.connect()
        self.close()

    def select_subprotocol(self, subprotocols):
        return None

    def on_close(self):
        pass


def test_a_message_is_not_held_back_for_the_one_before(monkeypatch):
    seen = []

    def connect(self):
        wire = self.websocket_handler.ws_connection.stream.socket
        seen.append(wire.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))

    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", connect)

    async def go():
        listener, port = bind_unused_port()
        server = HTTPServer(Application([("/", Handler)]))
        server.add_socket(listener)
        client = await websocket_connect(f"ws://127.0.0.1:{port}/")
        assert await client.read_message() is None  # closed at the other end
        client.close()
        server.stop()
        await server.close_all_connections()

    asyncio.run(go())
    assert len(seen) == 1 and seen[0]
