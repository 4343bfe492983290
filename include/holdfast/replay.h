/* SPDX-License-Identifier: MIT */
/*
 * replay: a journal as a source of steps, so that the session sounds again as it was, to the
 * sample. It makes no musical decision and needs no theory: everything stands in the records.
 *
 * The replay owns its events (hf_replay_deinit); the journal may go once it is made. One thread at
 * a time.
 */
#ifndef HOLDFAST_REPLAY_H
#define HOLDFAST_REPLAY_H

#include <holdfast/journal.h>
#include <holdfast/source.h>
#include <holdfast/utterance.h>

struct hf_replay {
    struct hf_event *events;
    size_t count, next;
    int64_t length; /* samples of the whole, as a file, at the rate asked for */
    bool cut;       /* the journal stops without an end */
};

/* Works the records out into events at `rate_hz`; at the journal's own rate the result is exact,
 * at another each time is the nearest. HF_E_DATA for records that contradict each other,
 * HF_E_MEMORY. */
enum hf_status hf_replay_init(struct hf_replay *replay, const struct hf_journal *journal,
                              int rate_hz, struct hf_diag *diag) HF_CHECKED;
void hf_replay_deinit(struct hf_replay *replay);

/* What became of the words of a replay. Where there are none the music gives way to them all the
 * same, as it did. */
struct hf_replay_speech {
    long said, changed, missing; /* utterances; of those said, with other samples than recorded;
                                  * of which there are no words */
};

/* Has what was said in the journal that the replay was made of spoken again; a speaker without
 * functions says nothing. Before the first step. */
struct hf_replay_speech hf_replay_speak(struct hf_replay *replay, const struct hf_journal *journal,
                                        const struct hf_speaker *speaker);

struct hf_source hf_replay_source(struct hf_replay *replay);

/* Leaves out the records that contradict those before them, as some do where others are missing
 * (hf_journal_salvage), and adds them to the journal's `left_out`. HF_E_MEMORY. */
enum hf_status hf_replay_salvage(struct hf_journal *journal, struct hf_diag *diag) HF_CHECKED;

/* The timeline that a journal comes to, closed where it has no end. The caller deinits it.
 * HF_E_DATA for records that contradict each other, and for more than HF_SESSION_MOST_DAYS;
 * HF_E_MEMORY. */
enum hf_status hf_replay_timeline(const struct hf_journal *journal, struct hf_timeline *out,
                                  struct hf_diag *diag) HF_CHECKED;

#endif
