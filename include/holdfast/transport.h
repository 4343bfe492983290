/* SPDX-License-Identifier: MIT */
/*
 * transport: the clockwork of a session. It holds the cues that lie ahead and the player's
 * commands, and says, chunk of HF_GRID samples by chunk, what happens at which sample. It makes no
 * sound: the engine turns its actions into samples; a rehearsal without sound drives it alone.
 *
 * The caller owns the memory (start with hf_transport_init). Real-time safe throughout: no
 * allocation, no lock, bounded work a chunk. One thread at a time.
 *
 * The rules, at the first sample P of a chunk: what the plan has at or before P happens; then the
 * commands that are due; then what they brought to P. A `next` waits until the following cue is
 * known. If the plan runs out of known cues before its end (the disk was slow), the transport stays
 * by itself and goes on by itself, and reports both, so that the record stays exact.
 */
#ifndef HOLDFAST_TRANSPORT_H
#define HOLDFAST_TRANSPORT_H

#include <holdfast/event.h>
#include <holdfast/prompter.h>

enum {
    HF_TRANSPORT_PLAN = 32,     /* most events laid ahead */
    HF_TRANSPORT_COMMANDS = 32, /* most commands waiting, of each sort */
    HF_TRANSPORT_REPORTS = 64,  /* most reports of one chunk */
    HF_TRANSPORT_ACTIONS = 80   /* most actions of one chunk */
};

enum hf_action_kind {
    HF_ACTION_HOLD,   /* hold the event's notes in place of those before */
    HF_ACTION_SOUND,  /* start the event's notes */
    HF_ACTION_AGAIN,  /* damp what was added and start the event's notes */
    HF_ACTION_DAMP,   /* damp what was added */
    HF_ACTION_REST,   /* silence the held notes */
    HF_ACTION_RETURN, /* and let them be heard again */
    HF_ACTION_DRONE,  /* the held notes move to another level */
    HF_ACTION_TICK,   /* a beat */
    HF_ACTION_VOLUME,
    HF_ACTION_SPEAK, /* say the event's words, in place of what is being said */
    HF_ACTION_HUSH,  /* break off what is being said */
    HF_ACTION_DROP   /* the event's voices are not needed */
};

struct hf_action {
    enum hf_action_kind kind;
    int offset; /* sample in the chunk, 0 to HF_GRID - 1 */
    struct hf_event event;
};

struct hf_queue {
    int first, count;
    struct hf_event items[HF_TRANSPORT_PLAN > HF_TRANSPORT_COMMANDS ? HF_TRANSPORT_PLAN
                                                                    : HF_TRANSPORT_COMMANDS];
};

struct hf_transport {
    int64_t now;        /* session samples done; first sample of the next chunk */
    int64_t offset;     /* session time - plan time */
    int64_t pause_fade; /* samples */

    struct hf_queue plan;  /* HOLD, CUE and TICK, ascending */
    struct hf_queue timed; /* commands with a session time, ascending */
    struct hf_queue once;  /* commands for the next chunk, one a chunk */
    struct hf_prompter prompter;

    bool running;   /* `cue` is the running one */
    bool ticks;     /* with beats still to come: */
    uint32_t beats; /* so many have been heard */
    bool sounded;   /* its notes have been started, or won't be */
    bool rests;     /* the held notes are silent until it is told */
    bool wanted;    /* what follows it was asked for */
    bool follows;   /* the last cue taken said that more will follow */
    struct hf_event cue;

    bool finish_known;
    int64_t finish_at, finish_fade; /* plan time; samples */

    bool staying, waiting; /* `waiting`: a stay that the transport made itself */
    int64_t stay_at;

    bool stopped;    /* a pause has faded out */
    bool by_hand;    /* the pause came AT_ONCE: what a record says about it does not hold */
    int64_t silence; /* output samples of silence in this pause */
    int64_t out_at;  /* fade out began here, or HF_NEVER */
    int64_t in_at;   /* fade in began here, or HF_NEVER */

    bool end_asked;
    struct hf_event end_command;
    int64_t end_at, end_fade; /* HF_NEVER until the end began */
    bool cut;                 /* ended inside a pause: nothing more sounds */

    int report_count, action_count;
    struct hf_report reports[HF_TRANSPORT_REPORTS];
    struct hf_action actions[HF_TRANSPORT_ACTIONS];
};

/* Starts at session sample 0 with nothing planned. `rate` gives the length of the pause's fade:
 * 300 ms rounded up to a multiple of HF_GRID. */
void hf_transport_init(struct hf_transport *transport, int rate);

/* The samples of the pause's fade at a rate. */
int64_t hf_transport_pause_fade(int rate);

/* Takes an event; false when its queue is full (offer it again after the next chunk). */
bool hf_transport_take(struct hf_transport *transport, const struct hf_event *event);

/* Works out the next chunk: fills `actions` and `reports` and moves the clocks. Returns false when
 * the chunk is one of silence in a pause (the session clock stood still). */
bool hf_transport_chunk(struct hf_transport *transport);

/* True once the end and its fade are over: nothing follows. */
bool hf_transport_done(const struct hf_transport *transport);

#endif
