"""Kernels that print on the terminal what went wrong, and no advice to programmers.

For the servers, which serve.py starts.
"""

from __future__ import annotations

from jupyter_server.services.kernels.kernelmanager import ServerKernelManager


class QuietKernel(ServerKernelManager):
    """Starts kernels that log errors only.

    By default each kernel warns the reader, page by page, that it doesn't encrypt what it says to its server
    on the same computer.
    """

    def format_kernel_cmd(self, extra_arguments: list[str] | None = None) -> list[str]:
        """Return the command that starts a kernel."""
        command = super().format_kernel_cmd(extra_arguments)
        return [*command, "--log-level=ERROR"] if "ipykernel_launcher" in command else command
