/* SPDX-License-Identifier: MIT */
/*
 * conductor: lays the schedule's cues in time, answers the player's keys and the sound's reports,
 * and gives in return an ordered list of steps: records for the journal and events for the engine.
 * Live, render and rehearsal all drive this one thing.
 *
 * A record that comes before an event in the list must be on the disk before the event is sent:
 * that is how a cue is in the journal before it sounds.
 *
 * The caller owns the struct (hf_conductor_deinit). Pure apart from memory: no clock, no disk, no
 * sound. One thread at a time.
 */
#ifndef HOLDFAST_CONDUCTOR_H
#define HOLDFAST_CONDUCTOR_H

#include <holdfast/breath.h>
#include <holdfast/event.h>
#include <holdfast/journal.h>
#include <holdfast/schedule.h>
#include <holdfast/timeline.h>

enum hf_key {
    HF_KEY_STAY,   /* stay, or go on */
    HF_KEY_PAUSE,  /* pause, or resume */
    HF_KEY_NEXT,   /* next; with --every wait first what is still to come of the cue; in roam the
                    * next of the ring */
    HF_KEY_AGAIN,  /* again */
    HF_KEY_REVEAL, /* reveal */
    HF_KEY_GOT,
    HF_KEY_MISSED,
    HF_KEY_CHOICE_1, /* the completion with this number, where the practice asks for one; */
    HF_KEY_CHOICE_2, /* the nine stand in order, next to one another */
    HF_KEY_CHOICE_3,
    HF_KEY_CHOICE_4,
    HF_KEY_CHOICE_5,
    HF_KEY_CHOICE_6,
    HF_KEY_CHOICE_7,
    HF_KEY_CHOICE_8,
    HF_KEY_CHOICE_9,
    HF_KEY_CHOICE_NONE, /* it is none of them; sight: no */
    HF_KEY_CHOICE_YES,  /* sight: yes, and then which three */
    HF_KEY_LOUDER,      /* a step of 1 dB, onto a whole number; never over HF_VOLUME_HIGH */
    HF_KEY_SOFTER,
    HF_KEY_QUIT,
    HF_KEY_SIGNAL /* a signal ended the program */
};

struct hf_step {
    bool is_record; /* else an event */
    struct hf_record record;
    struct hf_event event;
};

/* Keys may come faster than they can be obeyed: held down, or pasted. Commands are given up to
 * ASKED ahead of the sound, far fewer than the transport and the engine can hold, so that the cues
 * behind them always get through; keys are taken while fewer than half of STEPS wait. */
enum { HF_CONDUCTOR_STEPS = 64, HF_CONDUCTOR_ASKED = 8 };

/* How long the naming of a cue takes, in samples. Where a cue is named and sounded at the same time
 * and not at its beginning (gap, reverse), what is spoken begins so much before, and that is its
 * `tell`. Without a function, and in a record without names, it takes no time. */
struct hf_naming {
    int64_t (*length)(void *self, const struct hf_record *cue);
    void *self;
};

struct hf_conductor {
    const struct hf_request *request;
    struct hf_schedule *schedule;
    struct hf_naming naming;
    struct hf_timeline timeline;
    long next_n;             /* of the next record */
    int64_t next_at;         /* plan time of the next cue */
    int64_t offset;          /* session time - plan time, as far as reported */
    uint32_t serial;         /* of the last cue laid */
    uint32_t running;        /* of the cue that began last, 0 before */
    bool exhausted;          /* the finish is laid */
    bool staying, paused;    /* as asked for */
    bool away;               /* there is no sound output now, */
    bool away_pauses;        /* and the pause is made for that */
    bool on_break;           /* as asked for: any key goes on */
    bool breaking;           /* the pause that is asked for is a break */
    int64_t sounded_from;    /* sound is counted from here to the next break, */
    int64_t break_from;      /* which does not begin before: it is being told of */
    double volume_db;        /* as asked for */
    uint32_t shown;          /* cue whose reveal was asked for */
    int64_t now;             /* session sample of the last key or report */
    struct hf_levels levels; /* of ear */
    struct hf_breath breath; /* how long the next cue lasts, where that breathes */
    long missed;     /* the cue that was marked missed since the last one was laid; 0: none */
    unsigned picked; /* sight: notes of cue `picks_of` that were picked, a bit each */
    uint32_t picks_of;
    bool withheld;    /* the first cue of the next round, until this one is marked */
    int nexts_asked;  /* nexts that the sound has not answered yet */
    int stays_asked;  /* stays and goes, and */
    int pauses_asked; /* pauses and resumes, */
    int asked;        /* commands that the sound has not answered yet */
    bool asked_again; /* one of them has notes of its own, which take places of the engine */
    bool asked_quit, asked_signal, began_end, lost;
    int first_step, step_count;
    struct hf_step steps[HF_CONDUCTOR_STEPS];
};

