"""Prompt delivery of figures: the notebook server's connection to the browser, told not to hold small
messages back.

Each step of a slider is answered by several small messages. By default the system waits with the second until
the browser has acknowledged the first, about 40 ms; with this setting it does not. The server loads this file
as an extension, switched on by lib/server-config/tonewood.json, which the installation lays down; a server
where it fails starts all the same. Keep it free of other imports.
"""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's own kernel connection with TCP_NODELAY set."""

    def connect(self) -> Any:
        """Set the option on the open websocket, then connect as the server does."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": "tonewood.panel.server"}]


def _load_jupyter_server_extension(server: Any) -> None:
    # a connection class somebody chose by option stays
    if server.web_app.settings.get("kernel_websocket_connection_class") is ZMQChannelsWebsocketConnection:
        server.web_app.settings["kernel_websocket_connection_class"] = PromptConnection
        server.log.info("tonewood: kernel messages are delivered at once (TCP_NODELAY)")
