"""A browser of the load runs: cookies, compressed answers, and the fields of a form as a browser would send them."""

from __future__ import annotations

import gzip
import re
from http.client import HTTPConnection, HTTPResponse
from typing import Final
from urllib.parse import urlencode, urlsplit

Fields = dict[str, str | list[str]]
FORM: Final = "application/x-www-form-urlencoded"


class LoadBrowser:
    """One visitor. ``address`` is where they seem to come from, as the proxy in front would say."""

    def __init__(self, site: str, cookie: str = "", *, address: str = "") -> None:
        self.site, self.place = site, urlsplit(site).netloc
        self.cookies = dict([cookie.split("=", 1)]) if cookie else {}
        self.address = address
        self.last_size = 0
        self.last_path = ""
        """Where the last answer led, if it led anywhere."""

    def get(self, path: str, *, by_script: bool = False) -> str:
        """What is there. Raises ``ValueError`` for a refusal."""
        return self._ask("GET", path, None, {"HX-Request": "true"} if by_script else {})

    def post(self, path: str, sent: Fields) -> str:
        """Send a form by the page's script. Raises ``ValueError`` for a refusal."""
        body = urlencode(sent, doseq=True).encode()
        return self._ask("POST", path, body, {"HX-Request": "true", "Content-Type": FORM})

    def upload(self, path: str, name: str, content: bytes, sent: dict[str, str]) -> str:
        """Send a file beside a form's fields (RFC 7578). Raises ``ValueError`` for a refusal."""
        edge = "edge-of-a-part"
        parts = [_part(edge, f'name="{key}"', value.encode()) for key, value in sent.items()]
        parts.append(_part(edge, f'name="{name}"; filename="table.csv"', content))
        body = b"".join(parts) + f"--{edge}--\r\n".encode()
        return self._ask("POST", path, body, {"Content-Type": f"multipart/form-data; boundary={edge}"})

    def _ask(self, method: str, path: str, body: bytes | None, more: dict[str, str]) -> str:
        headers = {"Accept-Encoding": "gzip", "Origin": self.site, "Host": self.place, **more}
        headers["Cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        if self.address:
            headers["X-Forwarded-For"] = self.address
        connection = HTTPConnection(self.place, timeout=60)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            raw = answer.read()
        finally:
            connection.close()
        self._note(answer, len(raw))
        if answer.status not in (200, 204, 302):
            raise ValueError(f"{method} {re.sub('[0-9]+', '0', path)[:60]} answered {answer.status}")
        return (gzip.decompress(raw) if answer.headers.get("Content-Encoding") == "gzip" else raw).decode()

    def _note(self, answer: HTTPResponse, size: int) -> None:
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            name, value = cookie.split(";")[0].split("=", 1)
            self.cookies[name] = value
        self.last_size, self.last_path = size, answer.headers.get("Location", "")


def token(html: str) -> str:
    """The form's token against forged requests."""
    found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', html)
    if found is None:
        raise ValueError("no form on the page")
    return found[1]


def fields(html: str, start: str) -> Fields:
    """What a browser would send from the form that starts so."""
    form = re.search(rf"<form {start}.*?</form>", html, re.DOTALL)
    if form is None:
        raise ValueError(f"no such form on the page: {html[:200]}")
    sent: Fields = {}
    for tag in re.findall(r"<input[^>]*>", form[0]):
        facts = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if facts.get("type") != "checkbox":
            sent[facts["name"]] = facts.get("value", "")
        elif " checked" in tag:
            sent[facts["name"]] = [*sent.get(facts["name"], []), facts["value"]]
    for name, options in re.findall(r'<select name="([^"]*)"[^>]*>(.*?)</select>', form[0], re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        sent[name] = chosen[1] if chosen else ""
    return sent


def _part(edge: str, disposition: str, content: bytes) -> bytes:
    head = f"--{edge}\r\nContent-Disposition: form-data; {disposition}\r\n\r\n"
    return head.encode() + content + b"\r\n"
