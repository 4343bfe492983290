/* SPDX-License-Identifier: MIT */
/* Sessions that speak, in every way to cue and every practice that makes a file, measured: a name
 * comes no sooner than it is told and is over before the notes that it names; outside of words
 * every sample is as without speech; and the replay is the same file. derived: from these rules.
 * Files are read by libsndfile alone. */
#define _XOPEN_SOURCE 700

#include <sndfile.h>
#include <stdio.h>

#include "run.h"

#include "check.h"

#include <holdfast/replay.h>
#include <holdfast/speech.h>
#include <holdfast/wording.h>

enum { RATE = 8000, GAP = RATE / 4 /* HF_SPEECH_GAP_S */, ROW = 8 };

static const char *const sessions[][ROW] = {
    {"improvise", "--every", "10s", "--cue", "confirm"},
    {"improvise", "--every", "10s", "--cue", "lead"},
    {"improvise", "--every", "10s", "--cue", "silent"},
    {"improvise", "--every", "10s", "--cue", "ear"},
    {"improvise", "--every", "14s", "--cue", "gap"},
    {"improvise", "--every", "16s", "--cue", "reverse", "--names", "german"},
    {"improvise", "--cue", "gap", "--breathe", "16s..12s", "--names", "numbers"},
    {"improvise", "--cue", "reverse", "--breathe", "16s..12s"},
    {"improvise", "--unfold", "3-5,3-11", "--step", "8s"},
    {"warmup", "--for", "3m", "--kind", "1"},
    {"warmup", "--for", "3m", "--cue", "lead"},
    {"ear", "--held", "C E G#", "--level", "1"},
    {"ear", "--held", "C# F A", "--level", "2"},
    {"ear", "--held", "C E G#", "--level", "6"},
    {"ear", "--level", "1+", "--near-miss"},
};
enum { SESSIONS = sizeof sessions / sizeof sessions[0] };

static void render(size_t row, const char *speak, const char *wav, const char *journal)
{
    const char *args[RUN_ARGS + 1] = {"render"};
    int count = 1;
    bool warmup = strcmp(sessions[row][0], "warmup") == 0;
    for (int i = 0; i < ROW && sessions[row][i]; i++)
        args[count++] = sessions[row][i];
    const char *const rest[] = {"--lead-in", "12s",        "--seed",    "7",
                                "--rate",    "8000",       "--bits",    "float",
                                "-o",        scratch(wav), "--journal", scratch(journal)};
    for (size_t i = 0; i < sizeof rest / sizeof rest[0]; i++)
        args[count++] = rest[i];
    if (!warmup)
        args[count++] = "--rounds", args[count++] = "1";
    if (speak)
        args[count++] = speak, args[count++] = "--voice", args[count++] = "kal";
    run_end(run_start(args));
    assert_ran();
}

static float *read_sound(const char *name, sf_count_t *frames)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(scratch(name), SFM_READ, &info);
    assert_non_null(file);
    float *stereo = malloc((size_t)info.frames * 2 * sizeof *stereo);
    assert_non_null(stereo);
    assert_int_equal(sf_readf_float(file, stereo, info.frames), info.frames);
    sf_close(file);
    *frames = info.frames;
    return stereo;
}

static void read_journal(const char *name, struct hf_journal *journal, struct hf_timeline *timeline)
{
    size_t length = 0;
    char *text = (char *)scratch_read(name, &length);
    assert_non_null(text);
    assert_ok(hf_journal_parse(text, length, journal, NULL));
    assert_ok(hf_replay_timeline(journal, timeline, NULL));
    free(text);
}

/* ---- where words are ------------------------------------------------------------------------- */

static const struct hf_timeline_cue *cue_of(const struct hf_timeline *t, long n)
{
    for (size_t i = 0; i < t->count; i++)
        if (t->cues[i].record.n == n)
            return &t->cues[i];
    return NULL;
}

