/* SPDX-License-Identifier: MIT */
/* What is taken away of a session, against its journal: each time as the record has it, moved by
 * the silences of pauses (interface: a file has the end, the fade and the silences). */
#define _XOPEN_SOURCE 700
#include "run.h"

#include <math.h>

#include "forge.h"

#define SEED "--seed", "42"

enum { USAGE = 64, CREATE = 73 };
enum { RATE = 8000, FRAMES_MOST = 20 * RATE };

static long load(const char *name, float *stereo)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(scratch(name), SFM_READ, &info);
    assert_non_null(file);
    assert_true(info.frames <= FRAMES_MOST && info.channels == 2);
    long frames = (long)sf_readf_float(file, stereo, FRAMES_MOST);
    sf_close(file);
    return frames;
}

static void make(const char *const *more)
{
    const char *args[RUN_ARGS] = {
        "render",   "--every", "0.5s", "--lead-in",      "0.5s",      "--rate",           "8000",
        "--rounds", "1",       "-o",   scratch("a.wav"), "--journal", scratch("j.jsonl"), SEED};
    int count = 15;
    while (*more)
        args[count++] = *more++;
    args[count] = NULL;
    run_end(run_start(args));
    assert_ran();
}

/* A tick comes from the count-in of cues in beats. */
static void the_stems_add_up_to_the_mix(void **state)
{
    (void)state;
    static float mix[2 * FRAMES_MOST], part[2 * FRAMES_MOST], sum[2 * FRAMES_MOST];
    const char *const names[] = {"stems/held.wav", "stems/added.wav", "stems/tick.wav"};
    make((const char *const[]){"--stems", scratch("stems"), "--every", "4beats", "--tempo", "240",
                               "--lead-in", "2s", NULL});
    long frames = load("a.wav", mix);
    memset(sum, 0, sizeof sum);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(load(names[i], part), frames);
        for (long k = 0; k < 2 * frames; k++)
            sum[k] += part[k];
    }
    float most = 0;
    for (long k = 0; k < 2 * frames; k++) {
        most = fmaxf(most, fabsf(mix[k]));
        if (fabsf(mix[k] - sum[k]) > 0x1p-24f) /* half a step of 24 bits */
            fail_msg("sample %ld: %a, the stems %a", k, (double)mix[k], (double)sum[k]);
    }
    assert_true(most > 0.05f && most < 0.45f); /* under the ceiling, so that it changes nothing */
    assert_int_equal(access(scratch("stems/speech.wav"), F_OK), -1);
    for (int i = 0; i < 3; i++)
        remove(scratch(names[i]));
}

/* Field `index` of line `line` (from 0) of a file. */
static const char *field(const char *name, int line, int index, char text[64])
{
    size_t length = 0;
    char *bytes = (char *)scratch_read(name, &length);
    const char *at = bytes;
    assert_non_null(bytes);
    while (line-- > 0)
        at = strstr(at, "\r\n") + 2;
    while (index-- > 0)
        at = strchr(at, ',') + 1;
    snprintf(text, 64, "%.*s", (int)strcspn(at, ",\r"), at);
    free(bytes);
    return text;
}

/* The records: hold, six cues from 4000 on every 4000, end. A pause in the first cue, begun at 5056
 * (a multiple of 64), fades for 2432 samples (300 ms rounded up to 64) and then is silent for
 * 16000. */
static void a_pause_moves_what_comes_after_it(void **state)
{
    (void)state;
    char text[64];
    make((const char *const[]){NULL});
    struct forge forge = forge_read("j.jsonl");
    forge_insert(&forge, 4, "\"t\":\"pause\",\"at\":5056");
    forge_insert(&forge, 5, "\"t\":\"resume\",\"at\":7488,\"after\":16000");
    forge_write(&forge, "p.jsonl");
    forge_free(&forge);
    run("replay", scratch("p.jsonl"), "--times", scratch("t.csv"), "-o", scratch("b.wav"), NULL);
    assert_ran();
    assert_string_equal(field("t.csv", 1, 1, text), "0.500000");
    assert_string_equal(field("t.csv", 1, 4, text), "3.000000");
    assert_string_equal(field("t.csv", 2, 1, text), "3.000000");
    assert_string_equal(field("t.csv", 6, 4, text), "5.500000");
    SF_INFO info = {0};
    SF_CUES cues;
    SNDFILE *file = sf_open(scratch("b.wav"), SFM_READ, &info);
    assert_int_equal(sf_command(file, SFC_GET_CUE, &cues, sizeof cues), SF_TRUE);
    sf_close(file);
    assert_int_equal(cues.cue_count, 6);
    assert_int_equal(cues.cue_points[0].position, 4000);
    assert_int_equal(cues.cue_points[1].position, 24000);
}

