/* SPDX-License-Identifier: MIT */
/*
 * review: what journals tell about days and weeks of practice: what was cued, what came and what
 * did not, how long it took. A journal is read once, line by line, into a digest, a few hundred
 * bytes that can be kept; digests added up are the review.
 *
 * A reader and a review own their memory (free, deinit); a digest is bytes that the caller owns.
 * Pure apart from memory: no clock, no disk. One thread at a time for each.
 *
 * A day is the local date at a session's start, as its `started` has it, in days since 1970-01-01.
 * Cues that would begin after the end were never given and don't count; nor, in a journal without
 * an end, those that no later record shows to have begun. A cue of reverse counts for its triad, by
 * the way of reverse.
 */
#ifndef HOLDFAST_REVIEW_H
#define HOLDFAST_REVIEW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <holdfast/crc32.h>
#include <holdfast/notes.h>
#include <holdfast/pairing.h>
#include <holdfast/request.h>
#include <holdfast/status.h>

/* In which way a completion came: improvise by its way to cue, the other practices by name. */
#define HF_REVIEW_WAY_LIST(X)                                                                      \
    X(HF_REVIEW_LEAD, "lead")                                                                      \
    X(HF_REVIEW_CONFIRM, "confirm")                                                                \
    X(HF_REVIEW_SILENT, "silent")                                                                  \
    X(HF_REVIEW_HEARD, "heard") /* --cue ear */                                                    \
    X(HF_REVIEW_GAP, "gap")                                                                        \
    X(HF_REVIEW_REVERSE, "reverse")                                                                \
    X(HF_REVIEW_ROAM, "roam")                                                                      \
    X(HF_REVIEW_HUNT, "hunt")                                                                      \
    X(HF_REVIEW_EAR, "ear")                                                                        \
    X(HF_REVIEW_SIGHT, "sight")                                                                    \
    X(HF_REVIEW_WARMUP, "warmup")

enum hf_review_way {
#define HF_REVIEW_NAME(name, word) name,
    HF_REVIEW_WAY_LIST(HF_REVIEW_NAME)
#undef HF_REVIEW_NAME
        HF_REVIEW_WAYS
};
const char *hf_review_way_word(enum hf_review_way way);

/* Where the added notes lay: all over the held ones, all under them, or else through them. */
enum hf_review_register {
    HF_REVIEW_ABOVE,
    HF_REVIEW_THROUGH,
    HF_REVIEW_BELOW,
    HF_REVIEW_REGISTERS
};
const char *hf_review_register_word(enum hf_review_register where);

/* The last marks of a completion that weigh (1: got), so that what was hard months ago and comes
 * now is not called weak; and the longest time to answer: what took longer counts as that. */
enum { HF_REVIEW_RECENT = 20, HF_REVIEW_TENTHS_MOST = 6000 };

/* ---- a digest -------------------------------------------------------------------------------- */

struct hf_review_reader;

/* HF_E_MEMORY. */
enum hf_status hf_review_reader_new(struct hf_review_reader **out, struct hf_diag *diag) HF_CHECKED;
void hf_review_reader_free(struct hf_review_reader *reader);

/* Begins a journal; the same reader takes one after another. */
void hf_review_reader_begin(struct hf_review_reader *reader);

/* Takes the next line, without its newline. HF_E_DATA: damaged, foreign, from a newer version, or a
 * record that contradicts those before it; HF_E_MEMORY. A line that is not whole is an error only
 * when another follows it (so does the last one of a power cut end a journal). */
enum hf_status hf_review_reader_line(struct hf_review_reader *reader, const char *line,
                                     size_t length, struct hf_diag *diag) HF_CHECKED;

/* Ends the journal: its digest in `*bytes`, which stay the reader's until it begins another. */
enum hf_status hf_review_reader_end(struct hf_review_reader *reader, const void **bytes,
                                    size_t *length, struct hf_diag *diag) HF_CHECKED;

/* A completion and what was held. */
struct hf_review_given {
    hf_pcset held, pcs;
};

/* What a digest says of its journal as a whole. */
struct hf_review_about {
    uint64_t head, whole; /* hashes of the first line and of all: the same journal has the same */
    uint64_t length;      /* bytes of the whole lines */
    int64_t started;      /* seconds since 1970-01-01 UTC */
    int32_t day;
    const char *label; /* in the digest, with its length */
    size_t label_length;
    const char *continues; /* the file name of the journal that it goes on with; empty without */
    size_t continues_length;
    struct hf_review_given first; /* its first cue, and the one that its end cut off, where that */
    struct hf_review_given cut;   /* has no mark and may be given again; empty sets without */
};
/* HF_E_DATA for bytes that are no digest. */
enum hf_status hf_review_about(const void *digest, size_t length, struct hf_review_about *out,
                               struct hf_diag *diag) HF_CHECKED;

/* ---- the review ------------------------------------------------------------------------------ */

struct hf_review_day {
    int32_t day;
    uint32_t sessions;
    int64_t ms;                /* of sound; pauses are none */
    int level_last, level_top; /* of ear training; 0 without */
};

/* Where added notes lay in the hand. */
struct hf_review_shape {
    uint32_t cued;
    int strings;
    int8_t frets[HF_STRINGS_MOST];
};

