#!/usr/bin/env bash
# The pages in a headless Chromium: needs node 20 and chromium, fetches two npm packages the first time.
# Usage: bash tests/web/run.sh      after tests/setup.sh or tests/run.sh has built build/ovolo.
# The last line is 'N passed, N failed', or begins with 'SKIPPED' and says what is missing.
set -uo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
for tool in node npm chromium; do
  command -v "$tool" >/dev/null || { echo "SKIPPED: the pages' tests, for want of $tool (apt-get install nodejs npm chromium)"; exit 0; }
done
[ "$(node --version | grep -oE '[0-9]+' | head -n 1)" -ge 20 ] || { echo "SKIPPED: the pages' tests, for node is $(node --version) and 20 is needed"; exit 0; }
cd "$here" || exit 1
if ! [ -d node_modules/playwright-core ] || ! [ -d node_modules/axe-core ]; then
  timeout 120 npm ci --silent --no-audit --no-fund || { echo "SKIPPED: the pages' tests, for npm could not fetch playwright-core and axe-core (no network?)"; exit 0; }
fi
log=$(mktemp)
timeout 900 node --test --test-concurrency=1 --test-reporter=spec 2>&1 | tee "$log"
status=${PIPESTATUS[0]}
# node's totals, whatever sign and locale stand before them; a run cut short has none: its lines until then are counted.
count() { LC_ALL=C sed -nE "s/^[^a-z]*$1 ([0-9]+)\$/\1/p" "$log" | tail -n 1; }
lines() { LC_ALL=C sed '/failing tests:$/,$d' "$log" | LC_ALL=C grep -cE "^ *$1 .*\([0-9.]+ms\)\$"; }
passed=$(count pass) failed=$(count fail)
passed=${passed:-$(lines ✔)} failed=${failed:-$(lines ✖)}
rm -f "$log"
# A run that died has failed whatever it printed.
if [ "$status" -ne 0 ] && [ "$failed" -eq 0 ]; then failed=1; fi
echo "$passed passed, $failed failed"
exit "$status"
