/* SPDX-License-Identifier: MIT */
/*
 * scripted: journals by hand, of cues of ten seconds after a lead-in of two, as a script says. For
 * one test program; needs tests/scratch.h and tests/check.h.
 */
#ifndef TESTS_SCRIPTED_H
#define TESTS_SCRIPTED_H

#include <holdfast/journal.h>
#include <holdfast/review.h>

enum { RATE = 8000, EVERY = 10 * RATE, LEAD = 2 * RATE };

/* One cue of a script: which of the six, its mark (-1: none) and when it was marked, in tenths of a
 * second from its beginning. */
struct scripted {
    int id, got, tenths;
};

struct text {
    char bytes[1 << 16];
    size_t length;
};

static inline void append(struct text *text, char *line, size_t length)
{
    assert_true(text->length + length < sizeof text->bytes);
    memcpy(text->bytes + text->length, line, length);
    text->length += length;
    free(line);
}

static inline void append_record(struct text *text, const struct hf_record *record)
{
    char *line;
    size_t length;
    assert_ok(hf_journal_format(record, &line, &length, NULL));
    append(text, line, length);
}

static inline void append_head(struct text *text, const char *started, const char *label, int root)
{
    static const char *const held[] = {"C3 E3 G#3", "C#3 F3 A3", "D3 F#3 Bb3", "Eb3 G3 B3"};
    static struct hf_request request;
    struct hf_head head;
    char *line;
    size_t length;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_HELD, held[root], NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_SEED, "1", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LABEL, label, NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(
        hf_head_init(&head, "holdfast test", started, &request, "[patch]\n", "[patch]\n", NULL));
    assert_ok(hf_journal_format_head(&head, &line, &length, NULL));
    append(text, line, length);
    hf_head_deinit(&head);
}

static inline struct hf_record record_of(enum hf_record_type type, long n, int64_t at, hf_pcset pcs,
                                         int low)
{
    struct hf_record record = {.type = type, .n = n, .at = at, .pcs = pcs};
    for (int pc = 0; pc < HF_PCS; pc++)
        if (pcs >> pc & 1) {
            record.notes[record.count] = (uint8_t)(low + pc);
            snprintf(record.names[record.count++], HF_SPELLED_TEXT, "C");
        }
    return record;
}

/* A journal of cues of ten seconds on the triad of `root`, ended at its last cue's end. */
static inline void write_script(struct text *text, const char *started, const char *label, int root,
                                const struct scripted *cues, int count, bool ended)
{
    struct hf_completion six[HF_COMPLETIONS_MOST];
    hf_pcset held = hf_review_triad(root);
    hf_pairing_complete(held, hf_setclass_find(3, 5), six);
    text->length = 0;
    append_head(text, started, label, root);
    struct hf_record hold = record_of(HF_RECORD_HOLD, 1, 0, held, 48);
    append_record(text, &hold);
    long n = 2;
    for (int i = 0; i < count; i++) {
        int64_t at = LEAD + (int64_t)i * EVERY;
        struct hf_record cue = record_of(HF_RECORD_CUE, n++, at, six[cues[i].id - 1].pcs, 72);
        cue.id = cues[i].id;
        cue.tell = at;
        cue.hear = at + EVERY / 2;
        cue.end = at + EVERY;
        append_record(text, &cue);
        if (cues[i].got >= 0) {
            struct hf_record mark = {.type = HF_RECORD_MARK,
                                     .n = n++,
                                     .at = at + (int64_t)cues[i].tenths * RATE / 10,
                                     .cue = cue.n,
                                     .as = cues[i].got ? HF_MARK_GOT : HF_MARK_MISSED};
            append_record(text, &mark);
        }
    }
    struct hf_record end = {.type = HF_RECORD_END, .n = n, .at = LEAD + (int64_t)count * EVERY};
    if (ended)
        append_record(text, &end);
}

static inline void write_journal(const char *name, const char *started, const char *label, int root,
                                 const struct scripted *cues, int count)
{
    static struct text text;
    write_script(&text, started, label, root, cues, count, true);
    scratch_write(name, text.bytes, text.length);
}

#endif
