/* SPDX-License-Identifier: MIT */
/* Do the journal's times tell when something sounds? The program renders, aubio (an independent
 * library for audio analysis) listens to the file for onsets, and each `hear` of the journal must
 * have one within 10 ms. published: the limit is the practices' own, "within 10 ms". The method
 * finds a plucked note of the register above some 6 ms after its first sample, each time alike;
 * among low notes that beat it hears onsets of its own, so it is not asked there. */
#define _XOPEN_SOURCE 700

#include "run.h"

#include <aubio/aubio.h>
#include <sndfile.h>

#include <holdfast/store.h>

enum { RATE = 48000, WINDOW = 512, HOP = 64, ONSETS = 4096, LIMIT = RATE / 100 };

static long onsets[ONSETS];
static int onset_count;

/* Every onset of the file's left and right together. aubio tells of one some time after it was, and
 * corrects for that by a constant of the method. */
static void listen(const char *path)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.samplerate, RATE);
    char_t method[] = "energy";
    aubio_onset_t *onset = new_aubio_onset(method, WINDOW, HOP, RATE);
    fvec_t *in = new_fvec(HOP), *out = new_fvec(1);
    float stereo[2 * HOP];
    assert_true(onset && in && out);
    aubio_onset_set_minioi_ms(onset, 40);
    aubio_onset_set_silence(onset, -70);
    onset_count = 0;
    while (sf_readf_float(file, stereo, HOP) == HOP) {
        for (int i = 0; i < HOP; i++)
            in->data[i] = stereo[2 * i] + stereo[2 * i + 1];
        aubio_onset_do(onset, in, out);
        if (out->data[0] != 0 && onset_count < ONSETS)
            onsets[onset_count++] = (long)aubio_onset_get_last(onset);
    }
    del_fvec(in);
    del_fvec(out);
    del_aubio_onset(onset);
    sf_close(file);
}

static long nearest(int64_t at)
{
    long best = 1 << 30;
    for (int i = 0; i < onset_count; i++) {
        long apart = onsets[i] - (long)at;
        if (labs(apart) < labs(best))
            best = apart;
    }
    return best;
}

/* The journal's times against the sound of `wav`. */
static void compare(const char *journal_name, const char *what)
{
    struct hf_journal journal;
    assert_int_equal(hf_store_read_journal(scratch(journal_name), &journal, NULL), 0);
    int heard = 0, faults = 0;
    long worst = 0;
    for (size_t i = 0; i < journal.count; i++) {
        const struct hf_record *r = &journal.records[i];
        if ((r->type != HF_RECORD_CUE && r->type != HF_RECORD_STEP) || r->hear == HF_NEVER)
            continue;
        long apart = nearest(r->hear);
        heard++;
        faults += labs(apart) > LIMIT;
        if (labs(apart) > labs(worst))
            worst = apart;
        if (getenv("ONSETS"))
            printf("%s %d %ld\n", what, heard, apart);
    }
    hf_journal_deinit(&journal);
    if (heard == 0 || faults > 0)
        fail_msg("%s: %d of %d sounds have no onset within 10 ms; farthest %.1f ms", what, faults,
                 heard, 1e3 * (double)worst / RATE);
}

#define TRY_ALL(...)                                                                               \
    do {                                                                                           \
        run("render", __VA_ARGS__, "--seed", "7", "--rate", "48000", "--lead-in", "1s", "--drone", \
            "off", "-o", scratch("a.wav"), "--journal", scratch("a.jsonl"), NULL);                 \
        assert_ran();                                                                              \
        listen(scratch("a.wav"));                                                                  \
        compare("a.jsonl", #__VA_ARGS__);                                                          \
        run("replay", scratch("a.jsonl"), "-o", scratch("b.wav"), NULL);                           \
        assert_ran();                                                                              \
        listen(scratch("b.wav"));                                                                  \
        compare("a.jsonl", "replayed: " #__VA_ARGS__);                                             \
    } while (0)
#define TRY(...) TRY_ALL(__VA_ARGS__, "--held", "C E G#")

static void cues_sound_when_the_journal_says(void **state)
{
    (void)state;
    TRY("improvise", "--every", "3s", "--cue", "confirm");
    TRY("improvise", "--every", "3s", "--cue", "lead");
    TRY("improvise", "--every", "3s", "--cue", "ear");
    TRY("improvise", "--every", "3s", "--cue", "gap");
    TRY_ALL("improvise", "--every", "3s", "--cue", "reverse"); /* which holds an 016 of its own */
}

static void ear_sounds_when_the_journal_says(void **state)
{
    (void)state;
    TRY("ear", "--every", "6s", "--level", "1", "--rounds", "1");
    TRY("ear", "--every", "6s", "--level", "5", "--rounds", "1");
}

static void a_warm_up_sounds_when_the_journal_says(void **state)
{
    (void)state;
    TRY("warmup", "--every", "6s", "--rounds", "1");
}

static void steps_sound_when_the_journal_says(void **state)
{
    (void)state;
    TRY("improvise", "--every", "3s", "--step", "3s", "--unfold", "all", "--rounds", "1");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cues_sound_when_the_journal_says),
        cmocka_unit_test(ear_sounds_when_the_journal_says),
        cmocka_unit_test(a_warm_up_sounds_when_the_journal_says),
        cmocka_unit_test(steps_sound_when_the_journal_says),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
