/* SPDX-License-Identifier: MIT */
/*
 * schedule: the musical choices of a session, one cue after another: which completion, in which
 * voicing. It is a generator that knows no clock; the conductor lays what it gives in time.
 *
 * The caller owns the memory; everything random comes from the request's seed. Pure; one thread at
 * a time.
 */
#ifndef HOLDFAST_SCHEDULE_H
#define HOLDFAST_SCHEDULE_H

#include <holdfast/event.h>
#include <holdfast/hand.h>
#include <holdfast/levels.h>
#include <holdfast/pairing.h>
#include <holdfast/random.h>
#include <holdfast/request.h>
#include <holdfast/support.h>
#include <holdfast/unfold.h>
#include <holdfast/voicing.h>
#include <holdfast/warmup.h>

/* Where an 016 is held in reverse: C3 to C5. */
enum { HF_REVERSE_LOW = 48, HF_REVERSE_HIGH = 72, HF_REVERSE_ROUND = 6 };

struct hf_cue {
    uint32_t serial; /* from 1 */
    int id;          /* of the completion */
    hf_pcset pcs;
    struct hf_voicing voicing;
    struct hf_manner manner; /* how it sounds */
    bool has_hold;           /* from this cue on other notes are held */
    hf_pcset hold_pcs;
    struct hf_voicing hold;
    int strings; /* of the instrument that the shapes are for; 0: no shapes */
    struct hf_shape shape, hold_shape;
    hf_pcset spelled_in; /* the set in which its notes are spelled; 0: its own */
    int step, steps;     /* of an unfolding, from 1; 0 in a cue itself: */
    int which, of;       /* places of its class in the chord, from 1 */
    bool has_drone;      /* from this cue on the support is another */
    struct hf_support drone;
    int64_t length; /* samples; 0: as the request has it */
    int64_t rest;   /* samples of rest after it */
};

/* What the practice ear needs beside. */
struct hf_schedule_ear {
    bool on;
    int level, lowest;
    int64_t stagger;            /* samples between notes that come one after another */
    bool held_free;             /* the held notes may take another voicing */
    struct hf_voicing sounding; /* what of them sounds now */
    int near_count;             /* 0: no near misses */
    struct hf_near_miss near[HF_NEAR_MISSES_MOST];
    struct hf_voicing near_last[HF_NEAR_MISSES_MOST];
    int near_order[HF_NEAR_MISSES_MOST]; /* of two rounds */
    int near_given;
    bool near_here[HF_COMPLETIONS_MOST + HF_NEAR_MISSES_MOST]; /* places of the round */
    int in_sequence;                                           /* completions given of the round */
};

/* The unfolding of the chord that the last cue made. */
struct hf_schedule_unfold {
    struct hf_unfold_ask ask;
    int steps;    /* after each cue, 0 without */
    int64_t step; /* samples */
    bool keep;    /* registers */
    struct hf_random random;
    uint32_t given; /* steps of all cues so far */

    const struct hf_setclass *classes[HF_UNFOLD_MOST]; /* of this chord, in their order */
    int place, count;
    hf_pcset chord;
    struct hf_voicing whole, from; /* the chord as it lies; what sounded last */
    int id;
};

/* What the practice sight needs beside. */
struct hf_schedule_sight {
    bool on;
    int round;     /* chords of a round */
    int64_t apart; /* samples between the halves */
    struct hf_fretboard board;
    struct hf_sight deck;
    struct hf_sight_chord next; /* drawn ahead */
    bool is_next;               /* it is there */
};

/* A cue whose shape is laid down beforehand: of a family of grips, or of a tour. */
struct hf_schedule_stop {
    struct hf_shape shape;
    int index; /* of the completion */
};

struct hf_schedule {
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count, left_out;
    enum hf_order order;
    enum hf_cue_way way;
    enum hf_register_way where;
    bool order_given;
    int own; /* index of the completion that a chord brought with it, -1 without */
    struct hf_voicing own_voicing;
    struct hf_voicing held;  /* what is held now */
    int held_low, held_high; /* its lowest and highest note */
    int legs;                /* of a path */
    struct hf_request_leg leg[HF_SETCLASS_FORMS];
    hf_pcset reversed[HF_SETCLASS_FORMS]; /* the 016s of four rounds, in their order */
    hf_pcset reversed_last;
    int low, high; /* of HF_REGISTER_RANGE */

