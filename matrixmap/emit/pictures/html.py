"""HTML documents that load nothing from outside, and forbid the browser to do so."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256

from matrixmap.emit.pictures.svg import markup


def csp_hash(text: str) -> str:
    """The source expression that allows exactly this style or script (Content Security Policy Level 3, section 2.3.1)."""
    return f"'sha256-{b64encode(sha256(text.encode('utf-8')).digest()).decode('ascii')}'"


def document(
    title: str,
    style: str,
    body: str,
    script: str = "",
    *,
    inner: str = "",
    language: str = "en",
    direction: str = "ltr",
) -> str:
    """A document with a policy that allows only its own style and script, and no loading.

    `title` is plain text in the document's language and direction. `body` is already markup, and may use the style
    `inner`. A script may compile WebAssembly inside the document, and draw a picture of what it shows.
    """
    styles = " ".join(csp_hash(text) for text in (style, inner) if text)
    allowed = ["default-src 'none'", f"style-src {styles}"]
    if script:
        # The page draws its own picture from a data URL.
        allowed += [f"script-src {csp_hash(script)} 'wasm-unsafe-eval'", "img-src data:"]
    policy = "; ".join([*allowed, "base-uri 'none'", "form-action 'none'"])
    around = ' dir="rtl"' if direction == "rtl" else ""
    parts = [
        f'<!doctype html>\n<html lang="{language}"{around}>\n<head>\n<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{markup(title)}</title>",
        f"<style>{style}</style>",
        "</head>\n<body>",
        body,
    ]
    if script:
        assert "</script" not in script.lower(), "our own script does not end itself"
        parts.append(f"<script>{script}</script>")
    return "\n".join([*parts, "</body>\n</html>\n"])
