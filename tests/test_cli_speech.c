/* SPDX-License-Identifier: MIT */
/* Speech as a player asks for it: refused with the reason, in the file and the record where it
 * should be, and nowhere else; replayed as it was. Files are read by libsndfile alone. Skipped
 * where speech isn't built in, but for what is said then. */
#define _XOPEN_SOURCE 700

#include <math.h>
#include <sndfile.h>
#include <stdio.h>

#include "run.h"

#include "check.h"
#include "forge.h"

#include <holdfast/speech.h>
#include <holdfast/store.h>

enum { RATE = 48000 };

static float *read_sound(const char *name, sf_count_t *frames)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(scratch(name), SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.channels, 2);
    float *stereo = malloc((size_t)info.frames * 2 * sizeof *stereo);
    assert_non_null(stereo);
    assert_int_equal(sf_readf_float(file, stereo, info.frames), info.frames);
    sf_close(file);
    *frames = info.frames;
    return stereo;
}

static struct hf_journal read_journal(const char *name)
{
    struct hf_journal journal;
    assert_ok(hf_store_read_journal(scratch(name), &journal, NULL));
    return journal;
}

/* Renders with a way to cue and what is spoken (NULL: nothing) to NAME.wav and NAME.jsonl. */
static void render(const char *name, const char *way, const char *speak)
{
    char wav[64], jsonl[64];
    snprintf(wav, sizeof wav, "%s.wav", name);
    snprintf(jsonl, sizeof jsonl, "%s.jsonl", name);
    run("render", "--held", "C E G#", "--cue", way, "--every", "10s", "--lead-in", "4s", "--for",
        "24s", "--seed", "3", "--bits", "float", "-o", scratch(wav), "--journal", scratch(jsonl),
        speak ? speak : "--rate", speak ? "--voice" : "48000", speak ? "kal" : NULL, NULL);
    assert_ran();
}

static bool is_spoken_over(const struct hf_journal *journal, int64_t frame)
{
    for (size_t i = 0; i < journal->count; i++) {
        const struct hf_record *r = &journal->records[i];
        if (r->type == HF_RECORD_SPEECH && frame >= r->at - 128 &&
            frame < r->at + r->length + RATE * 6 / 10)
            return true;
    }
    return false;
}

/* The same samples, apart from where something is said and the music comes back from it; and there
 * the notes are where the record says, which is the same in both. */
static void without_words_every_sample_is_as_without_speech(void **state)
{
    (void)state;
    static const char *const ways[] = {"confirm", "lead", "gap", "ear"};
    if (!hf_speech_is_built())
        skip();
    for (int way = 0; way < (RUN_SANITIZED ? 1 : 4); way++) {
        sf_count_t frames = 0, others = 0;
        render("mute", ways[way], NULL);
        render("said", ways[way], "--speak");
        float *mute = read_sound("mute.wav", &frames), *said = read_sound("said.wav", &others);
        struct hf_journal journal = read_journal("said.jsonl");
        int64_t same = 0, differ = 0;
        assert_int_equal(frames, others);
        for (int64_t i = 0; i < frames; i++) {
            bool equal = memcmp(&mute[2 * i], &said[2 * i], 2 * sizeof *mute) == 0;
            if (!is_spoken_over(&journal, i) && !equal)
                fail_msg("%s: frame %lld differs", ways[way], (long long)i);
            same += equal;
            differ += !equal;
        }
        assert_true(same > RATE && differ > 2 * RATE); /* at least two names of over a second */
        hf_journal_deinit(&journal);
        free(mute);
        free(said);
    }
}

