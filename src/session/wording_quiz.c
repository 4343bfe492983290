/* SPDX-License-Identifier: MIT */
/* What is spoken of a question. Invariant: what is asked says nothing of which answer is right, but
 * what the level itself tells (at level 2 the kind). */
#include <stdio.h>
#include <string.h>

#include <holdfast/levels.h>
#include <holdfast/wording.h>

/* Adds words at the end; false where there is no room. */
static bool add(char text[HF_UTTERANCE_TEXT], const char *words)
{
    size_t used = strlen(text), more = strlen(words);
    if (used + more >= HF_UTTERANCE_TEXT)
        return false;
    memcpy(text + used, words, more + 1);
    return true;
}

/* ---- ear ------------------------------------------------------------------------------------- */

struct asked {
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count;
    struct hf_question question;
};

static void ask(const struct hf_wording *w, const struct hf_record *cue, struct asked *out)
{
    const struct hf_request *r = w->request;
    out->count = hf_pairing_complete(r->held.set, r->added, out->completions);
    hf_levels_ask(r->held.set, out->completions, out->count, w->level, r->near_miss, cue->pcs,
                  &out->question);
}

/* The names of a completion. */
static bool add_set(const struct hf_wording *w, hf_pcset pcs, char text[HF_UTTERANCE_TEXT])
{
    struct hf_spelled spelled[HF_PCS];
    struct hf_record record = {.pcs = pcs};
    char names[HF_UTTERANCE_TEXT];
    record.count = hf_spelling_of(pcs, w->request->names, spelled);
    for (int i = 0; i < record.count; i++)
        hf_spelled_format(spelled[i], w->request->names, record.names[i]);
    return add(text, hf_wording_names(&record, names));
}

/* How a set is built upward, as it sounds at the first levels: "a semitone, then a fourth". */
static bool add_form(hf_pcset pcs, char text[HF_UTTERANCE_TEXT])
{
    static const char *const steps[HF_PCS] = {"",
                                              "a semitone",
                                              "a tone",
                                              "a minor third",
                                              "a major third",
                                              "a fourth",
                                              "a tritone",
                                              "a fifth",
                                              "a minor sixth",
                                              "a major sixth",
                                              "a minor seventh",
                                              "a major seventh"};
    int list[HF_PCS], count = hf_pcset_normal(pcs, list);
    bool fits = true;
    for (int i = 1; i < count && fits; i++)
        fits = add(text, i == 1 ? "" : ", then ") && add(text, steps[hf_pc(list[i] - list[i - 1])]);
    return fits;
}

/* ". 1, C sharp, D, G": of a choice of several how they are built, and in
 * `whole` one of them. */
static bool add_choice(const struct hf_wording *w, const struct asked *a, int index, bool whole,
                       char text[HF_UTTERANCE_TEXT])
{
    const struct hf_choice *choice = &a->question.choice[index];
    char number[16];
    snprintf(number, sizeof number, ". %d, ", index + 1);
    hf_pcset one = a->completions[choice->ids[0] - 1].pcs;
    if (!add(text, number))
        return false;
    if (choice->count == 1)
        return add_set(w, one, text);
    return add_form(one, text) && (!whole || (add(text, ", as in ") && add_set(w, one, text)));
}

static bool add_choices(const struct hf_wording *w, const struct asked *a, bool whole,
                        char text[HF_UTTERANCE_TEXT])
{
    bool fits = true;
    for (int i = 0; i < a->question.count && fits; i++)
        fits = add_choice(w, a, i, whole, text);
    return fits && (!a->question.none || add(text, ". 0, none of them"));
}

static void add_question(const struct asked *a, int level, char text[HF_UTTERANCE_TEXT])
{
    static const char *const how[] = {"",
                                      "",
                                      "",
                                      ", each always in one place",
                                      ", in any register",
                                      ", all notes at once",
                                      ", and the held notes fall silent"};
    char words[48];
    snprintf(words, sizeof words, level == HF_LEVEL_KINDS ? "which kind" : "which of %d",
             a->question.count);
    add(text, words);
    add(text, how[level]);
}

char *hf_wording_question(const struct hf_wording *w, const struct hf_record *cue, bool begins,
                          char text[HF_UTTERANCE_TEXT])
{
    char shorter[HF_UTTERANCE_TEXT], words[32];
    struct asked a;
    text[0] = 0;
    if (!w->all || w->level < 1 || w->level > HF_LEVELS)
        return text;
    ask(w, cue, &a);
    snprintf(words, sizeof words, "level %d, ", w->level);
    add(text, begins ? words : "");
    add_question(&a, w->level, text);
    memcpy(shorter, text, sizeof shorter);
    if (w->level <= HF_LEVEL_POSITIONS && !add_choices(w, &a, !begins, text))
        memcpy(text, shorter, sizeof shorter);
    return text;
}

char *hf_wording_number(const struct hf_wording *w, const struct hf_record *cue,
                        char text[HF_UTTERANCE_TEXT])
{
    struct asked a;
    text[0] = 0;
    if (w->level < 1 || w->level > HF_LEVEL_POSITIONS || cue->id == 0)
        return text;
    ask(w, cue, &a);
    if (a.question.answer >= 0)
        snprintf(text, HF_UTTERANCE_TEXT, "%d, ", a.question.answer + 1);
    return text;
}

/* ---- sight ----------------------------------------------------------------------------------- */

static void add_frets(const struct hf_record *cue, const struct hf_record *held,
                      char text[HF_UTTERANCE_TEXT])
{
    for (int i = 0; i < cue->strings; i++) {
        char word[24];
        int fret = cue->frets[i] != HF_SILENT ? cue->frets[i] : held->frets[i];
        if (fret == HF_SILENT)
            snprintf(word, sizeof word, "%sx", i ? ", " : "");
        else
            snprintf(word, sizeof word, "%s%d", i ? ", " : "", fret);
        add(text, word);
    }
}

/* All of it, from low to high. */
static void add_chord(const struct hf_wording *w, const struct hf_record *cue,
                      const struct hf_record *held, char text[HF_UTTERANCE_TEXT])
{
    enum hf_names rule = w->request->names;
    struct hf_record chord = {.pcs = (hf_pcset)(cue->pcs | held->pcs)};
    char names[HF_UTTERANCE_TEXT];
    for (int midi = 0; midi < 128; midi++)
        for (int i = 0; i < cue->count + held->count; i++) {
            int note = i < cue->count ? cue->notes[i] : held->notes[i - cue->count];
            if (note == midi && chord.count < HF_EVENT_NOTES)
                hf_spelled_format(hf_spelling_pc(hf_pc(midi), rule), rule,
                                  chord.names[chord.count++]);
        }
    add(text, hf_wording_names(&chord, names));
}

char *hf_wording_chord(const struct hf_wording *w, const struct hf_record *cue,
                       const struct hf_record *held, bool first, char text[HF_UTTERANCE_TEXT])
{
    bool frets = w->request->in_frames && cue->strings > 0 && cue->strings == held->strings;
    text[0] = 0;
    if (w->all && first)
        add(text, frets ? "frets from the lowest string: " : "from the lowest note: ");
    if (frets)
        add_frets(cue, held, text);
    else
        add_chord(w, cue, held, text);
    if (w->all && first)
        add(text, ". which three are the 0, 1, 6, or none");
    return text;
}
