"""What the servers print on the terminal: no warnings that the reader can do nothing about."""

import logging

from jupyter_client.kernelspec import KernelSpec
from quiet_kernel import QuietKernel
from serve import concerns_the_reader


def test_kernels_print_errors_only():
    kernel = QuietKernel()
    kernel._kernel_spec = KernelSpec(argv=["python", "-m", "ipykernel_launcher", "-f", "{connection_file}"])
    assert kernel.format_kernel_cmd()[-1] == "--log-level=ERROR"
    kernel._kernel_spec = KernelSpec(argv=["julia", "{connection_file}"])
    assert "--log-level=ERROR" not in kernel.format_kernel_cmd()


def test_the_log_keeps_what_is_of_concern():
    def said(words):
        return concerns_the_reader(logging.LogRecord("", logging.WARNING, "", 0, words, (), None))

    assert not said("Notebook 20_the_team.ipynb is not trusted")
    assert not said("The websocket_ping_timeout (90000) cannot be longer than the websocket_ping_interval")
    assert said("The port 8888 is already in use")