/* What is known of one completion of one held set. */
struct hf_review_cell {
    hf_pcset held, pcs;
    int32_t last_day;           /* when it came last; meaningless where it never did */
    uint32_t cued, got, missed; /* given; marked by its last mark */
    uint32_t ways[HF_REVIEW_WAYS], registers[HF_REVIEW_REGISTERS]; /* of those cued */
    uint32_t found;                                                /* in hunt */
    int64_t roam_ms;                                               /* spent with it in roam */
    uint32_t recent; /* the last marks, the newest in the lowest bit */
    int recent_count;
    uint32_t *tenths; /* times to answer, from a cue's beginning to its first mark: how many of */
    int tenths_room;  /* each length in tenths of a second, nearest */
    struct hf_review_shape *shapes;
    size_t shape_count, shape_room;
};

struct hf_review {
    uint32_t sessions;
    struct hf_review_day *days; /* ascending */
    size_t day_count, day_room;
    struct hf_review_cell *cells; /* ascending by held, pcs once finished */
    size_t cell_count, cell_room;
    uint32_t *slots; /* from held and pcs to cells */
    size_t slot_count;
    uint32_t near_right, near_wrong; /* near misses in ear training: told from the six, or not */
};

void hf_review_init(struct hf_review *review);
void hf_review_deinit(struct hf_review *review);

/* Adds a journal's digest; from the earliest to the latest, since the last marks weigh. Without
 * what its end cut off where `came_again`: another journal goes on with that. HF_E_DATA for bytes
 * that are no digest (the review is then of no use any more); HF_E_MEMORY. */
enum hf_status hf_review_add(struct hf_review *review, const void *digest, size_t length,
                             bool came_again, struct hf_diag *diag) HF_CHECKED;

/* A whole review as bytes, and back into one that is empty (finished, too). `*bytes` is the
 * caller's to free. HF_E_MEMORY; HF_E_DATA for bytes that are no review. */
enum hf_status hf_review_pack(const struct hf_review *review, void **bytes, size_t *length,
                              struct hf_diag *diag) HF_CHECKED;
enum hf_status hf_review_unpack(struct hf_review *review, const void *bytes, size_t length,
                                struct hf_diag *diag) HF_CHECKED;

/* Sorts what was added. */
void hf_review_finish(struct hf_review *review);

/* What is known of a completion; NULL where nothing is. */
const struct hf_review_cell *hf_review_find(const struct hf_review *review, hf_pcset held,
                                            hf_pcset pcs);

/* ---- figures --------------------------------------------------------------------------------- */

/* The 95 % interval for a rate, `got` of `marked` (1 or more): E. B. Wilson, "Probable Inference,
 * the Law of Succession, and Statistical Inference", Journal of the American Statistical
 * Association 22/158, 1927. */
void hf_review_wilson(uint32_t got, uint32_t marked, double *low, double *high);

/* How many times to answer a cell has, and the one at a share of them (0 to 1) by the nearest rank:
 * the least that at least that share are not above, in seconds. There must be one. */
uint32_t hf_review_answers(const struct hf_review_cell *cell);
double hf_review_quantile(const struct hf_review_cell *cell, double share);

/* Days since 1970-01-01 of a date of the Gregorian calendar, and back. */
int32_t hf_review_day_of(int year, int month, int day);
void hf_review_date(int32_t day, int *year, int *month, int *day_of_month);

/* Reads "2026-11-25". False where it is no date. */
bool hf_review_parse_date(const char *text, size_t length, int32_t *day) HF_CHECKED;

/* Reads when a session started: RFC 3339 with its offset. False where it is not that. */
bool hf_review_parse_started(const char *text, size_t length, int32_t *day,
                             int64_t *seconds) HF_CHECKED;

/* ---- what is weak ---------------------------------------------------------------------------- */

/* How much a completion asks for practice: more the lower its last marks' lower bound, and the more
 * days it has not come, up to two weeks. Between HF_REVIEW_LEAST and HF_REVIEW_MOST. `cell` may be
 * NULL: it never came. */
#define HF_REVIEW_LEAST 0.05
#define HF_REVIEW_MOST 2.1
double hf_review_weight(const struct hf_review_cell *cell, int32_t today);

/* The lower bound that weighs, 0 where nothing was marked. */
double hf_review_lower(const struct hf_review_cell *cell);

/* How sure a completion is, as a sign: # sure, + fair, - weak, ? fewer than five marks, . not
 * marked, ' ' never came. */
char hf_review_sign(const struct hf_review_cell *cell);

/* Days since it came, at least 0; -1 for never. */
int32_t hf_review_days_since(const struct hf_review_cell *cell, int32_t today);

/* Which of the four augmented triads to take: the least practised, that with the fewest cues; of
 * equals the one that came longest ago (`weak` false); or that whose completions weigh most. Bits 0
 * to 3 for the triads on C, C# (Db), D and Eb that are equal in it; 0 where there is no session. */
unsigned hf_review_triads(const struct hf_review *review, const struct hf_setclass *added,
                          bool weak, int32_t today);

/* The augmented triad on 0 to 3. */
hf_pcset hf_review_triad(int which);

/* One step of a plan: a command's words after the program's name, and why. */
enum { HF_PLAN_STEPS = 4, HF_PLAN_WORDS = 16, HF_PLAN_TEXT = 160 };
struct hf_plan_step {
    int words;
    char word[HF_PLAN_WORDS][24];
    char why[HF_PLAN_TEXT];
};
struct hf_plan {
    char weakest[HF_PLAN_TEXT]; /* which it is, in words */
    int steps;
    struct hf_plan_step step[HF_PLAN_STEPS];
};

/* Proposes what to do today in so many minutes (4 to 240): to warm up, the weakest by ear, to roam,
 * and a guided session on another triad. */
void hf_review_plan(const struct hf_review *review, int32_t today, int minutes,
                    struct hf_plan *out);

#endif
