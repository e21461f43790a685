"""Thermometer probes: their streams, by REST, MQTT or serial line, become readings of a running bowl. docs/feed.md."""

__all__: list[str] = []
