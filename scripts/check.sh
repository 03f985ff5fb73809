#!/bin/sh
# Everything that must hold before a change goes in: guard rails, both compilers, every test, the sanitizers, the
# independent computation. On Debian 12 nothing but git need be there; as root, missing packages are installed first.
# The last line gives the counts: "N passed, N failed". The exit status is 0 only where nothing failed.
set -u
cd "$(dirname "$0")/.." || exit 1
sh scripts/need-packages scripts/packages.txt scripts/packages-test.txt || exit 1

jobs=$(nproc)
passed=0 failed=0
mkdir -p build
log=build/check.log

# add N M: to the counts. one NAME STATUS: a step that is one check.
add() {
    passed=$((passed + $1))
    failed=$((failed + $2))
}
one() {
    if [ "$2" = 0 ]; then add 1 0; else add 0 1; fi
    [ "$2" = 0 ] || echo "FAILED: $1"
}
# counted NAME COMMAND...: a step whose last line of counts is "N passed, N failed".
counted() {
    name=$1
    shift
    echo
    echo "== $name ($(($(date +%s) - start)) s)"
    "$@" >"$log" 2>&1
    rc=$?
    grep -av '^ *CC ' "$log"
    counts=$(grep -aE '^[0-9]+ passed, [0-9]+ failed$' "$log" | tail -1)
    if [ -z "$counts" ]; then
        one "$name" 1
        return
    fi
    # shellcheck disable=SC2086,SC2046  # words on purpose
    add $(echo "$counts" | sed 's/ passed,//; s/ failed//')
    if [ "$rc" != 0 ] && [ "${counts#*, }" = "0 failed" ]; then one "$name" 1; fi
}
plain() {
    name=$1
    shift
    echo
    echo "== $name ($(($(date +%s) - start)) s)"
    "$@" >"$log" 2>&1
    rc=$?
    if [ "$rc" = 0 ]; then grep -a "faults" "$log"; echo "passed"; else tail -60 "$log"; fi
    one "$name" "$rc"
}

start=$(date +%s)
plain "build with gcc" make -s -j"$jobs" all
counted "guard rails" make -s -j"$jobs" lint
# JOBS: how many random jobs the law on figures draws, LAW_JOBS: those that take something from a whole job; make test
# draws 500 for each.
counted "tests, gcc; 150 random jobs of figures and 120 for each law of whole jobs, make test has 500" env JOBS=150 LAW_JOBS=120 make -s -j"$jobs" test
plain "independent computation of the sample's numbers" make -s verify
plain "workbooks recalculated by a spreadsheet, a short run" make -s recalculate JOBS=8
plain "build with clang" make -s -j"$jobs" CC=clang MODE=clang all
# The whole of both, and of the fuzzing, is for make mutate, make torture and make fuzz; what they found before is in the
# corpora, which "tests, sanitizers" replays.
counted "tests that bite: two changes to base, numeric, read and cli; make mutate makes those of all rooms" \
    env MUTATE_SECONDS=300 MUTATE_FILES=tests/mutations/house.txt make -s mutate MUTATE=2
# Left out: jobs of ten thousand zones, laws over whole jobs, drawn films, heats and clocks, whose code the other tests of it walk too, and readers in
# another language, which no sanitizer sees; all of them ran above. make MODE=san test has them.
counted "tests, sanitizers, without laws over drawn jobs and readers of outputs; 20 random jobs of figures" \
    env JOBS=20 TEST_FILTER='!(prop_seams/*|prop_missing/*|prop_unread/*|prop_words/*|prop_passed_over/*|prop_copies/*|prop_repairs/*|prop_heard/*|prop_clocks/*|prop_surveys/*|prop_thickness/*|prop_heat*/*|prop_align*/*|prop_sweep/*|prop_lines/*|many_zones/*|sample_facts/*|book/checking_script*|submittal/no_text*|submittal/tells*|render/workbooks_pass*|json/report_follows*)' \
    make -s -j"$jobs" MODE=san test
plain "a watcher through 150 dropped files; make soak makes 10000" timeout 900 make -s soak DROPS=150
plain "a share of 40 jobs; make share has 1000" timeout 900 make -s share JOBS_IN_SHARE=40 SHARE_SECONDS=10
plain "what is installed" sh scripts/check-install
plain "faults: a minute of those that make torture makes" timeout 300 make -s TORTURE_SECONDS=60 torture
echo
echo "took $(($(date +%s) - start)) s"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