/* derived: the music at half, the voice 10 LU over it. Levels in RMS over the middle of a name. */
static void the_voice_stands_out_from_the_drone(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    sf_count_t frames = 0;
    render("mute", "silent", NULL);
    render("said", "silent", "--speak");
    float *mute = read_sound("mute.wav", &frames), *said = read_sound("said.wav", &frames);
    struct hf_journal journal = read_journal("said.jsonl");
    for (size_t i = 0; i < journal.count; i++) {
        const struct hf_record *r = &journal.records[i];
        double drone = 0, voice = 0;
        if (r->type != HF_RECORD_SPEECH)
            continue;
        for (int64_t at = 2 * (r->at + 7200); at < 2 * (r->at + r->length); at++) {
            double music = (double)mute[at] * 0.5012, word = (double)said[at] - music;
            drone += music * music;
            voice += word * word;
        }
        double over = 10 * log10(voice / drone);
        if (over < 6 || over > 14) /* unweighted, with the pauses of the voice in it */
            fail_msg("\"%s\" is %.1f dB over the drone", r->text, over);
    }
    hf_journal_deinit(&journal);
    free(mute);
    free(said);
}

static void assert_files_same(const char *a, const char *b)
{
    size_t length = 0, other = 0;
    unsigned char *first = scratch_read(a, &length), *second = scratch_read(b, &other);
    assert_true(first && second && length == other && length > 1000);
    assert_memory_equal(first, second, length);
    free(first);
    free(second);
}

static void a_spoken_session_replays_to_the_bit(void **state)
{
    (void)state;
    static const char *const ways[] = {"confirm", "lead", "gap", "reverse"};
    if (!hf_speech_is_built())
        skip();
    for (int way = 0; way < (RUN_SANITIZED ? 1 : 4); way++) {
        run("render", "--cue", ways[way], "--every", "12s", "--lead-in", "4s", "--for", "28s",
            "--seed", "5", "--speak-only", "--voice", way ? "kal" : "rms", "--names",
            way == 2 ? "german" : "sharps", "-o", scratch("a.wav"), "--journal", scratch("a.jsonl"),
            NULL);
        assert_ran();
        run("replay", scratch("a.jsonl"), "-o", scratch("b.wav"), NULL);
        assert_ran();
        assert_files_same("a.wav", "b.wav");
    }
}

/* A record from elsewhere: the words have another sum, or there is no such voice. */
static void a_replay_says_where_its_words_are_not_the_same(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    render("said", "confirm", "--speak");
    struct forge forge = forge_read("said.jsonl");
    for (int i = 0; i < forge.count; i++)
        if (strstr(forge.line[i], "\"speech\""))
            forge_change(&forge, i, "\"sum\":\"", "\"sum\":\"00000000\",\"old\":\"");
    forge_write(&forge, "other.jsonl");
    run("replay", scratch("other.jsonl"), "-o", scratch("b.wav"), NULL);
    assert_int_equal(ran.status, 0);
    assert_non_null(strstr(ran.err, "holdfast: 2 of its words sound otherwise than they did"));
    assert_files_same("said.wav", "b.wav");
    forge_change(&forge, 0, "\"voice\":\"kal\"", "\"voice\":\"bob\"");
    forge_write(&forge, "other.jsonl");
    run("replay", scratch("other.jsonl"), "-o", scratch("b.wav"), NULL);
    assert_int_equal(ran.status, 0);
    assert_non_null(strstr(ran.err, "holdfast: the words of this session can't be spoken here"));
    /* The music is there, with its ducking: what is missing is the voice alone. */
    sf_count_t frames = 0;
    float *with = read_sound("said.wav", &frames), *without = read_sound("b.wav", &frames);
    struct hf_journal journal = read_journal("said.jsonl");
    for (int64_t i = 0; i < frames; i++) {
        bool voice = false;
        for (size_t k = 0; k < journal.count; k++)
            voice |= journal.records[k].type == HF_RECORD_SPEECH &&
                     i >= journal.records[k].at + 7200 - 128 &&
                     i < journal.records[k].at + journal.records[k].length + 128;
        if (!voice && memcmp(&with[2 * i], &without[2 * i], 2 * sizeof *with) != 0)
            fail_msg("frame %lld differs", (long long)i);
    }
    hf_journal_deinit(&journal);
    free(with);
    free(without);
    forge_free(&forge);
}

