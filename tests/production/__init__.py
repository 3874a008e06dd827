"""The office as production runs it, looked at from outside: `make production`.

Real servers over TCP, a proxy with TLS where nginx is installed, nothing embedded. It takes
minutes and belongs before a release; `make test` holds the parts.
"""
