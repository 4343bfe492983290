/* SPDX-License-Identifier: MIT */
/*
 * journal: the record of a session, one line of JSON a record, each with its check sum. This module
 * turns records into lines and lines into records; outlet/store keeps the lines on the disk.
 *
 * Records are values that the caller owns; the head and a journal that was read own their texts
 * (hf_head_deinit, hf_journal_deinit). Pure apart from memory; one thread at a time for each.
 */
#ifndef HOLDFAST_JOURNAL_H
#define HOLDFAST_JOURNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <holdfast/event.h>
#include <holdfast/pcset.h>
#include <holdfast/request.h>
#include <holdfast/status.h>
#include <holdfast/utterance.h>

/* enumerator, the word in the journal */
#define HF_RECORD_LIST(X)                                                                          \
    X(HF_RECORD_SESSION, "session")                                                                \
    X(HF_RECORD_HOLD, "hold")                                                                      \
    X(HF_RECORD_DRONE, "drone")                                                                    \
    X(HF_RECORD_CUE, "cue")                                                                        \
    X(HF_RECORD_STEP, "step")                                                                      \
    X(HF_RECORD_STAY, "stay")                                                                      \
    X(HF_RECORD_GO, "go")                                                                          \
    X(HF_RECORD_PAUSE, "pause")                                                                    \
    X(HF_RECORD_RESUME, "resume")                                                                  \
    X(HF_RECORD_LOST, "lost")                                                                      \
    X(HF_RECORD_BREAK, "break")                                                                    \
    X(HF_RECORD_NEXT, "next")                                                                      \
    X(HF_RECORD_AGAIN, "again")                                                                    \
    X(HF_RECORD_REVEAL, "reveal")                                                                  \
    X(HF_RECORD_MARK, "mark")                                                                      \
    X(HF_RECORD_ANSWER, "answer")                                                                  \
    X(HF_RECORD_HINT, "hint")                                                                      \
    X(HF_RECORD_LEVEL, "level")                                                                    \
    X(HF_RECORD_VOLUME, "volume")                                                                  \
    X(HF_RECORD_SPEECH, "speech")                                                                  \
    X(HF_RECORD_END, "end")

enum hf_record_type {
#define HF_RECORD_NAME(name, word) name,
    HF_RECORD_LIST(HF_RECORD_NAME)
#undef HF_RECORD_NAME
        HF_RECORD_OTHER /* a type of a later version, which a reader skips */
};

enum hf_why { HF_WHY_FINISHED, HF_WHY_QUIT, HF_WHY_LOST, HF_WHY_SIGNAL };
enum hf_mark { HF_MARK_GOT, HF_MARK_MISSED };

/* What notes that a player names in hunt turn out to be: one of the completions, for the first time
 * or anew; another class; or one that shares a held note. */
enum hf_finding { HF_FOUND, HF_FOUND_AGAIN, HF_FOUND_OTHER, HF_FOUND_SHARES };

/* Why a level is the one it is: the first, or after a round that went well or badly. */
enum hf_level_why { HF_LEVEL_START, HF_LEVEL_UP, HF_LEVEL_DOWN };

/* One record but the head. Times are session samples; HF_NEVER stands for null. Which members mean
 * something depends on the type. */
struct hf_record {
    enum hf_record_type type;
    long n;
    int64_t at;
    /* hold, cue */
    int id;
    hf_pcset pcs;
    int count;
    uint8_t notes[HF_EVENT_NOTES];
    union {
        char names[HF_EVENT_NOTES][HF_SPELLED_TEXT]; /* parallel to notes, without octaves */
        char text[HF_UTTERANCE_TEXT];                /* speech: what is said */
    };
    int64_t tell, hear, end;
    int strings;                   /* of the instrument, 0 without a shape */
    int8_t frets[HF_STRINGS_MOST]; /* lowest string first, HF_SILENT for a silent one */
    struct hf_manner manner;       /* cue; `first` is left to who lays it out */
    /* go, next */
    bool shifted; /* `shift` is there */
    int64_t shift;
    int64_t after;   /* resume */
    int64_t sounded; /* break: samples of sound since the start or the last break. The record
                      * follows that of the pause which it explains, at the same time; how long the
                      * break was is told by the resume */
    long cue;        /* mark, answer, speech: the n of its cue; 0 in an answer of hunt, and where
                      * something else is spoken of */
    enum hf_mark as;
    bool right; /* answer to a cue: `id` is what was answered, 0 for none of them. In ear,
                 * where several completions are one answer, the one most like the cue;
                 * in sight 1 for yes, with what is said to be the 016 in `pcs`, 0 for no */
    enum hf_finding finding; /* answer in hunt: what `pcs` are */
    int hints;               /* answer in hunt: steps of help that led to what was found; hint:
                              * which step this is, from 1. What it gave away is not told, since
                              * a record may be read before the end */
    int level;               /* level: from 1 */
    enum hf_level_why level_why;
    /* step: a class of the chord that its cue made, laid and timed as a cue is, behind it: "cue"
     * (the n of its cue), "step" of "steps", "class", "which" place of "of" in the chord, notes,
     * times, "under": the held notes' level while it sounds, and "frets" as a cue has them. */
    int step, steps, which, of;
    /* drone: "gain_db", "over" and, where it is not for good, "hold". Written ahead of the cue with
     * which it comes, as a hold is, with that cue's `at` (null where the player begins it): from
     * there the held notes move to gain_db (0 to HF_DRONE_NONE_DB, which is silence) in `over`
     * samples, and after `hold` samples to silence in as many. */
    int gain_db;
    int64_t over, held_for;
    int db;         /* volume: HF_VOLUME_LOW to HF_VOLUME_HIGH */
    int64_t length; /* speech: samples from `at` on; the music gives way to the words over the first
                     * HF_SPEECH_LEAD_S of them, and comes back after the last (utterance.h) */
    uint32_t sum;   /* speech: CRC-32 of the words as the voice gave them */
    enum hf_why why; /* end */
    int64_t fade;
};

