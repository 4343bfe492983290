/* SPDX-License-Identifier: MIT */
/* patches: the timbres that there are, what they are like by computation, and how they sound. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/loudness.h>
#include <holdfast/paragraph.h>
#include <holdfast/query.h>
#include <holdfast/request.h>
#include <holdfast/version.h>

#include "audition.h"
#include "library.h"
#include "terminal.h"

enum { TAKE_JSON = 1, TAKE_PLAY, TAKE_FILE, TAKE_COMPARE, TAKE_OUTPUT };
enum { RATE_HZ = 48000, ABOUT_COLUMN = 45, LABEL = 8 };

const struct hf_cli_option hf_cli_patches_options[] = {
    {"play", 0, NULL, "sound NAME on the four augmented triads", TAKE_PLAY},
    {"output-file", 'o', "FILE", "the same, to a sound file", TAKE_FILE},
    {"compare", 0, "A,B", "sound two in turn, on each of the four", TAKE_COMPARE},
    {"output", 0, "NAME", "the sound output (the system's)", TAKE_OUTPUT},
    {"json", 0, NULL, "print JSON", TAKE_JSON},
    {NULL, 0, NULL, NULL, 0},
};

struct asked {
    bool json, play;
    const char *file, *compare, *output;
};

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct asked *asked = self;
    (void)diag;
    switch (code) {
    case TAKE_JSON:
        asked->json = true;
        break;
    case TAKE_PLAY:
        asked->play = true;
        break;
    case TAKE_FILE:
        asked->file = text;
        break;
    case TAKE_COMPARE:
        asked->compare = text;
        break;
    default:
        asked->output = text;
    }
    return HF_OK;
}

/* ---- the list -------------------------------------------------------------------------------- */

static const char *shipped(int index)
{
    return hf_builtin_patches[index].name;
}

static const char *kind_name(const struct hf_patch *patch)
{
    return patch->kind == HF_PATCH_DRONE ? "drone" : "struck";
}

/* On the close triad C3 E3 G#3, where the drone of a session lies. */
static void describe(const struct hf_patch *patch, struct hf_loudness_portrait *portrait)
{
    static const int triad[3] = {48, 52, 56};
    hf_loudness_describe(patch, triad, 3, 440000, RATE_HZ, portrait);
}

static double rounded(double x, double steps)
{
    double scaled = x * steps;
    return (double)(long)(scaled + (scaled < 0 ? -0.5 : 0.5)) / steps;
}

static json_t *patch_object(const char *name, const struct hf_patch *patch)
{
    struct hf_loudness_portrait is;
    describe(patch, &is);
    return json_pack("{s:s,s:s,s:f,s:i,s:f}", "name", name, "kind", kind_name(patch), "lufs",
                     rounded(is.lufs, 10), "centroid_hz", (int)(is.centroid_hz + 0.5), "roughness",
                     rounded(is.roughness, 100));
}

static void print_row(const char *name, const struct hf_patch *patch)
{
    struct hf_loudness_portrait is;
    char row[LIBRARY_NAME + 64];
    describe(patch, &is);
    snprintf(row, sizeof row, "%-14s %-6s %6.1f %7.0f %6.2f", name, kind_name(patch), is.lufs,
             is.centroid_hz, is.roughness);
    hf_paragraph_print(ABOUT_COLUMN, row, "%s", patch->about);
}

/* One line or object a patch; one that is wrong is told and left out. */
static enum hf_status each_patch(const struct library_names *names, json_t **list,
                                 struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    for (int i = 0; i < names->count && status != HF_E_MEMORY; i++) {
        struct hf_patch patch;
        char *text = NULL;
        status = hf_cli_find_patch(names->name[i], RATE_HZ, &patch, &text, diag);
        if (status != HF_OK && status != HF_E_MEMORY)
            hf_cli_warn("%s", diag->message);
        else if (status == HF_OK && list)
            *list = hf_query_append(*list, patch_object(names->name[i], &patch));
        else if (status == HF_OK)
            print_row(names->name[i], &patch);
        free(text);
    }
    return status == HF_E_MEMORY ? status : HF_OK;
}

/* Six digits are enough for numbers that are rounded already, and write them as they are read. */
static enum hf_status print_json(json_t *list, struct hf_diag *diag)
{
    return hf_query_print_digits(json_pack("{s:i,s:o}", "holdfast", HF_FORMAT, "patches", list), 6,
                                 diag);
}

static enum hf_status print_list(bool json, struct hf_diag *diag)
{
    static const struct library library = {"patch", "patches", shipped, NULL};
    static struct library_names names; /* large: not on the stack */
    json_t *list = json ? json_array() : NULL;
    library_list(&library, &names);
    if (!json)
        printf("%-14s %-6s %6s %7s %6s\n", "name", "kind", "LUFS", "bright", "rough");
    enum hf_status status = each_patch(&names, json ? &list : NULL, diag);
    if (status == HF_OK && json)
        return print_json(list, diag);
    json_decref(list);
    if (status != HF_OK)
        return status;
    printf("\n");
    hf_paragraph_print(LABEL, "LUFS",
                       "loudness: of held notes together; of a struck note at its loudest");
    hf_paragraph_print(LABEL, "bright", "mean frequency in Hz, on C3 E3 G#3");
    hf_paragraph_print(LABEL, "rough",
                       "Sethares' measure, on C3 E3 G#3: about 1 is smooth, 3 rough");
    printf("To see one, and to hear it:\n  ");
    hf_cli_print_file(hf_cli_called());
    printf(" patches flute\n  ");
    hf_cli_print_file(hf_cli_called());
    printf(" patches flute --play\n");
    return HF_OK;
}

