#!/usr/bin/env bash
# Prints how the conditions compare with other rule libraries in one run on one
# core, and fails where a goal is missed. It takes about a minute.
set -euo pipefail
cd "$(dirname "$0")"
go test -run '^TestRatios$' -ratios -v -count 1 -cpu 1 -timeout 20m . | grep -v '^=== '
