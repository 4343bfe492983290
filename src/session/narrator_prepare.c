/* SPDX-License-Identifier: MIT */
/* What can be known of a session's words before it begins. Invariant: what is found to fit here is
 * never left out later for want of time. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/levels.h>

#include "narrator_parts.h"

static int64_t longer(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static void prepare(struct hf_narrator *n, const char *text)
{
    uint32_t words;
    narrator_spoken(n, text, &words);
}

/* What a key may call for at any moment. */
static void prepare_remarks(struct hf_narrator *n)
{
    static const struct hf_record rows[] = {
        {.type = HF_RECORD_MARK, .as = HF_MARK_GOT},
        {.type = HF_RECORD_MARK, .as = HF_MARK_MISSED},
        {.type = HF_RECORD_STAY},
        {.type = HF_RECORD_GO},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND_AGAIN},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND_OTHER},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND_SHARES},
    };
    char text[HF_UTTERANCE_TEXT];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        prepare(n, hf_wording_record(&n->wording, &rows[i], &n->conductor->timeline, text));
    if (n->wording.request->break_every.amount > 0)
        prepare(n, hf_wording_rest(text));
}

/* The time that naming a set takes at most: in every order of three notes, else from low to high.
 */
static int64_t longest_name(struct hf_narrator *n, hf_pcset pcs)
{
    static const uint8_t orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2},
                                         {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
    struct hf_spelled spelled[HF_PCS];
    char text[HF_UTTERANCE_TEXT];
    int list[HF_PCS], size = hf_spelling_of(pcs, n->wording.request->names, spelled);
    int64_t most = 0;
    hf_pcset_list(pcs, list);
    for (int order = 0; order < (size == 3 ? 6 : 1); order++) {
        struct hf_record record = {.type = HF_RECORD_CUE, .pcs = pcs, .count = size};
        for (int i = 0; i < size; i++) {
            int from = size == 3 ? orders[order][i] : i;
            record.notes[i] = (uint8_t)(60 + list[from]);
            hf_spelled_format(spelled[from], n->wording.request->names, record.names[i]);
        }
        most = longer(most, narrator_naming_length(n, &record));
        if (n->wording.request->cue == HF_CUE_GAP)
            prepare(n, hf_wording_cue(&n->wording, HF_MOMENT_BEGINS, &record, &n->hold, text));
    }
    return most;
}

/* The time that a cue of a length has for its name. */
static int64_t naming_room(const struct hf_request *request, int64_t length)
{
    struct hf_laid laid = hf_timeline_lay(request->cue, false, 0, length);
    switch (request->cue) {
    case HF_CUE_LEAD:
        return length;
    case HF_CUE_EAR:
    case HF_CUE_SILENT:
        return laid.end - laid.tell;
    case HF_CUE_GAP: /* twice: the fourth before */
    case HF_CUE_REVERSE:
    case HF_CUE_CHORD:
        return laid.hear / 2;
    case HF_CUE_CONFIRM:
        break;
    }
    return laid.hear;
}

static enum hf_status too_short(const char *what, double least_s, struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "%s is too short for what is spoken", what);
    hf_advise(diag, "choose %.0fs or more (%.1f s are needed), or leave the speech out",
              ceil(least_s), least_s);
    return HF_E_USAGE;
}

/* ---- questions ------------------------------------------------------------------------------- */

/* The longest that is asked at level 1 or 2, from the beginning of its cue on; 0 at others. */
static int64_t longest_question(struct hf_narrator *n, const struct hf_schedule *schedule)
{
    int64_t most = 0;
    int first = schedule->ear.level, before = n->wording.level;
    /* A level may go up and down; from 3 on its words are few. */
    for (int level = first; level <= (n->wording.request->level_fixed ? first : HF_LEVELS); level++)
        for (int i = 0; i < schedule->count; i++) {
            char text[HF_UTTERANCE_TEXT];
            uint32_t words;
            struct hf_record cue = {.type = HF_RECORD_CUE,
                                    .id = schedule->completions[i].id,
                                    .pcs = schedule->completions[i].pcs,
                                    .count = hf_pcset_size(schedule->completions[i].pcs)};
            cue.manner.staggered = true;
            cue.manner.stagger = level <= HF_LEVEL_ONE_BY_ONE ? schedule->ear.stagger : 0;
            n->wording.level = level;
            const struct hf_utterance *utterance =
                narrator_spoken(n, hf_wording_question(&n->wording, &cue, true, text), &words);
            if (utterance && level <= HF_LEVEL_POSITIONS)
                most = longer(most, narrator_sounding(n, &cue) + utterance->length +
                                        narrator_samples(n, HF_SPEECH_GAP_S));
            prepare(n, hf_wording_question(&n->wording, &cue, false, text));
        }
    n->wording.level = before;
    return most;
}