/* ---- one patch ------------------------------------------------------------------------------- */

static void print_portrait(const char *name, const struct hf_patch *patch)
{
    const char *usual = patch->kind == HF_PATCH_DRONE ? "stopped-pipe" : "plucked-nylon";
    struct hf_loudness_portrait is;
    struct hf_paragraph p;
    describe(patch, &is);
    hf_paragraph_hang(&p, 0, 2);
    hf_paragraph_add(&p, "%s: %s", name, patch->about);
    hf_paragraph_end(&p);
    hf_paragraph_print(LABEL, "kind", "%s", kind_name(patch));
    hf_paragraph_print(LABEL, "loud", "%.1f LUFS, %s", is.lufs,
                       patch->kind == HF_PATCH_DRONE ? "the held notes together"
                                                     : "a note at its loudest");
    hf_paragraph_print(LABEL, "bright", "mean frequency %.0f Hz, on C3 E3 G#3", is.centroid_hz);
    hf_paragraph_print(LABEL, "rough",
                       "%.2f by Sethares' measure, on C3 E3 G#3: about 1 is smooth, 3 rough",
                       is.roughness);
    hf_paragraph_print(LABEL, "cost", "%.1f times the processor time of %s", hf_patch_cost(patch),
                       usual);
}

static enum hf_status print_one(const char *name, bool json, struct hf_diag *diag)
{
    struct hf_patch patch;
    char *text = NULL;
    enum hf_status status = hf_cli_find_patch(name, RATE_HZ, &patch, &text, diag);
    if (status != HF_OK)
        return status;
    if (json) {
        status = print_json(hf_query_append(json_array(), patch_object(name, &patch)), diag);
    } else {
        print_portrait(name, &patch);
        printf("\n%s", text);
    }
    free(text);
    return status;
}

static enum hf_status sound(const struct asked *asked, const char *const *given, int count,
                            int *signal_number, struct hf_diag *diag)
{
    struct hf_patch patches[2];
    struct audition audition = {.count = 0};
    for (int i = 0; i < count; i++) {
        char *text = NULL;
        enum hf_status status = hf_cli_find_patch(given[i], RATE_HZ, &patches[i], &text, diag);
        free(text);
        if (status != HF_OK)
            return status;
    }
    for (int triad = 0; triad < AUDITION_TRIADS; triad++)
        for (int i = 0; i < count; i++)
            audition_add(&audition, given[i], &patches[i], triad);
    if (asked->file)
        return audition_render(&audition, asked->file, RATE_HZ, diag);
    return audition_play(&audition, asked->output, signal_number, diag);
}

static enum hf_status compare(const struct asked *asked, int *signal_number, struct hf_diag *diag)
{
    char first[256];
    const char *comma = strchr(asked->compare, ',');
    if (!comma || comma == asked->compare || !comma[1] || strchr(comma + 1, ',') ||
        (size_t)(comma - asked->compare) >= sizeof first) {
        hf_fail(diag, HF_E_USAGE, "--compare \"%.80s\" is not two patches", asked->compare);
        hf_advise(diag, "for example: %.80s patches --compare flute,reed", hf_cli_called());
        return HF_E_USAGE;
    }
    snprintf(first, sizeof first, "%.*s", (int)(comma - asked->compare), asked->compare);
    const char *given[2] = {first, comma + 1};
    return sound(asked, given, 2, signal_number, diag);
}

static enum hf_status misused(const struct asked *asked, int operands, struct hf_diag *diag)
{
    bool sounds = asked->play || asked->file || asked->compare;
    if (operands > 1)
        return hf_fail(diag, HF_E_USAGE, "patches takes one name; two are compared with --compare");
    if (asked->compare && operands)
        return hf_fail(diag, HF_E_USAGE, "--compare names its patches itself");
    if ((asked->play || asked->file) && !asked->compare && !operands)
        return hf_fail(diag, HF_E_USAGE, "which patch? name one, as in: %.80s patches flute %s",
                       hf_cli_called(), asked->file ? "-o flute.wav" : "--play");
    if (asked->play && asked->file)
        return hf_fail(diag, HF_E_USAGE, "--play and -o are two ways to hear a patch: choose one");
    if (asked->output && (!sounds || asked->file))
        return hf_fail(diag, HF_E_USAGE, "--output goes with --play or --compare");
    if (asked->json && sounds)
        return hf_fail(diag, HF_E_USAGE, "--json is for the list, not for sound");
    return HF_OK;
}

int hf_cli_patches(const struct hf_cli_command *command, int argc, char **argv)
{
    struct asked asked = {0};
    struct hf_diag diag = {0};
    bool stop = false;
    int first = 0, signal_number = 0;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    if (status == HF_OK)
        status = misused(&asked, argc - first, &diag);
    if (status != HF_OK)
        return hf_cli_fail(status, &diag);
    const char *name = first < argc ? argv[first] : NULL;
    if (asked.compare)
        status = compare(&asked, &signal_number, &diag);
    else if (name && (asked.play || asked.file))
        status = sound(&asked, &name, 1, &signal_number, &diag);
    else if (name)
        status = print_one(name, asked.json, &diag);
    else
        status = print_list(asked.json, &diag);
    if (asked.file)
        signal_number = terminal_signal();
    if (signal_number)
        terminal_die(signal_number);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
