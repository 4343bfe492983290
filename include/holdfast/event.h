/* SPDX-License-Identifier: MIT */
/*
 * event: what the conductor asks of the sound and what the sound reports back, as plain data that
 * both sides know. It names notes and times, never a sound card, a file or a clock.
 *
 * Times are samples at the session's rate. There are three clocks:
 *   plan     where the cues are laid; it stands still in a stay and leaps at a next
 *   session  runs while anything sounds; it stands still in a pause
 *   output   counts every sample that leaves the program
 */
#ifndef HOLDFAST_EVENT_H
#define HOLDFAST_EVENT_H

#include <stdbool.h>
#include <stdint.h>

/* Commands of a player take effect at multiples of this many session samples. */
#define HF_GRID 64

#define HF_EVENT_NOTES 12

/* One held set gives way to another in this time, in seconds, and so many held notes can sound,
 * come and go at once: who changes the set faster would have to wait. */
#define HF_HOLD_CHANGE_S 3.0
#define HF_HOLD_PLACES (2 * HF_EVENT_NOTES)

/* A plan time that is never reached of itself: no sound (silent), or the player decides (wait). */
#define HF_NEVER INT64_MAX

/* The volume, in dB: at 0 a held set has the loudness that it is made for, and nothing is louder.
 */
enum { HF_VOLUME_LOW = -40, HF_VOLUME_HIGH = 0 };

/* The `at` of a command that is to take effect at the next multiple of HF_GRID. */
#define HF_AT_ONCE INT64_C(-1)

enum hf_event_kind {
    /* laid on the plan */
    HF_EVENT_HOLD,   /* from `at` these notes are held, in place of any before */
    HF_EVENT_CUE,    /* begins at `at`, its notes sound at `hear` and are damped at `end` */
    HF_EVENT_DRONE,  /* from `at` the held notes move to `db` in `fade` samples; with an `after`
                        above 0 they fall silent so many samples later, in as many again */
    HF_EVENT_TICK,   /* a beat at `at`; a leap over it drops it */
    HF_EVENT_SPEAK,  /* the words about cue `cue` begin at `at` (see prompter) */
    HF_EVENT_FINISH, /* at `at` the session ends, with a fade of `fade` samples */
    /* commands; `at` is a session time or HF_AT_ONCE */
    HF_EVENT_STAY,
    HF_EVENT_GO,
    HF_EVENT_PAUSE,
    HF_EVENT_RESUME, /* after `after` output samples of silence, or HF_AT_ONCE */
    HF_EVENT_NEXT,
    HF_EVENT_AGAIN,  /* `notes` sound anew if cue `cue` is still the running one */
    HF_EVENT_REVEAL, /* what the running cue has still to say is said now */
    HF_EVENT_VOLUME, /* from now on the volume is `db` */
    HF_EVENT_SAY,    /* words; at HF_AT_ONCE when nothing else is being said */
    HF_EVENT_END     /* the session ends, with a fade of `fade` samples */
};

/* How the notes of a CUE, or of an AGAIN for it, come. All zeros: close after one another, low to
 * high, as a hand strokes them. */
struct hf_manner {
    bool staggered;  /* `stagger` counts: */
    int64_t stagger; /* samples from one note to the next, 0 for all at once */
    uint8_t first;   /* above 0: the first so many notes of the first half of the list, then the
                        rest of that half, then the second half, each part damping the one before, */
    int64_t apart;   /* so many samples apart */
    int under_db;    /* below 0: from the first note to the end of the cue the held notes are so
                        much softer */
    bool rests;      /* CUE: the held notes are silent from `at` until `tell` or a reveal */
};

struct hf_event {
    enum hf_event_kind kind;
    bool more;   /* CUE: another cue or a FINISH will follow; wait for it rather than run past it */
    bool accent; /* TICK */
    uint8_t count;                   /* of notes */
    uint8_t notes[HF_EVENT_NOTES];   /* MIDI numbers, ascending */
    uint16_t voices[HF_EVENT_NOTES]; /* the engine's own; the sender leaves it alone */
    uint32_t cue;                    /* serial number of the cue, from 1 */
    int why;        /* END, PAUSE: the sender's reason, which the report gives back; else 0 */
    int db;         /* VOLUME: HF_VOLUME_LOW to HF_VOLUME_HIGH; DRONE: 0 to HF_DRONE_NONE_DB */
    bool told;      /* SPEAK: what a reveal brings about */
    bool asks;      /* SPEAK, SAY: void once its cue is told, or begins before it */
    bool waits;     /* SAY with a time and a cue: not while anything is being said */
    uint32_t words; /* SPEAK, SAY: the number of the utterance, 0 for none */
    int64_t length; /* SPEAK, SAY: samples that it takes */
    int64_t at, hear, end;
    int64_t tell; /* of a cue that rests */
    int64_t fade, after;
    struct hf_manner manner;
    double beat;   /* CUE: samples between the ticks while it runs, from its `at` on; 0: none */
    uint8_t meter; /* every so many of them, from the first on, has an accent; 0: none has */
};

enum hf_report_kind {
    HF_REPORT_BEGAN, /* cue `cue` began at `at` */
    HF_REPORT_HEARD, /* its notes began to sound at `at` */
    HF_REPORT_STAY,
    HF_REPORT_GO,     /* `shift`: how far the later plan moved */
    HF_REPORT_PAUSE,  /* the fade began at `at` */
    HF_REPORT_RESUME, /* at `at`, after `after` output samples of silence */
    HF_REPORT_NEXT,   /* `shift` as for go, zero or negative */
    HF_REPORT_AGAIN,
    HF_REPORT_REVEAL,
    HF_REPORT_WANTS,  /* the running cue is nearly over, and what follows is not known yet */
    HF_REPORT_VOLUME, /* it is `db` from `at` on */
    HF_REPORT_SPOKE,  /* utterance `words` about cue `cue` (0: about none) began at `at` */
    HF_REPORT_END,    /* the end began at `at`; its fade is `after` samples */
    HF_REPORT_VOID,   /* a command of kind `command` came too late or too early and did nothing */
    HF_REPORT_ANSWER  /* a command of kind `command` that came AT_ONCE has been dealt with */
};

struct hf_report {
    enum hf_report_kind kind;
    enum hf_event_kind command;
    uint32_t cue;
    int why;
    int db;
    uint32_t words;
    int64_t at, shift, after;
};

#endif