/* Counts the words that name a cue; `r` is one that is said about it. */
static int check_words(size_t row, const struct hf_timeline_cue *cue, const struct hf_record *r)
{
    char names[HF_UTTERANCE_TEXT];
    int64_t end = r->at + r->length;
    bool names_it = strstr(r->text, hf_wording_names(&cue->record, names)) != NULL;
    bool asks = strncmp(r->text, "level", 5) == 0 || strncmp(r->text, "which", 5) == 0;
    if (asks && end + GAP > cue->tell)
        fail_msg("%zu: \"%s\" is asked too late", row, r->text);
    if (asks && end + GAP > cue->hear && r->at < cue->hear + RATE)
        fail_msg("%zu: \"%s\" covers the notes", row, r->text);
    if (asks || !names_it)
        return 0;
    /* Ahead only where it is sounded as it is named; over by then all the same. */
    if (r->at < cue->tell && cue->tell != cue->hear)
        fail_msg("%zu: \"%s\" comes before it is told", row, r->text);
    if (cue->hear != HF_NEVER && end + GAP > cue->hear && r->at < cue->hear + RATE)
        fail_msg("%zu: \"%s\" covers its notes", row, r->text);
    return 1;
}

static bool is_spoken_over(const struct hf_journal *journal, int64_t frame)
{
    for (size_t i = 0; i < journal->count; i++) {
        const struct hf_record *r = &journal->records[i];
        if (r->type == HF_RECORD_SPEECH && frame >= r->at - 64 &&
            frame < r->at + r->length + RATE * 6 / 10)
            return true;
    }
    return false;
}

/* Nothing is said while something else is. */
static void check_order(size_t row, const struct hf_journal *journal)
{
    int64_t end = 0;
    for (size_t i = 0; i < journal->count; i++) {
        const struct hf_record *r = &journal->records[i];
        if (r->type != HF_RECORD_SPEECH)
            continue;
        if (r->at < end)
            fail_msg("%zu: \"%s\" cuts off what is being said", row, r->text);
        end = r->at + r->length;
    }
}

static void compare(size_t row, const struct hf_journal *journal)
{
    sf_count_t frames = 0, others = 0;
    float *mute = read_sound("mute.wav", &frames), *said = read_sound("said.wav", &others);
    int64_t same = 0, differ = 0;
    assert_int_equal(frames, others);
    for (int64_t i = 0; i < frames; i++) {
        bool equal = memcmp(&mute[2 * i], &said[2 * i], 2 * sizeof *mute) == 0;
        if (!equal && !is_spoken_over(journal, i))
            fail_msg("%zu: frame %lld differs", row, (long long)i);
        same += equal;
        differ += !equal;
    }
    assert_true(same > 10 * RATE && differ > 6 * RATE);
    free(mute);
    free(said);
}

static void check_replay(void)
{
    size_t length = 0, other = 0;
    run("replay", scratch("said.jsonl"), "--bits", "float", "-o", scratch("again.wav"), NULL);
    assert_ran();
    unsigned char *first = scratch_read("said.wav", &length),
                  *second = scratch_read("again.wav", &other);
    assert_true(first && second && length == other);
    assert_memory_equal(first, second, length);
    free(first);
    free(second);
}

static void words_never_cover_what_they_name_and_change_nothing_else(void **state)
{
    (void)state;
    static const char *const speaks[] = {"--speak", "--speak-only"};
    if (!hf_speech_is_built())
        skip();
    for (size_t row = 0; row < (RUN_SANITIZED ? 1 : SESSIONS); row++) {
        render(row, NULL, "mute.wav", "mute.jsonl");
        for (int speak = 0; speak < 2; speak++) {
            struct hf_journal journal;
            struct hf_timeline timeline;
            size_t cues = 0;
            int named = 0;
            render(row, speaks[speak], "said.wav", "said.jsonl");
            read_journal("said.jsonl", &journal, &timeline);
            for (size_t i = 0; i < journal.count; i++)
                if (journal.records[i].type == HF_RECORD_SPEECH && journal.records[i].cue > 0)
                    named += check_words(row, cue_of(&timeline, journal.records[i].cue),
                                         &journal.records[i]);
            for (size_t i = 0; i < timeline.count; i++)
                cues += timeline.cues[i].record.type == HF_RECORD_CUE;
            assert_int_equal(named, cues); /* each is named once */
            check_order(row, &journal);
            compare(row, &journal);
            if (speak == 1)
                check_replay();
            hf_timeline_deinit(&timeline);
            hf_journal_deinit(&journal);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_never_cover_what_they_name_and_change_nothing_else),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
