#!/usr/bin/env bash
# Makes sure a Chromium and Node are there for the browser test. As root on Debian it installs Chromium; elsewhere it says what
# is missing and how to get it.
set -euo pipefail
command -v node >/dev/null || { echo "Node 20 or newer is missing: install it from your system's packages." >&2; exit 1; }
for name in "${CHROMIUM:-}" chromium chromium-browser google-chrome; do
  if [ -n "$name" ] && command -v "$name" >/dev/null; then exit 0; fi
done
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium >/dev/null
  exit 0
fi
echo "A Chromium browser is missing: install the package chromium (Debian: sudo apt-get install chromium), or set CHROMIUM to its path." >&2
exit 1
