/* SPDX-License-Identifier: MIT */
/* Invariant: what a cue still hides is in no text that is said before its `tell`. */
#include <holdfast/wording.h>

#include <stdio.h>
#include <string.h>

/* Adds words at the end, whole or not at all. */
static void add(char text[HF_UTTERANCE_TEXT], const char *words)
{
    size_t used = strlen(text);
    if (used + strlen(words) < HF_UTTERANCE_TEXT)
        memcpy(text + used, words, strlen(words) + 1);
}

/* ---- names ----------------------------------------------------------------------------------- */

static bool is_letter(const char *name)
{
    return name[0] >= 'A' && name[0] <= 'G' && strspn(name + 1, "#b") == strlen(name + 1);
}

/* Whether another note of the record has this one's letter with another sign. */
static bool is_twin(const struct hf_record *record, int index)
{
    for (int i = 0; i < record->count; i++)
        if (record->names[i][0] == record->names[index][0] &&
            strcmp(record->names[i], record->names[index]) != 0 && is_letter(record->names[i]))
            return true;
    return false;
}

enum { NAME_TEXT = HF_SPELLED_TEXT + 24 };

/* A name as it is said: "C sharp", "B double flat"; German names and numbers as they are. */
static char *name_of(const struct hf_record *record, int index, char text[NAME_TEXT])
{
    static const char *const signs[] = {" double flat", " flat", "", " sharp", " double sharp"};
    const char *name = record->names[index];
    int sign = 0;
    for (const char *c = name + 1; is_letter(name) && *c; c++)
        sign += *c == '#' ? 1 : -1;
    if (!is_letter(name) || sign < -2 || sign > 2)
        snprintf(text, NAME_TEXT, "%s", name);
    else
        snprintf(text, NAME_TEXT, "%c%s", name[0],
                 sign == 0 && is_twin(record, index) ? " natural" : signs[sign + 2]);
    return text;
}

/* A name more in a list, whole or not at all. */
static void add_name(char text[HF_UTTERANCE_TEXT], const struct hf_record *record, int index)
{
    char name[NAME_TEXT], words[NAME_TEXT + 2];
    bool first = text[0] == 0;
    snprintf(words, sizeof words, "%s%s", first ? "" : ", ", name_of(record, index, name));
    add(text, words);
}

char *hf_wording_names(const struct hf_record *record, char text[HF_UTTERANCE_TEXT])
{
    text[0] = 0;
    for (int i = 0; i < record->count; i++)
        add_name(text, record, i);
    return text;
}

/* The two notes a fourth apart in an 016, the lower of the fourth first. */
static void add_fourth(char text[HF_UTTERANCE_TEXT], const struct hf_record *cue)
{
    for (int i = 0; i < cue->count; i++)
        for (int j = 0; j < cue->count; j++)
            if ((cue->notes[j] + HF_PCS - cue->notes[i] % HF_PCS) % HF_PCS == 5) {
                add(text, "fourth");
                add_name(text, cue, i);
                add_name(text, cue, j);
                return;
            }
}

/* ---- cues ------------------------------------------------------------------------------------ */

static void add_beginning(const struct hf_wording *w, const struct hf_record *cue,
                          const struct hf_record *held, char text[HF_UTTERANCE_TEXT])
{
    char names[HF_UTTERANCE_TEXT];
    switch (w->request->cue) {
    case HF_CUE_GAP:
        if (w->all)
            add(text, "find the third: ");
        add_fourth(text, cue);
        break;
    case HF_CUE_REVERSE:
        add(text, w->all ? "find the triad for " : "over ");
        add(text, hf_wording_names(held, names));
        break;
    case HF_CUE_CHORD:
        add(text, hf_wording_chord(w, cue, held, false, names));
        break;
    case HF_CUE_LEAD:
    case HF_CUE_CONFIRM:
    case HF_CUE_SILENT:
    case HF_CUE_EAR:
        break;
    }
}

/* A class that is to be found in the chord: its prime form, number by number. */
static void add_class(const struct hf_wording *w, const struct hf_record *step,
                      char text[HF_UTTERANCE_TEXT])
{
    int pcs[HF_PCS];
    int count = hf_pcset_list(hf_setclass_of(step->pcs)->prime, pcs);
    add(text, w->all ? "find " : "");
    for (int i = 0; i < count; i++) {
        char number[16];
        snprintf(number, sizeof number, "%s%d", i ? ", " : "", pcs[i]);
        add(text, number);
    }
}

/* What a chord in view was: its halves. */
static void add_halves(const struct hf_wording *w, const struct hf_record *cue,
                       const struct hf_record *held, char text[HF_UTTERANCE_TEXT])
{
    char names[HF_UTTERANCE_TEXT];
    if (w->all)
        add(text, cue->id > 0 ? "yes, " : "no, ");
    add(text, hf_wording_names(held, names));
    add(text, ", and ");
    add(text, hf_wording_names(cue, names));
}

