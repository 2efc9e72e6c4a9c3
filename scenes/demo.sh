#!/usr/bin/env bash
# Installs what is missing, builds, cuts the trailhead sign twice (as a shop would first try it, and well) and
# holds one fast pass against two slower ones.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
bash "$root/tests/setup.sh" ovolo

for scene in trailhead-sign-badly trailhead-sign; do
  printf '\n=== scenes/%s.toml\n\n' "$scene"
  "$root/build/ovolo" cut "$root/scenes/$scene.toml" --out "$root/build/out/$scene"
done

printf '\n=== scenes/one-pass-or-two.toml\n\n'
"$root/build/ovolo" compare "$root/scenes/one-pass-or-two.toml" --out "$root/build/out/one-pass-or-two"

printf '\nOpen in a browser (pictures, report.json and sections.csv lie beside them):\n'
for scene in trailhead-sign-badly trailhead-sign; do printf '  %s\n' "$root/build/out/$scene/report.html"; done
