#!/usr/bin/env bash
# The pages in a headless Chromium: needs node 20 and chromium, fetches two npm packages the first time.
# Usage: bash tests/web/run.sh      after tests/setup.sh or tests/run.sh has built build/ovolo. Last line: 'N passed, N failed'.
set -uo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
for tool in node npm chromium; do
  command -v "$tool" >/dev/null || { echo "tests/web: '$tool' is missing; install it and run this again" >&2; echo "0 passed, 1 failed"; exit 1; }
done
cd "$here" || exit 1
[ -d node_modules/playwright-core ] && [ -d node_modules/axe-core ] || npm ci --silent || { echo "0 passed, 1 failed"; exit 1; }
log=$(mktemp)
node --test --test-concurrency=1 --test-reporter=spec 2>&1 | tee "$log"
status=${PIPESTATUS[0]}
count() { sed -nE "s/^. $1 ([0-9]+)$/\1/p" "$log" | tail -n 1; }
echo "$(count pass || true) passed, $(count fail || true) failed"
rm -f "$log"
exit "$status"
