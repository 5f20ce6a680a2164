"""The part of fetching over OPeNDAP that runs in a child process: it reads what a server sends, and may crash or hang.

pydap reads the protocol (DAP 2), but the connection is ours: left alone pydap follows any redirect, uses proxies and
passwords of the environment, and after a failed TLS handshake asks again without TLS.
"""

__all__: list[str] = []
