# milrise - one Makefile for everything. `make help` lists what a contributor needs.
#
# Objects go to build/$(MODE)/, where MODE is release (default), san (address and undefined-behaviour sanitizers) or
# fuzz. V=1 shows the commands.

MODE ?= release
CC ?= gcc
PREFIX ?= /usr/local
B := build/$(MODE)
VERSION := $(shell sed -n 's/^.define MR_VERSION "\(.*\)"/\1/p' include/milrise/milrise.h)
Q := $(if $(V),,@)

PKGS := cairo cairo-pdf cairo-svg pangocairo fontconfig glib-2.0 gsl libRmath jansson libdeflate minizip expat libcrypto xlsxwriter
PKG_CFLAGS := $(shell pkg-config --cflags $(PKGS) | sed 's/-I/-isystem /g')
PKG_LIBS := $(shell pkg-config --libs $(PKGS)) -lcsv -lm -lpthread

WARN := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Wdouble-promotion -Wformat=2 \
	-Wstrict-prototypes -Wmissing-prototypes -Wold-style-definition -Wpointer-arith -Wwrite-strings -Wcast-qual \
	-Wvla -Wundef -Wswitch-enum -Wfloat-equal -Wnull-dereference -Wimplicit-fallthrough -Werror
CPPFLAGS := -D_GNU_SOURCE -Iinclude -Isrc -isystem $(B)/gen
CFLAGS.release := -O2 -g -D_FORTIFY_SOURCE=2 -fstack-protector-strong
CFLAGS.shared := $(CFLAGS.release) -fPIC
CFLAGS.san := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer -DMR_ARENA_SEPARATE
LDFLAGS.san := -fsanitize=address,undefined
# Without tracing of comparisons: it would trace every check of the sanitizers too, at a quarter of the time.
CFLAGS.fuzz := -O1 -g -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-coverage=trace-cmp -fno-sanitize-recover=all \
	-fno-omit-frame-pointer -w
LDFLAGS.fuzz := -fsanitize=fuzzer,address,undefined
# Two threads at one memory without a lock; libraries are not looked into, since they were built without it.
CFLAGS.tsan := -O1 -g -fsanitize=thread -fno-omit-frame-pointer -DMR_ARENA_SEPARATE
LDFLAGS.tsan := -fsanitize=thread
CFLAGS.afl := -O2 -g -w
LDFLAGS.afl := -fsanitize=fuzzer
CFLAGS := -std=c11 -fno-common -ffp-contract=off $(CFLAGS.$(MODE)) $(WARN)
LDFLAGS := $(LDFLAGS.$(MODE))
TEST_CFLAGS := $(filter-out -Wconversion -Wsign-conversion -Wfloat-equal -Wdouble-promotion -Wnull-dereference -Wpedantic,$(CFLAGS)) -Itests -fno-pie

ROOMS := base numeric read normalise align assess render cli
LIB_SRC := $(sort $(shell find $(ROOMS:%=src/%) -name "*.c"))
LIB_OBJ := $(LIB_SRC:src/%.c=$(B)/%.o) $(B)/gen/templates.o $(B)/gen/draw_code.o
LIB := $(B)/libmilrise.a
BIN := $(B)/milrise
TEMPLATES := $(sort $(shell find templates -type f 2>/dev/null))

