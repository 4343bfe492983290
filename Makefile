# SPDX-License-Identifier: MIT
# holdfast: make try (install what is missing, build, play a demo), make check (build, test).
# CC, CFLAGS, LDFLAGS, PREFIX and DESTDIR are yours; flags that the samples depend on are added.

BUILD   ?= build
PREFIX  ?= /usr/local
CFLAGS  ?= -O2 -g
PKG     ?= pkg-config

WARN = -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wdouble-promotion -Wstrict-prototypes \
       -Wmissing-prototypes -Wvla -Wcast-qual -Wwrite-strings $(if $(CI),-Werror)
RUN_LIBS  = portaudio-2.0 sndfile jansson inih
TEST_LIBS = cmocka fftw3 aubio libebur128 sqlite3
# Pages, where cairo is. `make CAIRO=` builds without.
CAIRO ?= $(shell $(PKG) --exists cairo && echo yes)
ifneq ($(CAIRO),)
RUN_LIBS += cairo
endif
CAIRO_OBJECTS = $(BUILD)/outlet/review_draw.o $(BUILD)/outlet/review_plot.o $(BUILD)/outlet/canvas.o $(BUILD)/outlet/still.o
$(CAIRO_OBJECTS): HF_FLAGS += -DHF_CAIRO=$(if $(CAIRO),1,0)
# The screen of play, where ncursesw is. `make SCREEN=` builds without.
SCREEN ?= $(shell $(PKG) --exists ncursesw 2>/dev/null && echo ncursesw)
$(BUILD)/cli/screen.o: HF_FLAGS += $(if $(SCREEN),-DHF_CURSES)
RUN_CFLAGS := $(shell $(PKG) --cflags $(RUN_LIBS) 2>/dev/null)
RUN_LINK   := $(shell $(PKG) --libs $(RUN_LIBS) $(SCREEN) 2>/dev/null)
# Speech, where flite is: it has no file for pkg-config. `make FLITE=` builds without.
FLITE_LINK = $(patsubst %,-lflite_%,cmu_us_awb cmu_us_kal16 cmu_us_rms cmu_us_slt usenglish cmulex) -lflite
ifeq ($(origin FLITE),undefined)
FLITE := $(shell printf '\043include <flite/flite.h>\nint main(void) { return flite_init(); }\n' | \
                 $(CC) -x c - -o /dev/null $(FLITE_LINK) -lm 2>/dev/null && echo yes)
endif
$(BUILD)/outlet/speech_voice.o: HF_FLAGS += -DHF_FLITE=$(if $(FLITE),1,0)
# MIDI pedals, where PortMidi is: it has no file for pkg-config either. `make PORTMIDI=` builds without.
ifeq ($(origin PORTMIDI),undefined)
PORTMIDI := $(shell printf '\043include <portmidi.h>\nint main(void) { return Pm_Initialize(); }\n' | \
                    $(CC) -x c - -o /dev/null -lportmidi 2>/dev/null && echo yes)
endif
RUN_LINK += $(if $(PORTMIDI),-lportmidi)
$(BUILD)/outlet/midi_portmidi.o: HF_FLAGS += -DHF_PORTMIDI=$(if $(PORTMIDI),1,0)
# The samples depend on these, whatever CFLAGS says: no contraction, no relaxed arithmetic.
STRICT = -std=c11 -ffp-contract=off -fno-fast-math $(if $(filter i386 i486 i586 i686,$(shell uname -m)),-msse2 -mfpmath=sse)
# No symbol is looked for on the audio thread: all are bound when the program starts.
BIND = -Wl,-z,relro,-z,now
# Nor does the program know where it was built.
STRICT += -ffile-prefix-map=$(CURDIR)=.
HF_FLAGS = $(CFLAGS) $(STRICT) $(WARN) -D_POSIX_C_SOURCE=200809L -D_FILE_OFFSET_BITS=64 -Iinclude $(RUN_CFLAGS) -MMD -MP