static void at_another_rate_the_times_are_the_same(void **state)
{
    (void)state;
    char text[64];
    make((const char *const[]){"--times", scratch("a.csv"), NULL});
    run("replay", scratch("j.jsonl"), "--times", scratch("b.csv"), "--rate", "48000", NULL);
    assert_ran();
    for (int line = 1; line <= 6; line++) {
        snprintf(text, sizeof text, "%d.%d00000", line / 2, line % 2 ? 5 : 0);
        char one[64], two[64];
        assert_string_equal(field("a.csv", line, 1, one), text);
        assert_string_equal(field("b.csv", line, 1, two), text);
    }
}

static void each_cue_has_its_track(void **state)
{
    (void)state;
    static float piece[2 * FRAMES_MOST];
    int count = 0;
    make((const char *const[]){"--tracks", scratch("tracks"), "--held", "C E G#", "--order",
                               "listed", NULL});
    /* published: the six completions of 048, in the order that complete lists them; derived: the
     * words for file names */
    const char *const names[] = {"01-Csharp-D-G", "02-Csharp-Fsharp-G", "03-D-Eb-A",
                                 "04-Eb-A-Bb",    "05-F-Fsharp-B",      "06-F-Bb-B"};
    for (int i = 0; i < 6; i++) {
        char name[64];
        snprintf(name, sizeof name, "tracks/%s.wav", names[i]);
        long frames = load(name, piece);
        assert_true(frames >= 8 * RATE && frames <= 9 * RATE + 64);
        count += remove(scratch(name)) == 0;
    }
    assert_int_equal(count, 6);
}

/* Removes what is in a directory; how many files there were. */
static int empty_directory(const char *path)
{
    int count = 0;
    DIR *directory = opendir(path);
    assert_non_null(directory);
    for (struct dirent *entry = readdir(directory); entry; entry = readdir(directory)) {
        char file[800];
        snprintf(file, sizeof file, "%s/%s", path, entry->d_name);
        count += entry->d_name[0] != '.' && remove(file) == 0;
    }
    closedir(directory);
    return count;
}

static void each_cue_has_its_picture(void **state)
{
    (void)state;
    static const char *const forms[] = {"png", "svg"};
    /* published: PNG (ISO/IEC 15948), 5.2 and 11.2.2: the signature, then width and height */
    static const unsigned char png[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n', 0, 0, 0, 13,
                                        'I',  'H', 'D', 'R', 0,    0,    5,    0,    0, 0, 2, 208};
    for (int i = 0; i < 2; i++) {
        char name[64];
        run("render", SEED, "--held", "C E G#", "--order", "listed", "--rounds", "1", "--stills",
            scratch("stills"), "--stills-as", forms[i], NULL);
        if (strstr(ran.err, "without cairo"))
            skip();
        assert_ran();
        snprintf(name, sizeof name, "stills/06-F-Bb-B.%s", forms[i]);
        size_t length = 0;
        unsigned char *bytes = scratch_read(name, &length);
        assert_non_null(bytes);
        assert_memory_equal(bytes, i ? (const void *)"<?xml " : png, i ? 6 : sizeof png);
        free(bytes);
        assert_int_equal(empty_directory(scratch("stills")), 6);
    }
}

static void files_alone_need_no_sound_file(void **state)
{
    (void)state;
    run("render", SEED, "--rounds", "1", "--captions", scratch("c.vtt"), NULL);
    assert_ran();
    size_t length = 0;
    char *text = (char *)scratch_read("c.vtt", &length);
    assert_memory_equal(text, "WEBVTT improvise on ", 20);
    free(text);
    assert_int_equal(scratch_count(NULL), 3); /* out, alsa.conf and the captions */
}

static void what_cannot_be_together_is_refused(void **state)
{
    (void)state;
    run("render", SEED, "--stems", scratch("s"), NULL);
    assert_refused(USAGE, "--stems goes with the mix");
    run("render", SEED, "--dry-run", "--times", scratch("t.csv"), NULL);
    assert_refused(USAGE, "--dry-run writes no file");
    scratch_write("file", "old", 3);
    run("render", SEED, "--rounds", "1", "--every", "1s", "--tracks", scratch("file"), NULL);
    assert_refused(CREATE, "Not a directory");
    run("render", SEED, "--rounds", "1", "--every", "1s", "--times", scratch("no/t.csv"), NULL);
    assert_refused(CREATE, "No such file");
    assert_true(scratch_is("file", "old"));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_stems_add_up_to_the_mix),
        TEST(a_pause_moves_what_comes_after_it),
        TEST(at_another_rate_the_times_are_the_same),
        TEST(each_cue_has_its_track),
        TEST(each_cue_has_its_picture),
        TEST(files_alone_need_no_sound_file),
        TEST(what_cannot_be_together_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
