/* SPDX-License-Identifier: MIT */
/*
 * Is it understood? A recogniser (pocketsphinx, which is no part of the program) hears the names of
 * the six completions of each augmented triad, alone and over the drone, and says which of the six
 * it was. Skipped where it, or speech, isn't there.
 */
#define _XOPEN_SOURCE 700

#include <ctype.h>
#include <sndfile.h>
#include <stdio.h>

#include "run.h"

#include "check.h"

#include <holdfast/speech.h>
#include <holdfast/store.h>

enum { HEARD_HZ = 16000, CUES = 6, PAD = HEARD_HZ * 4 / 10, COMMAND = 2048 };

static const char model[] = "/usr/share/pocketsphinx/model/en-us/en-us";

/* published: the CMU Pronouncing Dictionary (0.7b), letters as A., B., ... */
static const char dictionary[] = "a EY\nb B IY\nc S IY\nd D IY\ne IY\nf EH F\ng JH IY\n"
                                 "sharp SH AA R P\nflat F L AE T\nnatural N AE CH ER AH L\n";

static bool has_recogniser(void)
{
    return hf_speech_is_built() && access(model, R_OK) == 0 &&
           system("command -v pocketsphinx_batch >/dev/null 2>&1") == 0;
}

struct heard {
    char text[CUES][HF_UTTERANCE_TEXT]; /* in small letters, no commas */
    int count;
};

static void simplify(const char *text, char out[HF_UTTERANCE_TEXT])
{
    size_t used = 0;
    for (; *text; text++)
        if (*text != ',')
            out[used++] = (char)tolower((unsigned char)*text);
    out[used] = 0;
}

/* One name as a file of its own, with some quiet before and after. */
static void cut(const float *stereo, int64_t frames, const struct hf_record *r, int number)
{
    char name[32];
    SF_INFO info = {
        .samplerate = HEARD_HZ, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
    snprintf(name, sizeof name, "heard%d.wav", number);
    SNDFILE *file = sf_open(scratch(name), SFM_WRITE, &info);
    assert_non_null(file);
    for (int64_t i = r->at - PAD; i < r->at + r->length + PAD; i++) {
        float mono = i >= 0 && i < frames ? stereo[2 * i] : 0;
        mono += (float)(i * 7919 % 9 - 4) / 32768; /* a recogniser can't take digital silence */
        assert_int_equal(sf_write_float(file, &mono, 1), 1);
    }
    sf_close(file);
}

/* Renders a round and cuts out what was said in it. */
static void speak(const char *held, const char *voice, const char *drone, struct heard *out)
{
    SF_INFO info = {0};
    struct hf_journal journal;
    run("render", "--held", held, "--cue", "silent", "--every", "5s", "--lead-in", "2s", "--rounds",
        "1", "--seed", "4", "--rate", "16000", "--bits", "float", "--speak", "--voice", voice,
        "--drone", drone, "-o", scratch("a.wav"), "--journal", scratch("a.jsonl"), NULL);
    assert_ran();
    SNDFILE *file = sf_open(scratch("a.wav"), SFM_READ, &info);
    assert_non_null(file);
    float *stereo = malloc((size_t)info.frames * 2 * sizeof *stereo);
    assert_non_null(stereo);
    assert_int_equal(sf_readf_float(file, stereo, info.frames), info.frames);
    sf_close(file);
    assert_ok(hf_store_read_journal(scratch("a.jsonl"), &journal, NULL));
    out->count = 0;
    for (size_t i = 0; i < journal.count; i++)
        if (journal.records[i].type == HF_RECORD_SPEECH) {
            assert_true(out->count < CUES);
            simplify(journal.records[i].text, out->text[out->count]);
            cut(stereo, info.frames, &journal.records[i], out->count++);
        }
    hf_journal_deinit(&journal);
    free(stereo);
}

static void write_text(const char *name, const char *text)
{
    scratch_write(name, text, strlen(text));
}

/* Lets the recogniser choose among the six for each; how many it got right. */
static int recognise(const struct heard *said, const char *about)
{
    char grammar[2048] = "#JSGF V1.0;\ngrammar six;\npublic <one> = ", list[256] = "";
    char command[COMMAND], line[512];
    int right = 0, number = 0;
    for (int i = 0; i < said->count; i++) {
        size_t used = strlen(grammar);
        snprintf(grammar + used, sizeof grammar - used, "%s%s", i ? " | " : "", said->text[i]);
        used = strlen(list);
        snprintf(list + used, sizeof list - used, "heard%d\n", i);
    }
    strcat(grammar, ";\n");
    write_text("six.gram", grammar);
    write_text("list", list);
    write_text("names.dic", dictionary);
    size_t used = (size_t)snprintf(command, sizeof command, "cd %s && ", scratch_directory);
    snprintf(command + used, sizeof command - used,
             "pocketsphinx_batch -adcin yes -adchdr 44 -cepdir . -cepext .wav -ctl list "
             "-hyp heard.txt -hmm %s -dict names.dic -jsgf six.gram -logfn /dev/null "
             ">/dev/null 2>&1",
             model);
    assert_int_equal(system(command), 0);
    FILE *heard = fopen(scratch("heard.txt"), "r");
    assert_non_null(heard);
    for (; fgets(line, sizeof line, heard) && number < said->count; number++) {
        char *end = strstr(line, " (");
        if (end)
            *end = 0;
        bool same = strcmp(line, said->text[number]) == 0;
        right += same;
        if (!same)
            print_message("%s: \"%s\" is heard as \"%s\"\n", about, said->text[number], line);
    }
    fclose(heard);
    assert_int_equal(number, said->count);
    return right;
}

static int understood(const char *voice, const char *drone)
{
    static const char *const triads[] = {"C E G#", "Db F A", "D F# Bb", "Eb G B"};
    int right = 0;
    for (int i = 0; i < 4; i++) {
        struct heard said;
        char about[64];
        speak(triads[i], voice, drone, &said);
        assert_int_equal(said.count, CUES);
        snprintf(about, sizeof about, "%s, drone %s", voice, drone);
        right += recognise(&said, about);
    }
    print_message("%s, drone %s: %d of 24\n", voice, drone, right);
    return right;
}

static void each_of_the_six_is_told_from_the_others(void **state)
{
    (void)state;
    if (!has_recogniser())
        skip();
    assert_int_equal(understood("rms", "off"), 24);
}

/* The music gives way, so that the drone takes little from it. */
static void over_the_drone_they_are_understood_too(void **state)
{
    (void)state;
    if (!has_recogniser())
        skip();
    assert_true(understood("rms", "sustained") >= 22);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_of_the_six_is_told_from_the_others),
        cmocka_unit_test(over_the_drone_they_are_understood_too),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