/* A chord of the notes with the longest names, as it is asked and as it is told: one after the
 * other. */
static int64_t longest_chord(struct hf_narrator *n)
{
    const struct hf_request *request = n->wording.request;
    char text[HF_UTTERANCE_TEXT];
    uint32_t words;
    struct hf_record held = {.type = HF_RECORD_HOLD, .count = 3}, cue = held;
    int64_t most = 0;
    int note = 60;
    for (int midi = 60; midi < 72; midi++) {
        struct hf_record one = {.count = 1};
        hf_spelled_format(hf_spelling_pc(hf_pc(midi), request->names), request->names,
                          one.names[0]);
        const struct hf_utterance *utterance =
            narrator_spoken(n, hf_wording_names(&one, text), &words);
        if (utterance && utterance->length > most) {
            most = utterance->length;
            note = midi;
        }
    }
    for (int i = 0; i < 3; i++) {
        held.notes[i] = cue.notes[i] = (uint8_t)note;
        hf_spelled_format(hf_spelling_pc(hf_pc(note), request->names), request->names,
                          cue.names[i]);
        memcpy(held.names[i], cue.names[i], sizeof held.names[i]);
    }
    const struct hf_utterance *asked =
        narrator_spoken(n, hf_wording_chord(&n->wording, &cue, &held, true, text), &words);
    most = asked ? asked->length : 0;
    hf_wording_cue(&n->wording, HF_MOMENT_NAMED, &cue, &held, text);
    const struct hf_utterance *told = narrator_spoken(n, text, &words);
    return most + (told ? told->length : 0) + 2 * narrator_samples(n, HF_SPEECH_GAP_S);
}

/* What must be over by two thirds of a cue, beside names. */
static int64_t longest_asked(struct hf_narrator *n, const struct hf_schedule *schedule)
{
    if (n->wording.request->practice == HF_PRACTICE_SIGHT)
        return longest_chord(n);
    return schedule->ear.on && n->wording.all ? longest_question(n, schedule) : 0;
}

enum hf_status hf_narrator_prepare(struct hf_narrator *n, const struct hf_schedule *schedule,
                                   struct hf_diag *diag)
{
    const struct hf_request *request = n->wording.request;
    const hf_pcset triad = 1u << 0 | 1u << 4 | 1u << 8;
    int64_t most = 0, rate_hz = request->rate_hz;
    bool reverse = request->cue == HF_CUE_REVERSE; /* there the four triads are the answers */
    for (int i = 0; i < (reverse ? 4 : schedule->count); i++)
        most = longer(most, longest_name(n, reverse ? hf_pcset_transpose(triad, i)
                                                    : schedule->completions[i].pcs));
    prepare_remarks(n);
    int64_t asked = longest_asked(n, schedule);
    if (request->every.wait)
        return HF_OK;
    bool breathes = request->longest.amount > 0;
    int64_t every = hf_request_samples(request, breathes ? request->shortest : request->every);
    int64_t room = naming_room(request, every);
    if (3 * asked > 2 * every)
        return too_short(breathes ? "the shorter length of --breathe" : "--every",
                         1.5 * (double)asked / (double)rate_hz, diag);
    if (request->practice != HF_PRACTICE_IMPROVISE && request->practice != HF_PRACTICE_EAR)
        return HF_OK;
    if (most > room)
        return too_short(breathes ? "the shorter length of --breathe" : "--every",
                         (double)most * (double)every / (double)room / (double)rate_hz, diag);
    if (request->cue == HF_CUE_LEAD && hf_request_samples(request, request->lead_in) < most)
        return too_short("--lead-in", (double)most / (double)rate_hz, diag);
    return HF_OK;
}
