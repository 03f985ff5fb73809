#!/bin/sh
# Builds milrise and runs it on the sample job: a footbridge and its tank, with a dozen things wrong on purpose.
# On Debian 12 nothing but git need be there; as root, missing packages are installed first.
set -eu
cd "$(dirname "$0")/.."
job=sample-data/alder-ford-footbridge

sh scripts/need-packages scripts/packages.txt

echo "Building ..."
mkdir -p build
if ! make -s -j"$(nproc)" >build/demo.log 2>&1; then
    tail -40 build/demo.log >&2
    exit 1
fi

start=$(date +%s%N)
rc=0
build/release/milrise report "$job" || rc=$?
end=$(date +%s%N)

# 1 is what the sample deserves: its report is published, and not every zone conforms.
case $rc in
0 | 1) ;;
*)
    echo "demo: milrise ended with status $rc" >&2
    exit "$rc"
    ;;
esac
echo
echo "Report:   $(find "$job/reports/latest/" -name '*.xlsx' | sort | tr '\n' ' ')"
echo "Charts:   $(find "$job/reports/latest/" -name '*.png' | wc -l) (each as PNG, SVG and PDF)"
echo "Flaws planted in the sample: sample-data/flaws.csv"
awk -v ms=$(((end - start) / 1000000)) 'BEGIN { printf "Time:     %.1f s, build apart\n", ms / 1000 }'
