#!/usr/bin/env bash
# Builds the engine of the page, target/page/engine.wasm, and prints its size.
#
# With the target of rustup (rustup target add wasm32-unknown-unknown), or with the compiler of Debian's packages rustc-web,
# rust-web-src and lld-19, where the standard library is built along with it. With --quick for work on the page: built
# faster, larger and slower.
set -euo pipefail
cd "$(dirname "$0")/../.."

target=wasm32-unknown-unknown
profile=page
if [ "${1:-}" = --quick ]; then profile=release; fi
build=(cargo rustc --lib --crate-type cdylib --profile $profile --no-default-features --target $target)
if [ -d "$(rustc --print sysroot)/lib/rustlib/$target/lib" ]; then
  "${build[@]}"
elif [ -x /usr/bin/rustc ] && command -v wasm-ld-19 > /dev/null; then
  RUSTC=/usr/bin/rustc RUSTC_BOOTSTRAP=1 CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=wasm-ld-19 \
    "${build[@]}" -Z build-std=std,panic_abort
else
  echo "no compiler for $target: rustup target add $target, or apt install rustc-web rust-web-src lld-19" >&2
  exit 1
fi
mkdir -p target/page
cp "${CARGO_TARGET_DIR:-target}/$target/$profile/lurefield.wasm" target/page/engine.wasm
raw=$(wc -c < target/page/engine.wasm)
packed=$(gzip -9 -c target/page/engine.wasm | wc -c)
echo "target/page/engine.wasm: $raw bytes, $packed gzipped"
