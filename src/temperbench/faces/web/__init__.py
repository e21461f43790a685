"""The kitchen on a tablet or phone: pages, one WebSocket for each open bowl, and the REST interface."""

from temperbench.faces.web.app import create_app
from temperbench.faces.web.door import Door
from temperbench.faces.web.server import run_server
from temperbench.faces.web.settings import Secrets, WebSettings, kept_secrets

__all__ = ["Door", "Secrets", "WebSettings", "create_app", "kept_secrets", "run_server"]