/* Length in samples of the closing fade for each reason: 5 s, 2 s, 0, 40 ms. */
int64_t hf_conductor_fade(enum hf_why why, int rate_hz);

/* The count-in: beats before a first cue at plan time `first_at`, when cues are in beats. Writes
 * the ticks, at most HF_COUNT_IN_MOST, and returns how many. */
enum { HF_COUNT_IN_MOST = 12 };
int hf_conductor_count_in(const struct hf_request *request, int64_t first_at,
                          struct hf_event out[HF_COUNT_IN_MOST]);

/* Starts. `request` is resolved, `schedule` initialized from it; both stay the caller's and outlive
 * the conductor. Lays the hold and the first cue. HF_E_MEMORY. */
enum hf_status hf_conductor_init(struct hf_conductor *conductor, const struct hf_request *request,
                                 struct hf_schedule *schedule, struct hf_diag *diag) HF_CHECKED;

/* The same for a session that speaks. */
enum hf_status hf_conductor_init_naming(struct hf_conductor *conductor,
                                        const struct hf_request *request,
                                        struct hf_schedule *schedule, struct hf_naming naming,
                                        struct hf_diag *diag) HF_CHECKED;
void hf_conductor_deinit(struct hf_conductor *conductor);

/* Takes the oldest step; false when there is none now. */
bool hf_conductor_step(struct hf_conductor *conductor, struct hf_step *out);

/* Hears what the engine did. HF_E_MEMORY. */
enum hf_status hf_conductor_report(struct hf_conductor *conductor, const struct hf_report *report,
                                   struct hf_diag *diag) HF_CHECKED;

/* Records something that moves neither time nor notes, as a step of its own. HF_E_MEMORY. */
enum hf_status hf_conductor_record(struct hf_conductor *conductor, const struct hf_record *record,
                                   struct hf_diag *diag) HF_CHECKED;

/* A key of the player at session sample `now`. HF_E_USAGE when it means nothing now: the message
 * says why in a few words, and nothing happens. The message is empty for a key that came before
 * those before it were obeyed. */
enum hf_status hf_conductor_key(struct hf_conductor *conductor, enum hf_key key, int64_t now,
                                struct hf_diag *diag) HF_CHECKED;

/* A pause of so long is as good as a break, in seconds. */
enum { HF_CONDUCTOR_RESTED_S = 300 };

/* For a session that has keys: pauses it for a break when at session sample `now` it has sounded
 * long enough (--break-every), unless something is being obeyed or the last cue runs. True when a
 * break begins; then any key but quit goes on. */
bool hf_conductor_break(struct hf_conductor *conductor, int64_t now);

/* Marks the cue whose record is number `cue`, at session sample `at`; also while the session fades
 * out. HF_E_USAGE when it is too late or too much at once. */
enum hf_status hf_conductor_mark(struct hf_conductor *conductor, long cue, enum hf_mark as,
                                 int64_t at, struct hf_diag *diag) HF_CHECKED;

/* In hunt: the player says that these notes complete the held set, at session sample `now`. What
 * they are goes to `*verdict` and into the record; what is found, now or again, becomes the running
 * cue. HF_E_USAGE as for a key, and where the notes are not as many as the added class has. */
enum hf_status hf_conductor_answer(struct hf_conductor *conductor, hf_pcset pcs, int64_t now,
                                   struct hf_verdict *verdict, struct hf_diag *diag) HF_CHECKED;

/* In hunt: the next hint, into `*hint`; after the last step that one again. HF_E_USAGE as for a
 * key, and where all are found. */
enum hf_status hf_conductor_hint(struct hf_conductor *conductor, int64_t now, struct hf_hint *hint,
                                 struct hf_diag *diag) HF_CHECKED;

/* The sound output went away, and may come back: the sound fades and the clock stands, as in a
 * pause, so that the running cue is still there then. Until it is back whoever drives the engine
 * renders for nobody. A player who has paused stays so. */
void hf_conductor_away(struct hf_conductor *conductor);
void hf_conductor_back(struct hf_conductor *conductor);

/* The sound output went away for good at session sample `now`: ends the record. HF_E_MEMORY. */
enum hf_status hf_conductor_lost(struct hf_conductor *conductor, int64_t now,
                                 struct hf_diag *diag) HF_CHECKED;

#endif
