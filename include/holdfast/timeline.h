/* SPDX-License-Identifier: MIT */
/*
 * timeline: the session as it came to be: records, applied one by one in the order of the journal,
 * give the cues with their times as they were in fact. Whoever shows, counts or lays out a session
 * reads it from here.
 *
 * The timeline owns its cues (hf_timeline_deinit). Pure apart from memory; one thread at a time.
 *
 * Times are session samples; HF_NEVER for one that was not reached or is not known.
 */
#ifndef HOLDFAST_TIMELINE_H
#define HOLDFAST_TIMELINE_H

#include <holdfast/hunt.h>
#include <holdfast/journal.h>

/* When a cue that begins at `at` and has `length` samples is named, heard and over, on the plan.
 * `wait`: the player ends it, so that its end lies beyond reach, as do the times that the player
 * decides. Silent: `hear` is HF_NEVER. Gap and reverse: from `at` on a part is known (the perfect
 * interval; what is held), the rest at `tell`. */
struct hf_laid {
    int64_t at, tell, hear, end;
};

/* A cue that the player ends lasts this long on the plan, and so long the first one waits that the
 * player begins: six days at 192 kHz, several times. */
#define HF_WAIT_LENGTH (INT64_C(1) << 40)

/* The way of a cue, or of a step, which is always named first and sounded later. */
enum hf_cue_way hf_timeline_way(enum hf_cue_way way, enum hf_record_type type);

struct hf_laid hf_timeline_lay(enum hf_cue_way way, bool wait, int64_t at, int64_t length);

/* The notes of a cue as they sound: `count`, `notes` and `manner` of its event, or of an again for
 * it. `hold`: what is held at it. A cue whose halves sound apart has the held notes first, then its
 * own, then all together. */
void hf_timeline_sound(const struct hf_record *hold, const struct hf_record *cue,
                       struct hf_event *out);

struct hf_timeline_cue {
    struct hf_record record; /* as written ahead: a cue, or a step of the one before */
    uint32_t number;         /* of the cue among the cues, from 1; a step has its cue's */
    bool marked;             /* by the player; the last mark counts */
    enum hf_mark mark;
    int level;       /* of ear, 0 without */
    bool answered;   /* by a number; the last answer counts: */
    int answer;      /* an id, 0: none of them; sight: 1 yes, 0 no */
    hf_pcset picked; /* sight: the three that were said to be the 016 */
    bool right;
    bool has_hold; /* from this cue on other notes are held: */
    struct hf_record hold;
    bool has_drone; /* from this cue on the held notes have another level: */
    struct hf_record drone;
    int64_t at, tell, hear, end;
};

struct hf_timeline {
    enum hf_practice practice;
    bool wait;   /* the player ends each cue */
    bool chosen; /* and begins it, the first one too */
    enum hf_cue_way way;
    struct hf_record hold; /* what is held from the start */
    bool has_pending;      /* a hold whose cue is still to be written */
    struct hf_record pending;
    bool has_drone; /* a drone record whose cue is still to be written */
    struct hf_record drone;
    double volume_db; /* as it is by now */
    int level;        /* of what is written next, 0 without levels */
    int64_t pause_fade;
    struct hf_timeline_cue *cues;
    size_t count, room;
    int64_t stay_at;    /* of a stay that has not ended, else HF_NEVER */
    int64_t shown_at;   /* of a reveal in that stay, else HF_NEVER */
    int64_t pause_at;   /* of a pause that has not ended, else HF_NEVER */
    int64_t silence;    /* output samples of the pauses that ended */
    bool away;          /* the open pause is for an output that is away */
    bool on_break;      /* the open pause is a break */
    int breaks;         /* so many, the open one too */
    int64_t rested;     /* output samples of those that ended */
    int64_t sounded;    /* samples of sound before the last break */
    int64_t command_at; /* time of the last command or end */
    int64_t last_at;    /* latest time that a record other than a cue speaks of */
    int64_t end_at;     /* HF_NEVER before the end */
    int64_t end_fade;
    enum hf_why why;
    struct hf_hunt hunt; /* in hunt: what was found, as far as records tell */
};

/* Starts empty, for a resolved request. */
void hf_timeline_init(struct hf_timeline *timeline, const struct hf_request *request);
void hf_timeline_deinit(struct hf_timeline *timeline);

/* Applies the next record. HF_E_MEMORY; HF_E_DATA for one that can't follow those before it, which
 * leaves the timeline as it was. */
enum hf_status hf_timeline_apply(struct hf_timeline *timeline, const struct hf_record *record,
                                 struct hf_diag *diag) HF_CHECKED;

/* For a journal that stops without an end: ends where its last whole cue does; in an open stay or
 * pause, or where the player was to end the cue, at the last that is known. The fade is `fade`
 * samples, none in a pause. Nothing to do where there is an end. */
void hf_timeline_close(struct hf_timeline *timeline, int64_t fade);

/* True where a cue's time has come at `now`: in a stay, times later than its beginning wait; after
 * the end none comes. */
bool hf_timeline_reached(const struct hf_timeline *timeline, int64_t time, int64_t now);

/* The same for a `tell` or `hear`, which a reveal may have brought about during the stay: such a
 * time has come, and does not move when the cues go on. */
bool hf_timeline_shown(const struct hf_timeline *timeline, int64_t time, int64_t now);

/* The cue that runs at `now` (the last one that began and has not ended), or NULL. */
const struct hf_timeline_cue *hf_timeline_running(const struct hf_timeline *timeline, int64_t now);

/* What is held at a cue (its index), or before the first for -1. */
const struct hf_record *hf_timeline_held(const struct hf_timeline *timeline, long index);

/* All notes of a cue and of what is held at it, ascending. */
void hf_timeline_chord(const struct hf_timeline *timeline, size_t index, struct hf_voicing *out);

/* The cue that was named last at `now`, or NULL. */
const struct hf_timeline_cue *hf_timeline_told(const struct hf_timeline *timeline, int64_t now);

/* True for a cue that was given: it began, and not after the end. */
bool hf_timeline_given(const struct hf_timeline *timeline, const struct hf_timeline_cue *cue);

/* Samples of the whole session as a file: end, fade and the silences. HF_NEVER before the end. */
int64_t hf_timeline_length(const struct hf_timeline *timeline);

#endif
