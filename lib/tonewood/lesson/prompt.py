"""Prompt delivery of figures: the notebook server's connection to the browser, told not to hold small messages back.

Each step of a slider is answered by several small messages. By default the system waits with the second until the browser has
acknowledged the first, about 40 ms; with this setting it does not. Named in lib/server-config/tonewood.json, which the
installation lays down for the server to read. Keep this file free of other imports: if it cannot be imported, the server does not start.
"""

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's own kernel connection with TCP_NODELAY set."""

    def connect(self):
        """Set the option on the open websocket, then connect as the server does."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
