/* SPDX-License-Identifier: MIT */
/*
 * scene: what there is to see of a session at one moment: what to do now, which notes, how long it
 * lasts. It is a function of the timeline and the sample that is heard; the plain lines (show), the
 * screen (grid) and the stream of events all draw the same scene.
 *
 * Values of the caller's; texts are copied in, records are pointed to in the timeline. Pure. Main
 * thread only.
 */
#ifndef HOLDFAST_CLI_SCENE_H
#define HOLDFAST_CLI_SCENE_H

#include <holdfast/timeline.h>

/* What a scene is made from. Set by hand, the rest zeros. */
struct scene_source {
    const struct hf_timeline *timeline;
    const struct hf_request *request; /* whose practice it is; NULL: improvise */
    int rate_hz;                      /* of the timeline's samples */
    hf_pcset held;
    bool varied;        /* each cue says which class it makes */
    uint32_t total;     /* cues of the whole session */
    uint32_t per_round; /* cues of a round; 0: rounds are not told */
    bool preview;       /* the cue after this one is told too */
    bool replay;        /* nobody is asked to do anything */
    unsigned picked;    /* sight: notes of the running chord that were picked, a bit each */
    const char *typed;  /* hunt: what is being typed, or NULL */
    double break_s;     /* how long the break has lasted, by the clock on the wall; 0: not known */
    const char *remark; /* said a moment ago; NULL for nothing */
    bool has_level;
    double level_db; /* of what is heard, its peak under full scale */
};

enum { SCENE_WORD = 24, SCENE_NAMES = 160, SCENE_TEXT = 320, SCENE_ITEMS = 24 };

/* Where the session is. */
enum scene_state {
    SCENE_LEAD_IN, /* the held notes alone, before the first cue */
    SCENE_CUE,
    SCENE_STAY,
    SCENE_PAUSE,
    SCENE_REST, /* a break */
    SCENE_END   /* the closing fade */
};

/* How an entry of the list stands. A display shows it by a sign or a word too, not by colour alone.
 */
enum scene_mark {
    SCENE_PLAIN,
    SCENE_HIDDEN, /* not known yet: its place is shown, its notes are not */
    SCENE_NOW,    /* the one that sounds, or was chosen */
    SCENE_RIGHT,
    SCENE_WRONG
};

/* One of a list: the six in roam, those found in hunt, the possible answers in ear and sight. */
struct scene_item {
    char key; /* that picks it, as '1'; 0 for none */
    char names[SCENE_NAMES];
    enum scene_mark mark;
};

struct scene {
    enum hf_practice practice;
    enum scene_state state;

    /* In large letters. */
    char large[SCENE_NAMES]; /* names of notes parted by single spaces, "?" for one that is asked
                                for, or a class, "014"; "" for nothing */
    char word[SCENE_WORD];   /* what to do now, lower case: find, listen, play, rest */
    char held[SCENE_NAMES];  /* names of what is held */

    /* In small ones; each may be "". */
    char todo[SCENE_TEXT];  /* the whole of it in a line of words, notes included */
    char under[SCENE_TEXT]; /* more about the large text: pitches, the question, the class */
    char hint[SCENE_TEXT];  /* the key that goes on, "Enter: next cue" */
    char next[SCENE_NAMES]; /* names of the next cue, with --preview */
    char remark[SCENE_TEXT];

    /* Time. */
    bool has_bar;  /* something ends of itself */
    bool stands;   /* but not now: a stay, a pause */
    double left;   /* of the bar, 1 to 0 */
    double change; /* where on the bar the cue's next change comes (sound, name), 0 for none */
    char what[SCENE_WORD];  /* what comes next, "sound in" */
    int64_t in;             /* samples until then; HF_NEVER where the player decides */
    int rate_hz;            /* of these samples */
    int64_t now;            /* samples of the session */
    uint32_t cue, cues;     /* the running one from 1, 0 before; of so many */
    uint32_t round, rounds; /* 0: not told */

    bool has_level;
    double level_db;

    /* Notes that may be shown, for a staff and a frame. NULL: none now. */
    const struct hf_record *holding;
    const struct hf_record *adding;

    /* A shape whose notes are not told apart yet, in place of those of the two; 0 strings: none. */
    int strings;
    int8_t frets[HF_STRINGS_MOST];

    int count; /* of the list; 0 for no list */
    struct scene_item items[SCENE_ITEMS];
};

/* Works out the scene at `now`. Nothing that a cue still hides is in it. */
void scene_at(const struct scene_source *source, int64_t now, struct scene *out);

/* ---- for the practices ----------------------------------------------------------------------- */

/* A practice that shows more than cues, or other words, has a function of its own that is called
 * last, with the scene as improvise would have it (table in scene.c). It may change everything. */
typedef void scene_practice(const struct scene_source *source, int64_t now, struct scene *scene);

scene_practice scene_roam, scene_hunt; /* scene_choose.c */
scene_practice scene_ear, scene_sight; /* quiz.c, quiz_sight.c */

/* The cue that began last at `now`, by index, -1 for none. */
long scene_cue(const struct hf_timeline *timeline, int64_t now);

/* Adds an entry to the list, where there is room. */
void scene_add(struct scene *scene, char key, const char *names, enum scene_mark mark);

#endif
