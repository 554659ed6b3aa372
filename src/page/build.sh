#!/usr/bin/env bash
# Builds the page: the engine, then one file with everything inside. Usage: build.sh [OUT.html]
set -euo pipefail
cd "$(dirname "$0")"
out=$(realpath -m "${1:-../../output/lurefield.html}")
[ -d node_modules/esbuild ] || npm ci --no-audit --no-fund
node_modules/.bin/tsc -p .
engine=${LUREFIELD_ENGINE:-../../target/page/engine.wasm}
[ -n "${LUREFIELD_ENGINE:-}" ] || ./build-engine.sh
node assemble.mjs "$engine" "$out"