SOURCES = $(filter-out src/cli/main.c,$(sort $(wildcard src/*/*.c)))
OBJECTS = $(SOURCES:src/%.c=$(BUILD)/%.o) $(BUILD)/gen/builtin.o $(BUILD)/gen/lesson.o
HEADERS = $(wildcard include/holdfast/*.h)
PATCHES = $(sort $(wildcard patches/*.ini))
TESTS   = $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/test_*.c))
LIBRARY = $(BUILD)/libholdfast.a
PROGRAM = $(BUILD)/holdfast

# `make V=1` shows the commands whole.
Q = $(if $(V),,@echo '  $(1) $@';)

all: $(PROGRAM)

$(PROGRAM): $(BUILD)/cli/main.o $(LIBRARY)
	$(call Q,LD)$(CC) $(CFLAGS) $(BIND) $(LDFLAGS) -o $@ $^ $(RUN_LINK) $(if $(FLITE),$(FLITE_LINK)) -lm -lpthread -ldl

$(LIBRARY): $(OBJECTS)
	@rm -f $@
	$(call Q,AR)$(AR) rcs $@ $^

$(BUILD)/%.o: src/%.c
	@mkdir -p $(@D)
	$(call Q,CC)$(CC) $(HF_FLAGS) -c -o $@ $<

# The patches that ship are in the program too, as text, so that it runs from anywhere.
$(BUILD)/gen/builtin.c: $(PATCHES) src/sound/builtin.awk
	@mkdir -p $(@D)
	$(call Q,GEN)LC_ALL=C awk -f src/sound/builtin.awk $(PATCHES) > $@

# The lesson page's own files are in the program as they are.
LESSON = $(addprefix src/outlet/lesson/,style.css body.html core.js view.js hunt.js synth.js sound.js draw.js marks.js choose.js page.js)
$(BUILD)/gen/lesson.c: $(LESSON) src/outlet/assets.sh
	@mkdir -p $(@D)
	$(call Q,GEN)LC_ALL=C sh src/outlet/assets.sh $(LESSON) > $@

$(BUILD)/gen/%.o: $(BUILD)/gen/%.c
	$(call Q,CC)$(CC) $(HF_FLAGS) -Isrc/outlet -c -o $@ $<

# Methods of measurement that share nothing with the program (FFTW, the C library's mathematics).
MEASURES = $(filter-out tests/measure/main.c,$(wildcard tests/measure/*.c))
MEASURE  = $(BUILD)/tests/libmeasure.a
$(BUILD)/tests/measure/%.o: tests/measure/%.c
	@mkdir -p $(@D)
	$(call Q,CC)$(CC) $(HF_FLAGS) -Itests $$($(PKG) --cflags $(TEST_LIBS)) -c -o $@ $<

$(MEASURE): $(MEASURES:tests/%.c=$(BUILD)/tests/%.o)
	@rm -f $@
	$(call Q,AR)$(AR) rcs $@ $^

$(BUILD)/tests/%: tests/%.c $(MEASURE) $(LIBRARY)
	@mkdir -p $(@D)
	$(call Q,CC)$(CC) $(HF_FLAGS) -Itests -o $@ $< $(MEASURE) $(LIBRARY) $(WRAP) $(BIND) $(LDFLAGS) $(RUN_LINK) $(if $(FLITE),$(FLITE_LINK)) $$($(PKG) --cflags --libs $(TEST_LIBS)) -lm -lpthread -ldl

# The table of what the sound is like: limit, figure, pass.
$(BUILD)/tests/measure/measure: tests/measure/main.c $(MEASURE) $(LIBRARY)
	$(CC) $(HF_FLAGS) -Itests -o $@ $< $(MEASURE) $(LIBRARY) $(LDFLAGS) $(RUN_LINK) $(if $(FLITE),$(FLITE_LINK)) $$($(PKG) --cflags --libs $(TEST_LIBS)) -lm -lpthread -ldl

measure: $(BUILD)/tests/measure/measure
	$<

# Tests that make calls of the system fail (tests/faults.h).
FAULTS = open64 read write fsync fdatasync rename ftruncate64 lseek64 fchmod fstat64 mkdir \
         malloc calloc realloc strdup strndup realpath
FAULTY = wholefile store soundfile soundfile_forms shapes_memory lesson review_memory journal_memory schedule_memory
$(FAULTY:%=$(BUILD)/tests/test_%): WRAP = $(FAULTS:%=-Wl,--wrap=%)

# Helpers and scripts that play to a private sound server.
LIVE = $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/live/*.c))
$(BUILD)/tests/live/pedaled: $(BUILD)/cli/main.o
$(BUILD)/tests/live/pedaled: WRAP = $(BUILD)/cli/main.o $(LIBRARY) -Wl,--wrap=hf_midi_portmidi
$(BUILD)/tests/live/crashing: $(BUILD)/cli/main.o
$(BUILD)/tests/live/crashing: WRAP = $(BUILD)/cli/main.o $(LIBRARY) -Wl,--wrap=hf_engine_render,--wrap=raise
$(BUILD)/tests/live/keyed: $(BUILD)/cli/main.o
$(BUILD)/tests/live/keyed: WRAP = $(BUILD)/cli/main.o $(LIBRARY) \
                                  -Wl,--wrap=isatty,--wrap=tcgetattr,--wrap=tcsetattr
HASTY = isatty tcgetattr tcsetattr tcgetpgrp poll read hf_cli_seconds \
        $(addprefix hf_live_,open rate_hz name address latency_s until_heard_s start alive callbacks turn stop abandon)
$(BUILD)/tests/live/hasty: $(BUILD)/cli/main.o
$(BUILD)/tests/live/hasty: WRAP = $(BUILD)/cli/main.o $(LIBRARY) $(HASTY:%=-Wl,--wrap=%)
# Every command with calls that fail, on the virtual clock.
FAULTS_CLI = $(filter-out read,$(FAULTS)) aligned_alloc open_memstream fdopen fdopendir opendir readdir64 \
             lstat64 stat64 fstatat64 openat64 access pread64 flock time clock_gettime
$(BUILD)/tests/test_cli_faults: WRAP = $(FAULTS_CLI:%=-Wl,--wrap=%) $(HASTY:%=-Wl,--wrap=%)
# A player killed at any instant, likewise.
$(BUILD)/tests/test_kill: WRAP = $(HASTY:%=-Wl,--wrap=%) -Wl,--wrap=rename,--wrap=write,--wrap=fsync,--wrap=fdatasync
# Pictures of what is shown.
PICTURE = $(BUILD)/tests/screen/picture
$(PICTURE): TEST_LIBS += cairo
# Does the screen keep step with the sound?
STEP = $(BUILD)/tests/screen/step
$(STEP): TEST_LIBS += jack
SCRIPTS = $(wildcard tests/test_*.sh tests/*/test_*.sh)

# The matrix of builds that must make the same samples.
MATRIX = $(BUILD)/tests/matrix/patches
matrix: $(MATRIX)
	BUILD=$(BUILD) bash tests/matrix/matrix.sh all

# What takes too long for a check, in TIME seconds or a little more (two hours).
TIME ?= 7200
soak: $(BUILD)/tests/measure/measure $(MATRIX) $(TESTS)
	.ci/soak $(BUILD) $(TIME) $(MAKE)

# Tests that run the program, some of them on a virtual clock.
$(filter $(BUILD)/tests/test_cli_%,$(TESTS)): | $(PROGRAM)
$(foreach name,played lost asked reviewed edges,$(BUILD)/tests/test_cli_$(name)): | $(BUILD)/tests/live/hasty

# What the lesson page judges, judged by the program.
JUDGE = $(BUILD)/tests/lesson/judge

live-helpers: $(LIVE)
tests: $(TESTS) live-helpers $(PICTURE) $(STEP) $(MATRIX) $(JUDGE)

# What is missing is installed first; then make starts anew, to find the libraries.
try:
	.ci/deps run
	$(MAKE) -j$$(nproc) all
	.ci/try $(PROGRAM) $(BUILD)

# check-all is the same and, beside it, the suite under sanitizers (.ci/check says how).
check:
	.ci/deps test
	$(MAKE) -j$$(nproc) check-built

check-all: all tests asan-tests tsan-tests
	BUILD=$(BUILD) .ci/check $(TESTS) $(SCRIPTS) $(ASAN_TESTS) $(TSAN_TESTS)

check-built: all tests
	BUILD=$(BUILD) .ci/check $(TESTS) $(SCRIPTS)

# Figures to read: ratios and counts, no tests.
BENCH = $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/bench/*.c))
bench: $(PROGRAM) $(BENCH)
	@for script in tests/bench/*.sh; do BUILD=$(BUILD) bash $$script || exit 1; done

# The suite under the address and undefined-behaviour sanitizers, and what is played live under the
# thread sanitizer; a build of each.
SANITIZE   = -O1 -g -fno-omit-frame-pointer
ASAN_FLAGS = $(SANITIZE) -fsanitize=address,undefined,float-cast-overflow -fno-sanitize-recover=all
TSAN_FLAGS = $(SANITIZE) -fsanitize=thread
ASAN_TESTS = $(TESTS:$(BUILD)/%=$(BUILD)/asan/%) $(addsuffix :$(BUILD)/asan,tests/test_customs.sh)
TSAN_TESTS = $(patsubst %,tests/live/test_%.sh:$(BUILD)/tsan,play hands lost)
asan-tests:
	$(MAKE) BUILD=$(BUILD)/asan CI= CFLAGS="$(ASAN_FLAGS)" all $(TESTS:$(BUILD)/%=$(BUILD)/asan/%)
tsan-tests:
	$(MAKE) BUILD=$(BUILD)/tsan CI= CFLAGS="$(TSAN_FLAGS)" all live-helpers
asan tsan:
	.ci/deps test
	$(MAKE) -j$$(nproc) $@-tests
	BUILD=$(BUILD) .ci/check $(if $(filter asan,$@),$(ASAN_TESTS),$(TSAN_TESTS))

# Every reader of text from outside against what a fuzzer thinks of, FUZZ seconds each. What it finds
# lies in $(BUILD)/fuzz; what has once been found, in tests/fuzz/seeds.
FUZZ ?= 45
FUZZ_FLAGS = -O1 -g -fno-omit-frame-pointer -fsanitize=fuzzer-no-link,address,undefined \
             -fno-sanitize-recover=all -DFUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION
$(BUILD)/tests/fuzz/%: tests/fuzz/%.c $(LIBRARY)
	@mkdir -p $(@D)
	$(call Q,CC)$(CC) $(HF_FLAGS) -fsanitize=fuzzer -o $@ $< $(LIBRARY) $(LDFLAGS) $(RUN_LINK) $(if $(FLITE),$(FLITE_LINK)) -lm -lpthread -ldl
fuzzers: $(patsubst tests/fuzz/%.c,$(BUILD)/tests/fuzz/%,$(wildcard tests/fuzz/*.c))
fuzz:
	.ci/deps test
	$(MAKE) BUILD=$(BUILD)/fuzz CC=clang CFLAGS="$(FUZZ_FLAGS)" -j$$(nproc) fuzzers
	.ci/fuzz $(BUILD)/fuzz $(FUZZ)

# How much of src the whole suite runs, against floors (per cent of lines, of branches, of the readers'
# branches); $(BUILD)/coverage/coverage.txt has each file.
FLOORS = 87 78 100
coverage:
	.ci/deps test
	@mkdir -p $(BUILD)/coverage
	find $(BUILD)/coverage -name '*.gcda' -delete
	$(CC) -c -o $(BUILD)/coverage/raised.o .ci/raised.c
	$(MAKE) BUILD=$(BUILD)/coverage -j$$(nproc) CFLAGS="-O0 -g --coverage" \
	    LDFLAGS="$(LDFLAGS) --coverage -Wl,--wrap=raise $(BUILD)/coverage/raised.o" check-built
	.ci/coverage $(BUILD)/coverage $(FLOORS)

# Is every source laid out as .clang-format says (Debian 12's clang-format 14)?
format-check:
	clang-format --dry-run -Werror $$(git ls-files '*.c' '*.h')

# Static analysis of every source; ANALYZE='cppcheck gcc' leaves out clang-tidy, which takes long.
ANALYZE ?= cppcheck gcc tidy
analyze:
	.ci/analyze $(filter-out -W% -MMD -MP -g -O%,$(HF_FLAGS)) -DHF_CAIRO=1 -DHF_CURSES -DHF_FLITE=1 -DHF_PORTMIDI=1 -Isrc/outlet -- $(ANALYZE)

headers:
	.ci/headers $(filter-out -MMD -MP,$(HF_FLAGS))

# The manual page and the completions come from the program's own tables. Where it can't run here
# (built for another machine), RUN says by what: RUN='qemu-aarch64 -L /usr/aarch64-linux-gnu'.
RUN ?=
MANUAL = $(BUILD)/gen/holdfast.1 $(BUILD)/gen/holdfast.bash $(BUILD)/gen/_holdfast
$(BUILD)/gen/holdfast.1: PRINT = --print-manual
$(BUILD)/gen/holdfast.bash: PRINT = --print-bash
$(BUILD)/gen/_holdfast: PRINT = --print-zsh
$(MANUAL): $(PROGRAM)
	$(RUN) $(PROGRAM) $(PRINT) > $@

SHARE = $(DESTDIR)$(PREFIX)/share
INSTALLED = $(DESTDIR)$(PREFIX)/bin/holdfast $(PATCHES:%=$(SHARE)/holdfast/%) $(SHARE)/man/man1/holdfast.1 \
            $(SHARE)/bash-completion/completions/holdfast $(SHARE)/zsh/site-functions/_holdfast

# No directory that others use too is taken away, unless it is empty.
install: $(PROGRAM) $(MANUAL)
	install -D -m 755 $(PROGRAM) $(DESTDIR)$(PREFIX)/bin/holdfast
	install -d $(SHARE)/holdfast/patches
	install -m 644 $(PATCHES) $(SHARE)/holdfast/patches
	install -D -m 644 $(BUILD)/gen/holdfast.1 $(SHARE)/man/man1/holdfast.1
	install -D -m 644 $(BUILD)/gen/holdfast.bash $(SHARE)/bash-completion/completions/holdfast
	install -D -m 644 $(BUILD)/gen/_holdfast $(SHARE)/zsh/site-functions/_holdfast

uninstall:
	rm -f $(INSTALLED)
	-rmdir -p $(SHARE)/holdfast/patches $(SHARE)/man/man1 $(SHARE)/bash-completion/completions \
	          $(SHARE)/zsh/site-functions $(DESTDIR)$(PREFIX)/bin 2>/dev/null || true

# A package for Debian and its like, in $(BUILD).
deb: $(PROGRAM) $(MANUAL)
	BUILD=$(BUILD) MAKE="$(MAKE)" .ci/deb

clean:
	rm -rf $(BUILD)


.PHONY: all tests live-helpers fuzz fuzzers measure matrix soak try check check-all check-built bench asan tsan asan-tests tsan-tests coverage analyze headers format-check install uninstall deb clean
.DELETE_ON_ERROR:
-include $(OBJECTS:.o=.d) $(BUILD)/cli/main.d $(TESTS:=.d) $(LIVE:=.d) $(PICTURE:=.d) $(STEP:=.d) $(BENCH:=.d)
-include $(MEASURES:tests/%.c=$(BUILD)/tests/%.d)