# One test program per folder of tests; tests/support is shared by all of them.
TEST_DIRS := $(sort $(patsubst tests/%/,%,$(dir $(wildcard tests/*/test_*.c tests/*/*/test_*.c))))
TEST_BINS := $(foreach d,$(TEST_DIRS),$(B)/tests/$(subst /,-,$(d)))
SUPPORT_OBJ := $(patsubst tests/%.c,$(B)/tests/obj/%.o,$(filter-out tests/support/make_sample.c,$(wildcard tests/support/*.c)))

.PHONY: all lib test sample lint verify recalculate mutate san check tidy bench bench-stages bench-read bench-align heat-table heat-sites fuzz fuzz-smoke fuzz-afl fuzz-bins install uninstall dist clean help
.PHONY: shared install-lib deb soak share machines clusters service package gallery
all: $(BIN)
lib: $(LIB)

# One header of OpenSSL has parameters named rand, those of libxlsxwriter call strncpy: their wrappers alone go without
# the list of banned calls.
BANNED = -include base/banned.h
$(B)/base/sha256.o $(B)/render/sheet/book_xlsx.o $(B)/render/sheet/book_page.o $(B)/render/sheet/book_looks.o $(B)/render/sheet/book_lean.o: BANNED =

# Every byte of a log passes through the readers (about 4 % of the reading, measured pair by pair with make bench-read),
# every step of a fit through the other two.
HOT := assess/heat/heat_curve assess/heat/fit_solve assess/heat/fit_weather assess/heat/fit_design assess/heat/disturbance normalise/row/log_rows normalise/clock/timer normalise/row/row_fates normalise/row/no_data_rows normalise/clock/clock_cell read/record/record_reader read/source/source
$(foreach h,$(HOT),$(if $(wildcard src/$(h).c),,$(error HOT names src/$(h).c, which is not there)))
ifneq ($(filter release shared,$(MODE)),)
$(HOT:%=$(B)/%.o): CFLAGS += -O3
endif

# What milrise --version says of the libraries that it was built with. libcsv has no pkg-config file, that of libxlsxwriter
# another number.
LIBRARIES = libxlsxwriter $(shell printf '\043include <xlsxwriter.h>\nLXW_VERSION' | $(CC) -E -P -x c - | tail -n 1 | tr -d '"'), \
	$(shell for p in cairo pangocairo gsl libRmath jansson libdeflate glib-2.0 libcrypto; do \
	printf '%s %s, ' $$p $$(pkg-config --modversion $$p); done)libcsv \
	$(shell printf '\043include <csv.h>\nCSV_MAJOR.CSV_MINOR.CSV_RELEASE' | $(CC) -E -P -x c - | tail -n 1 | tr -d ' ')
$(B)/cli/cli.o: CPPFLAGS += -DMR_LIBRARIES='"$(LIBRARIES)"'

$(B)/%.o: src/%.c
	@mkdir -p $(@D)
	$(if $(V),,@echo "  CC $<")
	$(Q)$(CC) $(CPPFLAGS) $(BANNED) $(PKG_CFLAGS) $(CFLAGS) -MMD -MP -c -o $@ $<

$(B)/gen/templates.c: scripts/embed-templates $(TEMPLATES)
	@mkdir -p $(@D)
	$(Q)sh scripts/embed-templates $(TEMPLATES) > $@.new && mv $@.new $@

# What draws is part of what a figure's key is made of: another code may give other bytes (src/render/draw/draw_key.h).
DRAW_CODE := $(sort $(wildcard src/render/draw/*.[ch]))
$(B)/gen/draw_code.c: $(DRAW_CODE)
	@mkdir -p $(@D)
	$(Q)printf '#include "render/draw/draw_key.h"\nconst char mr_draw_code[65] = "%s";\n' \
	    "$$(cat $(DRAW_CODE) | sha256sum | cut -c1-64)" > $@.new && mv $@.new $@

$(B)/gen/templates.o $(B)/gen/draw_code.o: %.o: %.c
	$(Q)$(CC) $(CPPFLAGS) $(CFLAGS) -c -o $@ $<

$(LIB): $(LIB_OBJ)
	@rm -f $@
	$(Q)ar rcs $@ $^

$(BIN): $(B)/main.o $(LIB)
	$(Q)$(CC) $(LDFLAGS) -o $@ $^ $(PKG_LIBS)

# The shared library has a build folder of its own (MODE=shared) and shows only what include/milrise declares. SOVERSION
# goes up with each change that programs built before would notice.
SOVERSION := 0
SO := libmilrise.so.$(VERSION)
$(B)/$(SO): $(filter-out $(B)/cli/%,$(LIB_OBJ))
	$(Q)sh scripts/public-symbols $(CC) -std=c11 > $(B)/symbols.map.new && mv $(B)/symbols.map.new $(B)/symbols.map
	$(Q)$(CC) $(LDFLAGS) -shared -Wl,-soname,libmilrise.so.$(SOVERSION) -Wl,--version-script,$(B)/symbols.map -Wl,--no-undefined \
		-o $@ $^ $(PKG_LIBS)
shared:
	$(Q)$(MAKE) --no-print-directory MODE=shared build/shared/$(SO)

$(B)/tests/obj/%.o: tests/%.c
	@mkdir -p $(@D)
	$(if $(V),,@echo "  CC $<")
	$(Q)$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(TEST_CFLAGS) -MMD -MP -c -o $@ $<

define test_rule
$(B)/tests/$(subst /,-,$(1)): $(patsubst tests/%.c,$(B)/tests/obj/%.o,$(wildcard tests/$(1)/*.c)) $(SUPPORT_OBJ) $(LIB)
	$$(Q)$$(CC) $$(LDFLAGS) -no-pie -o $$@ $$^ -lcriterion -lpng $$(PKG_LIBS)
endef
$(foreach d,$(TEST_DIRS),$(eval $(call test_rule,$(d))))

# T=name picks test programs whose name holds it: make test T=align. Tests of the whole command want `make all` too.
test: $(foreach t,$(TEST_BINS),$(if $(if $(T),$(findstring $(T),$(t)),all),$(t))) $(if $(T),,$(BIN))
	$(Q)sh scripts/run-tests $(B) $(filter-out $(BIN),$^)

# The sample job is generated, seeded and committed; a test holds the committed files against the generator.
SAMPLE_OBJ := $(patsubst tests/%.c,$(B)/tests/obj/%.o,tests/support/simulate.c $(wildcard tests/support/*sample*.c))
$(B)/make_sample: $(SAMPLE_OBJ)
	$(Q)$(CC) $(LDFLAGS) -no-pie -o $@ $^ -lm

sample: $(B)/make_sample
	$< sample-data

# Guard rails: who includes and calls what, names, shape, format, headers alone, cppcheck.
lint: $(LIB)
	$(Q)sh scripts/lint $(B) "-std=c11 $(filter-out -isystem $(B)/gen,$(CPPFLAGS)) $(WARN)"

# The sample's numbers once more, by other code in another language, against report.json.
verify: $(BIN)
	$(Q)sh scripts/verify-sample $(BIN)

# Every formula of the workbooks, recalculated by LibreOffice: JOBS=n seeded jobs beside the sample. Then cells that no
# formula follows are typed over.
JOBS ?= 200
recalculate: $(BIN)
	$(Q)/usr/bin/python3 scripts/recalculate.py $(BIN) $(JOBS) || [ $$? = 77 ]
	$(Q)/usr/bin/python3 scripts/typed-over.py $(BIN) || [ $$? = 77 ]

# A watcher over folders in which files come, change and go (DROPS of them), killed now and then: its reports must be those
# of one clean run.
DROPS ?= 10000
soak: $(BIN)
	$(Q)/usr/bin/python3 scripts/soak.py $(BIN) $(DROPS) $(SEED)

# Sweeps over JOBS_IN_SHARE jobs, one in twenty hostile: unchanged, changed, killed, and two sweeps and a watcher at once for
# SHARE_SECONDS.
JOBS_IN_SHARE ?= 1000
SHARE_SECONDS ?= 600
share: $(BIN)
	$(Q)/usr/bin/python3 scripts/share.py $(BIN) $(JOBS_IN_SHARE) $(SHARE_SECONDS)

# One share on two machines, by mounts of their own and namespaces of their own, where these can be had.
MACHINES_SECONDS ?= 60
machines: $(BIN)
	$(Q)/usr/bin/python3 scripts/two_machines.py $(BIN) 12 $(MACHINES_SECONDS) || [ $$? = 77 ]

# The sweep by GNU parallel and by a Slurm of our own, where they are installed.
clusters: $(BIN)
	$(Q)sh scripts/check-clusters $(B) || [ $$? = 77 ]

# The units of scripts/service under a systemd of our own (SYSTEMD_ROOT: a root to use again); the Debian packages in a bare
# root (BARE_ROOT). Both are made by debootstrap where they are not there.
service: $(BIN)
	$(Q)sh scripts/check-service $(B) || [ $$? = 77 ]
package:
	$(Q)sh scripts/check-package build/deb || [ $$? = 77 ]

# Every kind of figure in every size, as it is, in grey and as colour-blind readers see it, on contact sheets to look at.
gallery: $(BIN)
	$(Q)sh scripts/gallery $(BIN) build/gallery

# Changes to the code that some test must notice (tests/mutations); MUTATE=10 takes ten of them at random.
mutate:
	$(Q)sh scripts/mutate $(MUTATE)

san:
	$(Q)$(MAKE) --no-print-directory MODE=san test

check:
	$(Q)sh scripts/check.sh

# A report with all its figures by four threads, watched for races (clang's runtime works where gcc's does not).
.PHONY: races
races:
	$(Q)$(MAKE) --no-print-directory CC=clang MODE=tsan build/tsan/milrise
	$(Q)sh scripts/check-races build/tsan/milrise sample-data/alder-ford-footbridge

# Slow and noisy, so apart from lint; settings in .clang-tidy.
tidy:
	$(Q)clang-tidy --quiet $(LIB_SRC) -- -std=c11 $(CPPFLAGS) $(PKG_CFLAGS)

# Every bench_*.c in tests/bench is built against the library and run; each prints its own figures.
BENCH_BINS := $(patsubst tests/bench/%.c,$(B)/bench/%,$(wildcard tests/bench/bench_*.c))
$(B)/bench/%: tests/bench/%.c $(SUPPORT_OBJ) $(LIB)
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) -Itests $(PKG_CFLAGS) $(CFLAGS) $(LDFLAGS) -no-pie -o $@ $^ -lcriterion $(PKG_LIBS)

# Fuzzing: tests/fuzz/fuzz.h says how a target is written. What an engine finds lies in build/fuzz and build/afl until it is
# understood, mended and added to the corpus.
FUZZ_RUNS ?= 1000000
FUZZ_SECONDS ?= 60
FUZZ_NAMES := $(patsubst tests/fuzz/fuzz_%.c,%,$(wildcard tests/fuzz/fuzz_*.c))
FUZZ_ONLY ?= $(FUZZ_NAMES)
FUZZ_BINS := $(FUZZ_NAMES:%=$(B)/fuzz/%)
$(B)/fuzz/%: tests/fuzz/fuzz_%.c $(LIB)
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) -Itests -DMR_FUZZER $(PKG_CFLAGS) $(filter-out $(WARN),$(CFLAGS)) $(LDFLAGS) -o $@ $^ $(PKG_LIBS)
fuzz-bins: $(FUZZ_BINS)
fuzz-smoke:
	$(Q)FUZZ_LIMIT=90 $(MAKE) --no-print-directory fuzz FUZZ_RUNS=20000
fuzz:
	$(Q)$(MAKE) --no-print-directory MODE=fuzz CC=clang fuzz-bins
	$(Q)sh scripts/fuzz build/fuzz $(FUZZ_RUNS) $(FUZZ_ONLY)
fuzz-afl:
	$(Q)$(MAKE) --no-print-directory MODE=afl CC=afl-clang-fast fuzz-bins
	$(Q)sh scripts/fuzz-afl build/afl $(FUZZ_SECONDS) $(FUZZ_ONLY)

# System calls and allocations of a whole report fail in their turn, with each error: the first and the last of so many
# call stacks that each way into a library and each way through the program is among them (tests/torture/torture.c), as
# far as the seconds reach; the last lines count stacks, faults and violations. TORTURE_ONLY=write takes one class of
# calls, TORTURE_ONLY="all stacks" every call stack, TORTURE_ONLY="all every" each single call: some days. The program is
# the same but for its pictures' dots per inch, which make no call; the folder is in memory where there is room for one.
.PHONY: torture
TORTURE_SECONDS ?= 100000
TORTURE_FOLDER := $(if $(wildcard /dev/shm/.),/dev/shm/milrise-torture,$(abspath $(B))/torture/folder)
$(B)/torture/alloc_fault.so: tests/torture/alloc_fault.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) -std=c11 -O1 -shared -fPIC -o $@ $< -ldl
$(B)/torture/torture: $(filter-out %/alloc_fault.c,$(wildcard tests/torture/*.c)) $(wildcard tests/torture/*.h)
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) -std=c11 -O1 -g -Wall -Wextra -Werror -o $@ $(filter %.c,$^) -ldw
$(B)/torture/draw_cairo.o: src/render/draw/draw_cairo.c $(B)/render/draw/draw_cairo.o
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) $(BANNED) $(PKG_CFLAGS) $(CFLAGS) -DMR_CHART_DPI=40 -DMR_SCREEN_DPI=20 -c -o $@ $<
$(B)/torture/milrise: $(B)/main.o $(B)/torture/draw_cairo.o $(LIB)
	$(Q)$(CC) $(LDFLAGS) -o $@ $^ $(PKG_LIBS)
torture: $(B)/torture/milrise $(B)/torture/torture $(B)/torture/alloc_fault.so
	$(Q)$(B)/torture/torture $(abspath $(B)/torture/milrise) $(abspath $(B)/torture/alloc_fault.so) $(TORTURE_FOLDER) \
		$(TORTURE_SECONDS) $(TORTURE_ONLY) || [ $$? = 77 ]

bench-read: $(B)/bench/bench_read
	$(Q)$<
bench-align: $(B)/bench/bench_align
	$(Q)$<

# What the detection of heat and its comparison with film can do, over thousands of seeded records (minutes).
$(B)/tests/bench/heat_table: tests/bench/heat_table.c $(B)/tests/obj/support/heat_sim.o $(LIB)
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(TEST_CFLAGS) $(LDFLAGS) -no-pie -o $@ $^ $(PKG_LIBS)
heat-table: $(B)/tests/bench/heat_table
	$(Q)./$<

# How the heat of coats is judged on simulated sites, by weather: right, not shown, wrong (minutes).
SITE_OBJ := $(patsubst %,$(B)/tests/obj/support/%.o,heat_sim heat_site heat_site_judge)
$(B)/tests/bench/heat_sites: tests/bench/heat_sites.c $(SITE_OBJ) $(LIB)
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(TEST_CFLAGS) $(LDFLAGS) -no-pie -o $@ $^ $(PKG_LIBS)
heat-sites: $(B)/tests/bench/heat_sites
	$(Q)./$< $(SITES)

bench-stages: $(BENCH_BINS) $(BIN)
	$(Q)for b in $(BENCH_BINS); do $$b $(BIN) || exit 1; done

# Whole jobs beside the bare libraries and a script of data-frame, workbook and plotting libraries (tests/bench/bench.py).
# SIZES="small fair medium large" takes an hour and 5 GB of disk; RUNS=n repeats each; the table goes to BENCH_OUT too.
SIZES ?= small fair
BENCH_OUT ?= $(B)/bench/bench.md
BENCH_PARTS := $(addprefix $(B)/bench/,make_job floor_read floor_book floor_figures stage_shares)
$(BENCH_PARTS): $(B)/bench/%: tests/bench/%.c $(B)/tests/obj/support/simulate.o $(LIB)
	@mkdir -p $(@D)
	$(Q)$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(TEST_CFLAGS) $(LDFLAGS) -no-pie -o $@ $^ $(PKG_LIBS)
bench: $(BENCH_PARTS) $(BIN)
	$(Q)/usr/bin/python3 tests/bench/bench.py $(B) $(BENCH_OUT) $(SIZES)

MAN = $(PREFIX)/share/man
COMMANDS := $(shell sed -n 's/^ *{.name = "\(.*\)",/\1/p' src/cli/commands.c)
DOCS := README.md DEVELOPERS.md LICENSE
install: $(BIN)
	install -D -m 755 $(BIN) $(DESTDIR)$(PREFIX)/bin/milrise
	@mkdir -p $(DESTDIR)$(MAN)/man1 $(DESTDIR)$(MAN)/man5
	$(BIN) manual milrise > $(DESTDIR)$(MAN)/man1/milrise.1
	for c in $(COMMANDS); do $(BIN) manual $$c > $(DESTDIR)$(MAN)/man1/milrise-$$c.1 || exit 1; done
	$(BIN) manual job > $(DESTDIR)$(MAN)/man5/milrise-job.5
	for s in bash:bash-completion/completions/milrise zsh:zsh/site-functions/_milrise fish:fish/vendor_completions.d/milrise.fish; do \
	    to=$(DESTDIR)$(PREFIX)/share/$${s#*:}; mkdir -p $${to%/*} && $(BIN) manual $${s%%:*} > $$to || exit 1; done
	for d in $(wildcard $(DOCS)); do install -D -m 644 $$d $(DESTDIR)$(PREFIX)/share/doc/milrise/$$d; done
	for s in $(notdir $(wildcard scripts/service/*)); do to=$(DESTDIR)$(PREFIX)/share/doc/milrise/examples/$$s; \
	    mkdir -p $${to%/*} && sed 's|/usr/local/bin|$(PREFIX)/bin|' scripts/service/$$s > $$to || exit 1; done

# The library for other programs: headers, both libraries, pkg-config.
LIBDIR = $(PREFIX)/lib
install-lib: $(LIB) shared
	for h in include/milrise/*.h; do install -D -m 644 $$h $(DESTDIR)$(PREFIX)/$$h || exit 1; done
	install -D -m 644 $(LIB) $(DESTDIR)$(LIBDIR)/libmilrise.a
	install -D -m 644 build/shared/$(SO) $(DESTDIR)$(LIBDIR)/$(SO)
	ln -sf $(SO) $(DESTDIR)$(LIBDIR)/libmilrise.so.$(SOVERSION)
	ln -sf libmilrise.so.$(SOVERSION) $(DESTDIR)$(LIBDIR)/libmilrise.so
	@mkdir -p $(DESTDIR)$(LIBDIR)/pkgconfig
	printf '%s\n' 'prefix=$(PREFIX)' 'libdir=$(LIBDIR)' 'includedir=$${prefix}/include' '' 'Name: milrise' \
	    'Description: reports on sprayed two-part ceramic coatings' 'Version: $(VERSION)' 'Requires.private: $(PKGS)' \
	    'Libs: -L$${libdir} -lmilrise' 'Libs.private: -lcsv -lm -lpthread' 'Cflags: -I$${includedir}' \
	    > $(DESTDIR)$(LIBDIR)/pkgconfig/milrise.pc

uninstall:
	rm -f $(DESTDIR)$(PREFIX)/bin/milrise
	rm -f $(DESTDIR)$(MAN)/man1/milrise.1 $(DESTDIR)$(MAN)/man5/milrise-job.5
	for c in $(COMMANDS); do rm -f $(DESTDIR)$(MAN)/man1/milrise-$$c.1; done
	rm -f $(DESTDIR)$(PREFIX)/share/bash-completion/completions/milrise $(DESTDIR)$(PREFIX)/share/zsh/site-functions/_milrise
	rm -f $(DESTDIR)$(PREFIX)/share/fish/vendor_completions.d/milrise.fish
	rm -rf $(DESTDIR)$(PREFIX)/share/doc/milrise $(DESTDIR)$(PREFIX)/include/milrise
	rm -f $(DESTDIR)$(LIBDIR)/libmilrise.a $(DESTDIR)$(LIBDIR)/libmilrise.so* $(DESTDIR)$(LIBDIR)/pkgconfig/milrise.pc

# What is committed, under one folder; the same commit gives the same bytes.
dist:
	@mkdir -p build
	git archive --format=tar --prefix=milrise-$(VERSION)/ HEAD | gzip -n -9 > build/milrise-$(VERSION).tar.gz
	@echo build/milrise-$(VERSION).tar.gz

# Debian packages of what is committed, into build/deb.
deb:
	$(Q)sh scripts/make-deb build/deb

help:
	@echo 'all        the command, build/release/milrise (default)'
	@echo 'test       build and run the tests; T=align picks programs by name, MODE=san adds the sanitizers'
	@echo 'lint       guard rails: includes, rings, names, symbols, headers, shape, format, cppcheck'
	@echo 'san        tests under the address and undefined-behaviour sanitizers'
	@echo 'check      everything, as before a change goes in (scripts/check.sh)'
	@echo 'verify     the numbers of the sample job by an independent computation'
	@echo 'mutate     changes the code as tests/mutations says and sees that the tests notice; MUTATE=10 takes ten at random'
	@echo 'races      a report by four threads under the thread sanitizer'
	@echo 'soak       a watcher through DROPS=10000 dropped files and random kills; clusters: a sweep by GNU parallel and Slurm'
	@echo 'machines   one share on two machines of our own: never two reports on one job'
	@echo 'share      sweeps over JOBS_IN_SHARE=1000 jobs, some hostile, with kills and two sweeps and a watcher at once'
	@echo 'service    the systemd units under a systemd of our own; package: the Debian packages in a bare root'
	@echo 'sample     write sample-data anew from its generator'
	@echo 'tidy       clang-tidy over the sources'
	@echo 'heat-table what the detection of heat can do, over thousands of seeded records'
	@echo 'heat-sites how heat is judged on simulated sites in each weather; SITES="340 9000": sites per class, first seed'
	@echo 'bench      whole jobs beside the bare libraries and a script; SIZES="small fair medium large" RUNS=n'
	@echo 'bench-stages the stages alone, at many sizes; bench-read reading alone'
	@echo 'fuzz-smoke 20000 inputs for each target; fuzz FUZZ_RUNS=n FUZZ_ONLY="table"; fuzz-afl FUZZ_SECONDS=n'
	@echo 'install    to PREFIX ($(PREFIX)), below DESTDIR; uninstall takes it away'
	@echo 'install-lib  headers, static and shared library, pkg-config file'
	@echo 'deb        Debian packages of the commit, into build/deb'
	@echo 'dist       a source archive of the commit'
	@echo 'clean      remove build/'
	@echo 'CC=clang MODE=clang builds with clang beside the release; V=1 shows the commands'

clean:
	rm -rf build

# Not those of the roots that make service and make package leave there.
-include $(shell find build/$(MODE) -name '*-root*' -prune -o -type f -name '*.d' -print 2>/dev/null)
