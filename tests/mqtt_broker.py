"""Starts a real MQTT broker for tests, Debian's mosquitto, on a free port."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

__all__ = ["HOST", "PASSWORD", "PLACES", "Broker", "running_broker"]

HOST, PASSWORD = "127.0.0.1", "swordfish-and-chips"
PLACES = os.pathsep.join([os.environ.get("PATH", ""), "/usr/sbin", "/usr/local/sbin"])


class Broker:
    """A mosquitto on a free port, which can be stopped and started again."""

    def __init__(self, folder: Path, program: str) -> None:
        with socket.socket() as free:
            free.bind((HOST, 0))
            self.port = free.getsockname()[1]
        self.config = folder / "broker.conf"
        self.program, self.process = program, None
        self.passwords: Path | None = None

    def start(self) -> None:
        who = "allow_anonymous true" if self.passwords is None else f"password_file {self.passwords}"
        lines = [f"listener {self.port} {HOST}", "user root", "persistence false", who]
        self.config.write_text("\n".join(lines) + "\n", encoding="utf-8")
        self.process = subprocess.Popen(
            [self.program, "-c", str(self.config)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        until = time.monotonic() + 10.0
        while not self.listens():
            if time.monotonic() > until:
                raise AssertionError("mosquitto does not listen")
            time.sleep(0.01)

    def listens(self) -> bool:
        with socket.socket() as line:
            return line.connect_ex((HOST, self.port)) == 0

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(10)
            self.process = None

    def publish(self, topic: str, *payloads: str, retain: bool = False, user: str | None = None) -> None:
        """Publish and wait until the broker has everything."""
        client = Client(CallbackAPIVersion.VERSION2)
        if user is not None:
            client.username_pw_set(user, PASSWORD)
        client.connect(HOST, self.port)
        client.loop_start()
        for payload in payloads:
            client.publish(topic, payload, qos=1, retain=retain).wait_for_publish(10)
        client.disconnect()
        client.loop_stop()


@contextmanager
def running_broker(folder: Path) -> Iterator[Broker]:
    """Give a broker that runs. Without mosquitto the tests are left out on a desk, and fail in CI."""
    program = shutil.which("mosquitto", path=PLACES)
    if program is None:
        assert "CI" not in os.environ, "mosquitto is missing: apt-get install mosquitto"
        pytest.skip("mosquitto is missing (Debian: apt-get install mosquitto); MQTT is not tested here")
    one = Broker(folder, program)
    one.start()
    try:
        yield one
    finally:
        one.stop()