/* The session record. */
struct hf_head {
    char program[32];
    char started[32]; /* RFC 3339 local time with its offset */
    uint32_t done;    /* cues that were given before this session, where it goes on with another */
    char continues[128]; /* the file name of the journal whose session this one goes on with, or ""
                          */
    struct hf_request request;
    char *held_patch, *added_patch; /* texts, owned */
};

/* The most records that a journal may have. A day of cues of 0.1 s, the most that --for and --every
 * can ask for, are 864,000. */
enum { HF_JOURNAL_RECORDS_MOST = 1 << 20 };

struct hf_journal {
    struct hf_head head;
    struct hf_record *records; /* in order, the head and unknown types left out */
    size_t count;
    bool torn;           /* the last line was not whole and was left out */
    size_t whole_length; /* bytes of the whole lines */
    size_t left_out;     /* records that hf_journal_salvage did without */
};

void hf_head_deinit(struct hf_head *head);

/* Takes copies of the patch texts. HF_E_MEMORY. */
enum hf_status hf_head_init(struct hf_head *head, const char *program, const char *started,
                            const struct hf_request *request, const char *held_patch,
                            const char *added_patch, struct hf_diag *diag) HF_CHECKED;

/* Writes the session record as a line with its newline; `*line` is the caller's to free. */
enum hf_status hf_journal_format_head(const struct hf_head *head, char **line, size_t *length,
                                      struct hf_diag *diag) HF_CHECKED;

/* The same for any other record. */
enum hf_status hf_journal_format(const struct hf_record *record, char **line, size_t *length,
                                 struct hf_diag *diag) HF_CHECKED;

/* Reads a whole journal. HF_E_DATA: empty, from a newer version, or damaged (the message says which
 * record, diag->line the line); a last line that is not whole is no error but `torn`. */
enum hf_status hf_journal_parse(const char *text, size_t length, struct hf_journal *out,
                                struct hf_diag *diag) HF_CHECKED;

/* The same, but goes on past what is damaged or missing after the session record, and tells in
 * `left_out` how many records that were. What is left may contradict itself where one is missing:
 * hf_replay_salvage (replay.h) looks to that. Of a sound journal nothing is left out. */
enum hf_status hf_journal_salvage(const char *text, size_t length, struct hf_journal *out,
                                  struct hf_diag *diag) HF_CHECKED;

void hf_journal_deinit(struct hf_journal *journal);

/* Reads one line, without its newline, as record number `n` of a journal: number 0 into `head`, any
 * other into `record` (type HF_RECORD_OTHER for one of a later version). HF_E_INPUT for a line that
 * is not whole: its check sum is wrong, or it is no JSON. HF_E_DATA for a wrong member, out of
 * order, or (the head) from a newer version. HF_E_MEMORY. */
enum hf_status hf_journal_read_line(const char *line, size_t length, long n, struct hf_head *head,
                                    struct hf_record *record, struct hf_diag *diag) HF_CHECKED;

/* The words for a first record that is not whole, of which there are `length` bytes and `ended`
 * says that its newline is there: a journal that was cut off in it, or no journal. Returns
 * HF_E_DATA. */
enum hf_status hf_journal_refuse_first(const char *line, size_t length, bool ended,
                                       struct hf_diag *diag) HF_CHECKED;

/* The word for a reason, a mark or a type. */
const char *hf_why_word(enum hf_why why);
const char *hf_mark_word(enum hf_mark mark);
const char *hf_finding_word(enum hf_finding finding);
const char *hf_level_why_word(enum hf_level_why why);
const char *hf_record_word(enum hf_record_type type);

#endif