static void a_damaged_speech_record_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *what, *by;
    } rows[] = {{"\"length\":", "\"length\":-"},       {"\"length\":", "\"longer\":"},
                {"\"text\":\"", "\"text\":\"\\u0007"}, {"\"text\":", "\"texts\":"},
                {"\"sum\":\"", "\"sum\":\"x"},         {"\"cue\":", "\"cue\":0"}};
    if (!hf_speech_is_built())
        skip();
    render("said", "confirm", "--speak");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct forge forge = forge_read("said.jsonl");
        int place = 0;
        while (!strstr(forge.line[place], "\"speech\""))
            place++;
        forge_change(&forge, place, rows[i].what, rows[i].by);
        forge_write(&forge, "bad.jsonl");
        run("replay", scratch("bad.jsonl"), "-o", scratch("b.wav"), NULL);
        assert_refused(65, "is damaged");
        forge_free(&forge);
    }
}

static void a_dry_run_has_the_record_of_the_rendering(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    render("said", "gap", "--speak");
    run("render", "--held", "C E G#", "--cue", "gap", "--every", "10s", "--lead-in", "4s", "--for",
        "24s", "--seed", "3", "--bits", "float", "--dry-run", "--journal", scratch("dry.jsonl"),
        "--speak", "--voice", "kal", NULL);
    assert_ran();
    struct hf_journal said = read_journal("said.jsonl"), dry = read_journal("dry.jsonl");
    assert_int_equal(said.count, dry.count);
    for (size_t i = 0; i < said.count; i++) {
        assert_int_equal(said.records[i].type, dry.records[i].type);
        assert_int_equal(said.records[i].at, dry.records[i].at);
        if (said.records[i].type == HF_RECORD_SPEECH)
            assert_string_equal(said.records[i].text, dry.records[i].text);
    }
    hf_journal_deinit(&said);
    hf_journal_deinit(&dry);
}

static void what_cannot_be_spoken_is_refused(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    run("render", "--speak", "--voice", "bob", "-o", scratch("x.wav"), NULL);
    assert_refused(64, "there is no voice \"bob\"");
    run("render", "--voice", "slt", "-o", scratch("x.wav"), NULL);
    assert_refused(64, "--voice goes with --speak");
    run("render", "--speak", "--every", "1s", "-o", scratch("x.wav"), NULL);
    assert_refused(64, "--every is too short");
    run("render", "--speak", "--cue", "lead", "--lead-in", "0", "-o", scratch("x.wav"), NULL);
    assert_refused(64, "--lead-in is too short");
    run("render", "--names", "french", "-o", scratch("x.wav"), NULL);
    assert_int_equal(ran.status, 64);
    assert_null(scratch_read("x.wav", &(size_t){0}));
}

static void the_version_says_whether_speech_is_in(void **state)
{
    (void)state;
    run("--version", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, hf_speech_is_built() ? "speech: awb, kal, rms, slt\n"
                                                         : "speech: not in this build\n"));
    if (hf_speech_is_built())
        return;
    run("render", "--speak", "-o", scratch("x.wav"), NULL);
    assert_refused(64, "speech is not in this build");
    assert_non_null(strstr(ran.err, "flite1-dev"));
}

static void names_are_written_as_they_are_spoken(void **state)
{
    (void)state;
    run("render", "--held", "C E G#", "--dry-run", "--seed", "3", "--names", "german", "--rounds",
        "1", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Cis Fis G    G4 Cis5 Fis5"));
    assert_non_null(strstr(ran.out, "Held:  C3 E3 Gis3"));
    run("render", "--held", "C E G#", "--dry-run", "--seed", "3", "--names", "numbers", "--rounds",
        "1", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "3 9 10       9/4 10/4 3/5"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_words_every_sample_is_as_without_speech),
        cmocka_unit_test(the_voice_stands_out_from_the_drone),
        cmocka_unit_test(a_spoken_session_replays_to_the_bit),
        cmocka_unit_test(a_replay_says_where_its_words_are_not_the_same),
        cmocka_unit_test(a_damaged_speech_record_is_refused),
        cmocka_unit_test(a_dry_run_has_the_record_of_the_rendering),
        cmocka_unit_test(what_cannot_be_spoken_is_refused),
        cmocka_unit_test(the_version_says_whether_speech_is_in),
        cmocka_unit_test(names_are_written_as_they_are_spoken),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
