#!/usr/bin/env bash
# Installs the Debian packages that are missing, then builds the named targets into build/.
# Usage: bash tests/setup.sh TARGET...      Shared by tests/run.sh and scenes/demo.sh.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

packages=(
  cmake g++ ninja-build pkg-config
  libtbb-dev libfmt-dev libhwy-dev libeigen3-dev libtomlplusplus-dev libcli11-dev nlohmann-json3-dev
  libpugixml-dev libcpp-httplib-dev libdxflib-dev lib2geom-dev libboost-dev libstb-dev libdeflate-dev librsvg2-dev libminizip-dev libopenvdb-dev fonts-dejavu-core
  catch2 libbenchmark-dev admesh assimp-utils libopenvdb-tools python3-ezdxf lib3mf-dev
)

fail() {
  printf 'setup: %s\n' "$@" >&2
  exit 1
}

missing_packages() {
  local installed
  installed=$(dpkg-query -W -f '${Package} ${db:Status-Status}\n' "${packages[@]}" 2>/dev/null || true)
  for package in "${packages[@]}"; do
    grep -qx "$package installed" <<<"$installed" || printf '%s\n' "$package"
  done
}

install_packages() {
  local wanted=("$@") as_root=()
  if ! command -v apt-get >/dev/null; then
    fail "these packages are missing and there is no apt-get to install them:" "  ${wanted[*]}"
  fi
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      fail "these packages are missing, and installing them needs root:" "  apt-get install ${wanted[*]}" \
        "run that as root, then run this script again"
    fi
    as_root=(sudo)
  fi
  as_root+=(env DEBIAN_FRONTEND=noninteractive apt-get -qq -o DPkg::Lock::Timeout=300)
  printf 'setup: installing %s\n' "${wanted[*]}"
  local log
  log=$(mktemp)
  # The package lists are fetched only where the machine has none, or has outdated ones.
  if "${as_root[@]}" install -y --no-install-recommends "${wanted[@]}" </dev/null >"$log" 2>&1 ||
    { "${as_root[@]}" update >"$log" 2>&1 </dev/null &&
      "${as_root[@]}" install -y --no-install-recommends "${wanted[@]}" </dev/null >>"$log" 2>&1; }; then
    rm -f "$log"
  else
    tail -n 15 "$log" >&2
    rm -f "$log"
    fail "apt-get could not install: ${wanted[*]}" \
      "mend what it says above (no network, a locked or outdated package list?) and run this script again"
  fi
}

if command -v dpkg-query >/dev/null; then
  mapfile -t missing < <(missing_packages)
  [ "${#missing[@]}" -eq 0 ] || install_packages "${missing[@]}"
else
  printf 'setup: not a Debian system; needed are the like of: %s\n' "${packages[*]}" >&2
fi
command -v cmake >/dev/null || fail "cmake is missing: install it and run this script again"

build=$root/build
log=$build/build.log
mkdir -p "$build"
options=(-DCMAKE_BUILD_TYPE=Release)
if [ ! -f "$build/CMakeCache.txt" ]; then
  printf 'setup: building; the first time takes about 10 minutes on two cores\n'
  if command -v ninja >/dev/null; then options+=(-G Ninja); fi
fi
# Tells each tenth of the steps that ninja counts, "[12/345] ...".
tell_tenths() {
  local line last=0 tenth
  while IFS= read -r line; do
    [[ $line =~ ^\[([0-9]+)/([0-9]+)\] ]] && ((BASH_REMATCH[2] >= 50)) || continue
    tenth=$((10 * BASH_REMATCH[1] / BASH_REMATCH[2]))
    if ((tenth > last)); then printf 'setup: built %s of %s files\n' "${BASH_REMATCH[1]}" "${BASH_REMATCH[2]}"; fi
    last=$tenth
  done
}
trap 'printf "setup: stopped; the same command goes on where it was\n" >&2; exit 130' INT TERM
if ! { cmake -S "$root" -B "$build" "${options[@]}" &&
  cmake --build "$build" --parallel "$(nproc)" --target "$@"; } 2>&1 | tee "$log" | tell_tenths; then
  tail -n 40 "$log" >&2
  fail "the build failed; all of its output is in build/build.log"
fi
