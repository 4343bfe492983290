/* SPDX-License-Identifier: MIT */
/*
 * The main job as a player would ask for it: render a session with its journal, replay the journal,
 * compare; then find in the file, by fftw3 alone, every note that the journal says was heard. The
 * pitches are those of ISO 16 in equal temperament.
 */
#include "check.h"

#include <complex.h>
#include <fftw3.h>
#include <math.h>
#include <sndfile.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/cli.h>
#include <holdfast/journal.h>
#include <holdfast/store.h>

enum { RATE = 48000, WINDOW = 16384 };

static char directory[64], wav[128], again[128], journal_path[128];

/* Runs a command of the program in this process, its words parted by blanks. */
static int run(const char *const *words)
{
    char *argv[32] = {NULL};
    int argc = 0;
    for (; words[argc]; argc++)
        argv[argc] = strdup(words[argc]);
    int status = -1, kept = dup(1);
    fflush(stdout);
    assert_non_null(freopen("/dev/null", "w", stdout));
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (strcmp(each->name, words[0]) == 0)
            status = each->run(each, argc, argv);
    fflush(stdout);
    dup2(kept, 1);
    close(kept);
    for (int i = 0; i < argc; i++)
        free(argv[i]);
    return status;
}

static void *contents(const char *path, size_t *length)
{
    char *text = NULL;
    assert_ok(hf_store_read(path, &text, length, NULL));
    return text;
}

static int make_session(void **state)
{
    (void)state;
    snprintf(directory, sizeof directory, "/tmp/holdfast-test-XXXXXX");
    assert_non_null(mkdtemp(directory));
    snprintf(wav, sizeof wav, "%s/a.wav", directory);
    snprintf(again, sizeof again, "%s/b.wav", directory);
    snprintf(journal_path, sizeof journal_path, "%s/a.jsonl", directory);
    const char *const words[] = {"render", "improvise", "--held",     "C E G#",    "--rounds",
                                 "1",      "--every",   "4s",         "--lead-in", "2s",
                                 "--seed", "7",         "--rate",     "48000",     "-o",
                                 wav,      "--journal", journal_path, NULL};
    return run(words);
}

static int remove_session(void **state)
{
    (void)state;
    unlink(wav);
    unlink(again);
    unlink(journal_path);
    return rmdir(directory);
}

static void a_replay_is_the_same_file_byte_for_byte(void **state)
{
    (void)state;
    const char *const words[] = {"replay", journal_path, "-o", again, NULL};
    size_t length = 0, length_again = 0;
    assert_int_equal(run(words), 0);
    char *first = contents(wav, &length), *second = contents(again, &length_again);
    assert_int_equal(length, length_again);
    assert_memory_equal(first, second, length);
    free(first);
    free(second);
}

static struct hf_journal read_journal(void)
{
    struct hf_journal journal;
    assert_ok(hf_store_read_journal(journal_path, &journal, NULL));
    return journal;
}

static void the_journal_has_the_six_each_at_its_time(void **state)
{
    (void)state;
    /* published: the six completions of {0,4,8} (exhaustive computation, any table of 016s) */
    static const hf_pcset six[] = {1 << 1 | 1 << 2 | 1 << 7,  1 << 1 | 1 << 6 | 1 << 7,
                                   1 << 2 | 1 << 3 | 1 << 9,  1 << 3 | 1 << 9 | 1 << 10,
                                   1 << 5 | 1 << 6 | 1 << 11, 1 << 5 | 1 << 10 | 1 << 11};
    struct hf_journal journal = read_journal();
    unsigned seen = 0;
    int cues = 0;
    for (size_t i = 0; i < journal.count; i++) {
        const struct hf_record *r = &journal.records[i];
        if (r->type != HF_RECORD_CUE)
            continue;
        /* derived: lead-in 2 s, a cue every 4 s, heard two thirds of the way */
        assert_int_equal(r->at, (2 + 4 * cues) * RATE);
        assert_int_equal(r->tell, r->at);
        assert_int_equal(r->hear, r->at + 128000);
        assert_int_equal(r->end, r->at + 4 * RATE);
        assert_int_equal(r->pcs, six[r->id - 1]);
        seen |= 1u << r->id;
        cues++;
    }
    assert_int_equal(cues, 6);
    assert_int_equal(seen, 0x7e);
    assert_int_equal(journal.records[journal.count - 1].type, HF_RECORD_END);
    assert_int_equal(journal.records[journal.count - 1].at, 26 * RATE);
    hf_journal_deinit(&journal);
}

/* Both sides of the file, read by libsndfile. */
static float *samples(long *frames)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(wav, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.channels, 2);
    assert_int_equal(info.samplerate, RATE);
    float *stereo = malloc((size_t)info.frames * 2 * sizeof *stereo);
    assert_non_null(stereo);
    assert_int_equal(sf_readf_float(file, stereo, info.frames), info.frames);
    sf_close(file);
    *frames = (long)info.frames;
    return stereo;
}

static double level(const float *stereo, long from, int midi)
{
    static double in[WINDOW];
    static fftw_complex bins[WINDOW / 2 + 1];
    double hz = 440 * pow(2, (midi - 69) / 12.0), power = 0;
    fftw_plan plan = fftw_plan_dft_r2c_1d(WINDOW, in, bins, FFTW_ESTIMATE);
    for (int side = 0; side < 2; side++) {
        for (int i = 0; i < WINDOW; i++)
            in[i] = (double)stereo[2 * (from + i) + side] *
                    (0.5 - 0.5 * cos(2 * 3.14159265358979 * i / WINDOW));
        fftw_execute(plan);
        int near = (int)(hz * WINDOW / RATE + 0.5);
        for (int k = near - 1; k <= near + 1; k++)
            power += creal(bins[k] * conj(bins[k]));
    }
    fftw_destroy_plan(plan);
    return 10 * log10(power + 1e-30);
}

static void every_cue_is_heard_when_the_journal_says_and_the_held_throughout(void **state)
{
    (void)state;
    struct hf_journal journal = read_journal();
    const struct hf_record *hold = &journal.records[0];
    long frames = 0;
    float *stereo = samples(&frames);
    /* derived: the end at 26 s and a fade of 5 s */
    assert_int_equal(frames, 31 * RATE);
    for (size_t i = 0; i < journal.count; i++) {
        const struct hf_record *r = &journal.records[i];
        if (r->type != HF_RECORD_CUE)
            continue;
        for (int note = 0; note < 3; note++) {
            /* from `hear` on: the last of three staggered notes begins 120 ms later */
            double before = level(stereo, (long)r->hear - WINDOW, r->notes[note]);
            double after = level(stereo, (long)r->hear + 5760, r->notes[note]);
            if (after - before < 6)
                fail_msg("cue %zu, note %d: a rise of %.1f dB", i, r->notes[note], after - before);
        }
    }
    for (int note = 0; note < 3; note++) {
        double steady = level(stereo, 3 * RATE, hold->notes[note]);
        for (long at = 4 * RATE; at + WINDOW < 26 * RATE; at += RATE)
            assert_true(level(stereo, at, hold->notes[note]) > steady - 6);
    }
    free(stereo);
    hf_journal_deinit(&journal);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_journal_has_the_six_each_at_its_time),
        cmocka_unit_test(every_cue_is_heard_when_the_journal_says_and_the_held_throughout),
        cmocka_unit_test(a_replay_is_the_same_file_byte_for_byte),
    };
    return cmocka_run_group_tests(tests, make_session, remove_session);
}
