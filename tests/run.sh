#!/usr/bin/env bash
# Installs what is missing, builds, runs all tests. The last line reads 'N passed, N failed'.
# The pages' tests in a browser follow where node and chromium are; else they are skipped, and that is said.
# Usage: bash tests/run.sh [TEST NAMES OR TAGS]      with names or tags, the pages' tests are left out
set -uo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
bash "$root/tests/setup.sh" ovolo ovolo_tests || { echo "0 passed, 1 failed"; exit 1; }

log=$root/build/tests.log
# The pages' tests run beside the others, for each keeps little more than one core busy.
if [ $# -eq 0 ]; then
  setsid bash "$root/tests/web/run.sh" >"$root/build/web.log" 2>&1 &
  pages=$!
  trap 'kill -- -"$pages"; exit 130' INT TERM
fi
(cd "$root" && "$root/build/ovolo_tests" "$@") 2>&1 | tee "$log"
status=${PIPESTATUS[0]}

# Catch2 ends with 'All tests passed (A assertions in N test cases)' or 'test cases: N | P passed | F failed'.
if all=$(grep -oE '^All tests passed \(.* in [0-9]+ test case' "$log"); then
  passed=$(grep -oE '[0-9]+ test case$' <<<"$all" | grep -oE '^[0-9]+')
  failed=0
else
  totals=$(grep -E '^test cases:' "$log" | tail -n 1)
  passed=$(grep -oE '[0-9]+ passed' <<<"$totals" | grep -oE '^[0-9]+')
  failed=$(grep -oE '[0-9]+ failed( |$)' <<<"$totals" | grep -oE '^[0-9]+')
fi
# A run that died without totals has failed whatever it printed.
if [ "$status" -ne 0 ] && [ "${failed:-0}" -eq 0 ]; then failed=1; fi
if [ $# -eq 0 ]; then
  echo "Waiting for the pages' tests"
  wait "$pages" || status=1
  cat "$root/build/web.log"
  web=$(tail -n 1 "$root/build/web.log")
  if [[ $web =~ ^([0-9]+)\ passed,\ ([0-9]+)\ failed$ ]]; then
    passed=$((${passed:-0} + BASH_REMATCH[1]))
    failed=$((${failed:-0} + BASH_REMATCH[2]))
  elif [[ $web != SKIPPED* ]]; then
    failed=$((${failed:-0} + 1)) status=1
  fi
fi
echo "${passed:-0} passed, ${failed:-0} failed"
exit "$status"