    enum hf_voicing_way voicing;
    bool keys, holds;
    long span;            /* white keys */
    bool any_register;    /* the instrument's own */
    struct hf_hand *hand; /* NULL without */
    bool own_in_frets;    /* the chord's own half was given as frets: */
    struct hf_shape own_shape;
    struct hf_schedule_stop *stops;
    size_t stop_count;

    struct hf_warmup_step *steps;       /* of a warm-up, else NULL: a whole pass, */
    struct hf_warmup_step *short_steps; /* and the last, which may leave some out */
    int step_count, kind;

    int64_t breath_length; /* of all cues, where they breathe; else 0 */
    int rate_hz;
    int64_t lead_in, every; /* samples; `every` is 0 where the player ends each cue */

    bool fading;  /* support */
    int drone_db; /* of the cue given last */
    struct hf_schedule_ear ear;
    struct hf_schedule_unfold unfold;
    struct hf_schedule_sight sight;
    struct hf_random orders, voicings;
    bool chooses;                         /* the player says which comes next */
    uint32_t given, total;                /* total 0: the player says how many */
    uint32_t skipped;                     /* given, and counted no more, */
    uint32_t skipped_serials;             /* with the steps behind them */
    uint32_t visits[HF_COMPLETIONS_MOST]; /* times that each was given */
    int sequence[HF_COMPLETIONS_MOST];    /* this round's order, as indices */
    int64_t picked;                       /* in order weak: completions so far, */
    double weight[HF_COMPLETIONS_MOST];   /* their weights, */
    int64_t came[HF_COMPLETIONS_MOST];    /* and when each came last, from 0; -1 before */
    struct hf_voicing last[HF_COMPLETIONS_MOST];
    struct hf_voicing choices[HF_VOICINGS_MOST];
};

/* Prepares the cues of a resolved request. HF_E_USAGE: nothing completes the held set, the order
 * needs a ring that is not there, the register or the hand is too small for a completion, or not
 * one whole cue fits. HF_E_MEMORY. On failure nothing is left to deinit. */
enum hf_status hf_schedule_init(struct hf_schedule *schedule, const struct hf_request *request,
                                struct hf_diag *diag) HF_CHECKED;

/* A schedule without a hand and a warm-up owns nothing, and needs no deinit. */
void hf_schedule_deinit(struct hf_schedule *schedule);

/* Completions that a fixed grip leaves out. */
int hf_schedule_left_out(const struct hf_schedule *schedule);

/* Cues of a round. */
int hf_schedule_round(const struct hf_schedule *schedule);

/* Cues of the session; 0 where the player says how many. */
uint32_t hf_schedule_cues(const struct hf_schedule *schedule);

/* For a session that goes on after `before` cues that nobody knows any more and then these `count`:
 * gives them away, so that the next one is the first. False when they would be others, or the last:
 * then the schedule is of no use any more. */
bool hf_schedule_skip(struct hf_schedule *schedule, uint32_t before, const hf_pcset *given,
                      uint32_t count);

/* The same for cues that can't be chosen again: so many fewer, from the beginning. False when none
 * would be left. */
bool hf_schedule_shorten(struct hf_schedule *schedule, uint32_t count);

/* In ear: from the next cue on this is the level. For the first cue of a round. */
void hf_schedule_set_level(struct hf_schedule *schedule, int level);

/* What is held before the first cue (a path's or a chord's own, the request's, or in reverse the
 * first cue's). */
void hf_schedule_first_hold(const struct hf_schedule *schedule, hf_pcset *pcs,
                            struct hf_voicing *voicing);

/* The grip of the first hold, where the held notes are in the hand: true then. */
bool hf_schedule_first_grip(const struct hf_schedule *schedule, struct hf_shape *grip);

/* Samples from the start to the end of the last cue, when nobody touches it. */
int64_t hf_schedule_length(const struct hf_schedule *schedule);

/* Gives the next cue; false after the last, and where the player chooses. */
bool hf_schedule_next(struct hf_schedule *schedule, struct hf_cue *out);

/* Where the player chooses: gives a cue of this completion (its index), in a new voicing; a round
 * is the nth time that it is given. */
void hf_schedule_choose(struct hf_schedule *schedule, int index, struct hf_cue *out);

/* Where added notes may lie in a round (from 0), as MIDI numbers. */
void hf_schedule_register(const struct hf_schedule *schedule, uint32_t round, int *low, int *high);

#endif
