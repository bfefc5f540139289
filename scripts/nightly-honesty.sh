#!/usr/bin/env bash
# Every cell of the test of honesty (docs/method/verdict.md, section 10) instead of the choice that runs with each change. Some hours on two processors.
# Each cell and its counts stand in the output; the exit code is that of the tests.
set -euo pipefail
cd "$(dirname "$0")/.."
export BUILDTRACK_HONESTY=all
dotnet build -c Release tests/BuildTrack.Domain.Tests
exec dotnet run -c Release --no-build --project tests/BuildTrack.Domain.Tests -- -namespace BuildTrack.Domain.Tests.Honesty -showliveoutput
