/* SPDX-License-Identifier: MIT */
/*
 * narrator: lets a session speak. It stands between the conductor and whoever drives it, reads each
 * record as it passes, and adds the events by which something is said and the records of what was.
 * Without it a session is the same, but silent.
 *
 * The caller owns it and what it points to. Pure apart from the speaker; one thread at a time.
 */
#ifndef HOLDFAST_NARRATOR_H
#define HOLDFAST_NARRATOR_H

#include <holdfast/conductor.h>
#include <holdfast/source.h>
#include <holdfast/utterance.h>
#include <holdfast/wording.h>

enum { HF_NARRATOR_EVENTS = 8 };

/* Notes are heard so long, in seconds from the last of them on, before anything is asked of them,
 * and a mark waits so long, in which the player may go on: then the next cue tells. */
#define HF_NARRATOR_LISTEN_S 1.0
#define HF_NARRATOR_MARK_S 0.1

struct hf_narrator {
    struct hf_conductor *conductor;
    struct hf_speaker speaker;
    struct hf_wording wording;
    uint32_t total;             /* cues of the session */
    struct hf_record cue, hold; /* the last that passed */
    int64_t opening;            /* samples that it takes */
    int asked_level, asked_id;  /* of ear: what was asked last; the first of its answers */
    int64_t rest_from;          /* a break after the sound from there on is told of, */
    uint32_t rest_words;        /* with this, */
    int64_t rest_end;           /* which is over then; HF_NEVER before it began */
    int first, count;
    struct hf_event events[HF_NARRATOR_EVENTS]; /* to be given next */
};

/* Before hf_conductor_init_naming, which asks it about the first cue: of a session whose request
 * has speech, of `total` cues. Everything outlives the narrator. */
void hf_narrator_init(struct hf_narrator *narrator, struct hf_conductor *conductor,
                      const struct hf_request *request, uint32_t total, struct hf_speaker speaker);

/* At session sample `now`: says that a break is near, since once it has begun nothing sounds, and
 * has the conductor wait with it until that is said whole. Where breaks come, before
 * hf_conductor_break; now and then. */
void hf_narrator_tend(struct hf_narrator *narrator, int64_t now);

/* For hf_conductor_init_naming. */
struct hf_naming hf_narrator_naming(struct hf_narrator *narrator);

/* At session sample `now`: says again what is asked, or what was told last, and then `keys` ("" for
 * nothing). Where only names are spoken it says nothing. */
void hf_narrator_help(struct hf_narrator *narrator, int64_t now, const char *keys);

/* In place of hf_conductor_source. */
struct hf_source hf_narrator_source(struct hf_narrator *narrator);

/* Has everything spoken beforehand that the schedule can ask for, as far as that is known, and
 * finds whether the names are over before their notes in this session. HF_E_USAGE: the cues or the
 * lead-in are too short. */
enum hf_status hf_narrator_prepare(struct hf_narrator *narrator, const struct hf_schedule *schedule,
                                   struct hf_diag *diag) HF_CHECKED;

#endif
