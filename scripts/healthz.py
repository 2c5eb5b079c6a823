"""Ask the running web server whether it is well; exit 0 when it says so, 1 otherwise.

usage: healthz.py URL. The request carries the first host of RESINWRIGHT_HOSTS, since the server
answers to those names only, whatever address the container reaches it by.
"""

from __future__ import annotations

import os
import sys
import urllib.error
import urllib.request


def main() -> int:
    host = os.environ.get("RESINWRIGHT_HOSTS", "localhost").split(",")[0].strip().lstrip(".*")
    request = urllib.request.Request(sys.argv[1], headers={"Host": host or "localhost"})  # noqa: S310
    try:
        with urllib.request.urlopen(request, timeout=5) as answer:  # noqa: S310 - our own address
            return 0 if answer.status == 200 else 1
    except (urllib.error.URLError, OSError) as error:
        sys.stderr.write(f"Not well: {error}\n")
        return 1


if __name__ == "__main__":
    sys.exit(main())