char *hf_wording_cue(const struct hf_wording *w, enum hf_moment moment, const struct hf_record *cue,
                     const struct hf_record *held, char text[HF_UTTERANCE_TEXT])
{
    char names[HF_UTTERANCE_TEXT];
    text[0] = 0;
    if (cue->type == HF_RECORD_STEP) {
        if (moment == HF_MOMENT_NAMED)
            add_class(w, cue, text);
        return text;
    }
    if (moment == HF_MOMENT_BEGINS) {
        add_beginning(w, cue, held, text);
        return text;
    }
    enum hf_practice practice = w->request->practice;
    bool chosen = practice == HF_PRACTICE_ROAM || practice == HF_PRACTICE_HUNT; /* and heard */
    bool find = w->request->cue == HF_CUE_CONFIRM && !chosen, it_is = w->request->cue == HF_CUE_EAR;
    if (practice == HF_PRACTICE_SIGHT) {
        add_halves(w, cue, held, text);
        return text;
    }
    if (w->all)
        add(text, find ? "find " : it_is ? "it is " : "");
    if (w->all && practice == HF_PRACTICE_EAR)
        add(text, hf_wording_number(w, cue, names));
    add(text, hf_wording_names(cue, names));
    if (practice == HF_PRACTICE_EAR && cue->id == 0) /* a near miss */
        add(text, ", none of them");
    return text;
}

char *hf_wording_opening(const struct hf_wording *w, const struct hf_record *held, uint32_t total,
                         char text[HF_UTTERANCE_TEXT])
{
    char names[HF_UTTERANCE_TEXT], count[32];
    text[0] = 0;
    if (!w->all || w->request->cue == HF_CUE_REVERSE)
        return text;
    if (w->request->practice == HF_PRACTICE_SIGHT) { /* what is held is part of a chord to come */
        snprintf(count, sizeof count, "%lu chord%s", (unsigned long)total, total == 1 ? "" : "s");
        add(text, count);
        return text;
    }
    add(text, "listen to ");
    add(text, hf_wording_names(held, names));
    if (total == 0) /* the player chooses them */
        return text;
    snprintf(count, sizeof count, ". %lu cue%s", (unsigned long)total, total == 1 ? "" : "s");
    add(text, count);
    return text;
}

/* ---- what else happens ----------------------------------------------------------------------- */

static void add_count(char text[HF_UTTERANCE_TEXT], const char *word, size_t count)
{
    char words[48];
    snprintf(words, sizeof words, ", %zu %s", count, word);
    add(text, words);
}

static void add_end(const struct hf_timeline *timeline, char text[HF_UTTERANCE_TEXT])
{
    size_t got = 0, missed = 0;
    for (size_t i = 0; i < timeline->count; i++) {
        got += timeline->cues[i].marked && timeline->cues[i].mark == HF_MARK_GOT;
        missed += timeline->cues[i].marked && timeline->cues[i].mark == HF_MARK_MISSED;
    }
    add(text, "the end");
    if (got + missed > 0) {
        add_count(text, "got", got);
        add_count(text, "missed", missed);
    }
}

char *hf_wording_rest(char text[HF_UTTERANCE_TEXT])
{
    text[0] = 0;
    add(text, "time for a break. press when you go on");
    return text;
}

/* By HF_FOUND, HF_FOUND_AGAIN, HF_FOUND_OTHER, HF_FOUND_SHARES. */
static const char *const finding_words[] = {"found", "found already", "another chord",
                                            "one of these is held"};

char *hf_wording_record(const struct hf_wording *w, const struct hf_record *r,
                        const struct hf_timeline *timeline, char text[HF_UTTERANCE_TEXT])
{
    text[0] = 0;
    if (!w->all)
        return text;
    switch (r->type) {
    case HF_RECORD_STAY:
        add(text, "staying");
        break;
    case HF_RECORD_GO:
    case HF_RECORD_RESUME:
        add(text, "going on");
        break;
    case HF_RECORD_MARK:
        add(text, hf_mark_word(r->as));
        break;
    case HF_RECORD_ANSWER: /* to a cue: a mark follows it */
        add(text, r->cue ? "" : finding_words[r->finding]);
        break;
    case HF_RECORD_END:
        if (r->fade >= w->request->rate_hz)
            add_end(timeline, text);
        break;
    case HF_RECORD_SESSION:
    case HF_RECORD_HOLD:
    case HF_RECORD_DRONE:
    case HF_RECORD_CUE:
    case HF_RECORD_STEP:
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
    case HF_RECORD_BREAK: /* hf_wording_rest told of it: now nothing sounds */
    case HF_RECORD_NEXT:
    case HF_RECORD_AGAIN: /* its name, or what is asked of it, comes after its notes */
    case HF_RECORD_REVEAL:
    case HF_RECORD_LEVEL: /* told with what is asked at it */
    case HF_RECORD_VOLUME:
    case HF_RECORD_HINT:
    case HF_RECORD_SPEECH:
    case HF_RECORD_OTHER:
        break;
    }
    return text;
}
