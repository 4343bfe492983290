/* SPDX-License-Identifier: MIT */
/*
 * request: what the player asked for: every option of a session, checked, with its default in one
 * place. A request is read from options, from the head of a journal or from any list of keys and
 * texts, always by the same function.
 *
 * The caller owns the request; it has no pointers of its own to free. Pure; any thread may call it.
 */
#ifndef HOLDFAST_REQUEST_H
#define HOLDFAST_REQUEST_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/fretboard.h>
#include <holdfast/notes.h>
#include <holdfast/setclass.h>
#include <holdfast/sight.h>
#include <holdfast/spelling.h>
#include <holdfast/status.h>
#include <holdfast/unfold.h>
#include <holdfast/voicing.h>

/* The keys, named as the long options are; with the default text ("" where it depends on the rest).
 * name, key, default */
#define HF_REQUEST_LIST(X)                                                                         \
    X(HF_OPT_PRACTICE, "practice", "improvise")                                                    \
    X(HF_OPT_HELD, "held", "")                                                                     \
    X(HF_OPT_FROM, "from", "")                                                                     \
    X(HF_OPT_ADDED, "added", "3-5")                                                                \
    X(HF_OPT_CUE, "cue", "confirm")                                                                \
    X(HF_OPT_ORDER, "order", "shuffle")                                                            \
    X(HF_OPT_ROUNDS, "rounds", "")                                                                 \
    X(HF_OPT_FOR, "for", "")                                                                       \
    X(HF_OPT_EVERY, "every", "25s")                                                                \
    X(HF_OPT_TEMPO, "tempo", "")                                                                   \
    X(HF_OPT_LEAD_IN, "lead-in", "10s")                                                            \
    X(HF_OPT_REGISTER, "register", "above")                                                        \
    X(HF_OPT_KIND, "kind", "")                                                                     \
    X(HF_OPT_DAY, "day", "")                                                                       \
    X(HF_OPT_VOICING, "voicing", "any")                                                            \
    X(HF_OPT_HAND, "hand", "")                                                                     \
    X(HF_OPT_HOLD, "hold", "")                                                                     \
    X(HF_OPT_GRIP, "grip", "")                                                                     \
    X(HF_OPT_REACH, "reach", "")                                                                   \
    X(HF_OPT_LEAP, "leap", "")                                                                     \
    X(HF_OPT_SPAN, "span", "")                                                                     \
    X(HF_OPT_SUPPORT, "support", "full")                                                           \
    X(HF_OPT_UNFOLD, "unfold", "")                                                                 \
    X(HF_OPT_STEP, "step", "8s")                                                                   \
    X(HF_OPT_KEEP_REGISTERS, "keep-registers", "")                                                 \
    X(HF_OPT_DRONE, "drone", "sustained")                                                          \
    X(HF_OPT_RESTRIKE, "restrike", "8s")                                                           \
    X(HF_OPT_SPREAD, "spread", "close")                                                            \
    X(HF_OPT_TICK, "tick", "off")                                                                  \
    X(HF_OPT_METER, "meter", "4")                                                                  \
    X(HF_OPT_BREAK_EVERY, "break-every", "25m")                                                    \
    X(HF_OPT_ROOM, "room", "0")                                                                    \
    X(HF_OPT_PATCH, "patch", "stopped-pipe")                                                       \
    X(HF_OPT_CUE_PATCH, "cue-patch", "plucked-nylon")                                              \
    X(HF_OPT_LEVEL, "level", "")                                                                   \
    X(HF_OPT_NEAR_MISS, "near-miss", "")                                                           \
    X(HF_OPT_VIEW, "view", "")                                                                     \
    X(HF_OPT_CHORDS, "chords", "")                                                                 \
    X(HF_OPT_BREATHE, "breathe", "")                                                               \
    X(HF_OPT_A4, "a4", "440")                                                                      \
    X(HF_OPT_TUNING, "tuning", "equal")                                                            \
    X(HF_OPT_VOLUME, "volume", "0")                                                                \
    X(HF_OPT_NAMES, "names", "")                                                                   \
    X(HF_OPT_SPEAK, "speak", "")                                                                   \
    X(HF_OPT_VOICE, "voice", "")                                                                   \
    X(HF_OPT_SEED, "seed", "")                                                                     \
    X(HF_OPT_RATE, "rate", "")                                                                     \
    X(HF_OPT_BITS, "bits", "24")                                                                   \
    X(HF_OPT_LABEL, "label", "")

enum hf_option {
#define HF_REQUEST_NAME(name, key, text) name,
    HF_REQUEST_LIST(HF_REQUEST_NAME)
#undef HF_REQUEST_NAME
        HF_OPTIONS
};

enum { HF_REQUEST_TEXT = 512, HF_RATE_LOW = 8000, HF_RATE_HIGH = 192000, HF_RATE_DEFAULT = 48000 };

/* The longest session that is planned or replayed: a week. No practice is longer, and a slip
 * (--rounds 10000 --every 1h) or a journal made up to do harm can't sound, or fill a disk, for
 * months: at 48 kHz and 24 bits a week is 174 GB. */
enum { HF_SESSION_MOST_DAYS = 7, HF_SESSION_MOST_S = HF_SESSION_MOST_DAYS * 24 * 3600 };

/* What an option can name. Those that are not built yet are refused with a word. */
enum hf_practice {
    HF_PRACTICE_IMPROVISE,
    HF_PRACTICE_ROAM,
    HF_PRACTICE_HUNT,
    HF_PRACTICE_EAR,
    HF_PRACTICE_SIGHT,
    HF_PRACTICE_WARMUP
};
enum hf_cue_way {
    HF_CUE_LEAD,
    HF_CUE_CONFIRM,
    HF_CUE_SILENT,
    HF_CUE_EAR,
    HF_CUE_GAP,
    HF_CUE_REVERSE,
    HF_CUE_CHORD /* of sight: a chord in view, later told and sounded; not asked for by name */
};
enum hf_order {
    HF_ORDER_SHUFFLE,
    HF_ORDER_RING,
    HF_ORDER_LISTED,
    HF_ORDER_NEAR,
    HF_ORDER_FAR,
    HF_ORDER_GRIP,
    HF_ORDER_TOUR,
    HF_ORDER_WEAK,
    HF_ORDER_PATH /* from a chord to another: not asked for by name */
};

/* How much a completion asks for practice, in order weak. */
struct hf_request_weight {
    hf_pcset pcs;
    double weight; /* over 0 */
};

/* One hexachord of a path: what of it is held, what is added. */
struct hf_request_leg {
    hf_pcset held, added;
};
enum hf_drone_way { HF_DRONE_SUSTAINED, HF_DRONE_STRUCK, HF_DRONE_OFF };
enum hf_tuning { HF_TUNING_EQUAL, HF_TUNING_PURE };
enum hf_voicing_way { HF_VOICING_ANY, HF_VOICING_CLOSE, HF_VOICING_OPEN, HF_VOICING_WIDENING };
enum hf_spread { HF_SPREAD_CLOSE, HF_SPREAD_WIDE };
enum hf_speak { HF_SPEAK_OFF, HF_SPEAK_NAMES, HF_SPEAK_ALL };
enum hf_register_way {
    HF_REGISTER_ABOVE,
    HF_REGISTER_THROUGH,
    HF_REGISTER_BELOW,
    HF_REGISTER_ALL,
    HF_REGISTER_RANGE
};

/* A length of time: seconds, or beats of the request's tempo, or as long as the player likes. */
struct hf_span {
    bool wait;
    bool in_beats;
    double amount;
};

struct hf_request {
    char text[HF_OPTIONS][HF_REQUEST_TEXT]; /* each option as it would be typed */
    bool given[HF_OPTIONS];                 /* asked for, not a default */

    enum hf_practice practice;
    struct hf_notes held;  /* with octaves once resolved */
    struct hf_notes from;  /* a chord from a score, not yet split */
    bool has_own;          /* it was split: its own completion comes first, */
    struct hf_voicing own; /* in its own voicing */
    struct hf_notes own_notes;
    int legs; /* of a path that begins with the chord; 0 without one */
    struct hf_request_leg leg[HF_SETCLASS_FORMS];
    int weights; /* of order weak, by the journals; 0: all alike */
    struct hf_request_weight weight[HF_SETCLASS_FORMS];
    const struct hf_setclass *added;
    enum hf_cue_way cue;
    enum hf_order order;
    long rounds;             /* 0: as many as `for_span` has room for */
    struct hf_span for_span; /* amount 0: no limit */
    struct hf_span every;
    struct hf_span longest, shortest; /* of a cue that breathes; amount 0: it does not */
    double tempo_bpm;                 /* 0: none given */
    struct hf_span lead_in;
    enum hf_register_way where;
    int low, high; /* MIDI, of HF_REGISTER_RANGE */
    enum hf_voicing_way voicing;
    bool held_free;            /* the held set came without octaves */
    bool keys;                 /* the hand is at a keyboard, */
    long span;                 /* with so many white keys */
    bool has_board;            /* it is on this instrument: */
    struct hf_fretboard board; /* put there by hf_request_take_board */
    bool holds, grip_fixed;    /* the held notes are in the hand, and stay so */
    double reach_mm, leap_mm;  /* 0: the instrument's own; any */
    long kind;                 /* of completions that a warm-up takes; 0: by the day or the seed */
    long day;                  /* days since 1970-01-01, whose turn of kinds it is; -1: none */
    int level;                 /* of ear, 1 to HF_LEVELS; 0: the lowest that there is */
    bool level_fixed;          /* it stays */
    bool in_frames;            /* sight shows frames, not letters */
    const struct hf_sight_chord *chords; /* from the file of `chords`, or NULL; not ours */
    size_t chord_count;
    bool near_miss;              /* half of what sounds in ear is none of the completions */
    struct hf_unfold_ask unfold; /* size 0: nothing is unfolded */
    struct hf_span step;         /* length of each of its steps */
    bool keep_registers;         /* its notes sound where the chord has them */
    bool tick;                   /* a beat is heard while a cue runs */
    bool fading;                 /* support: the held notes let go of the player over the session */
    enum hf_drone_way drone;
    struct hf_span restrike;
    enum hf_spread spread;      /* of a held set without octaves */
    long meter;                 /* beats of count-in before the first cue, when cues are in beats */
    struct hf_span break_every; /* sound after which a break is suggested; amount 0: never */
    double room_db;
    enum hf_tuning tuning;
    double a4_hz;
    double volume_db;
    enum hf_names names; /* how notes are named, in the journal too */
    enum hf_speak speak; /* nothing, names, or all that is to be known */
    uint64_t seed;
    int rate_hz;     /* 0 until chosen */
    int bits;        /* 16, 24 or 32, which is float */
    bool as_written; /* octaves of `held` are guitar notation; set it before the key */
};

/* A request with every default in place, nothing given. */
void hf_request_init(struct hf_request *request);

/* The name of a key, as the long option has it. */
const char *hf_option_name(enum hf_option key);

/* Is it the name of a practice, be it built yet or not? */
bool hf_request_is_practice(const char *name);

/* Sets an option from its text. HF_E_USAGE: the message names the option and what would be right;
 * the request is as before. */
enum hf_status hf_request_set(struct hf_request *request, enum hf_option key, const char *text,
                              struct hf_diag *diag) HF_CHECKED;

/* Takes the instrument that `hand` names (its reach by `reach` where that was given). */
void hf_request_take_board(struct hf_request *request, const struct hf_fretboard *board);

/* Takes the halves of `from`: `held` is held in exactly its voicing there, `added` (one pitch class
 * each) comes first, in its own. HF_E_USAGE when a half is empty or repeats a pitch class. */
enum hf_status hf_request_split(struct hf_request *request, const struct hf_notes *held,
                                const struct hf_notes *added, struct hf_diag *diag) HF_CHECKED;

/* Fills in what depends on the rest: the held set (one of the four augmented triads by the seed),
 * its octaves, rounds, rate, and checks what must fit together. Needs `seed` and may be called
 * again after the rate is known. HF_E_USAGE. */
enum hf_status hf_request_resolve(struct hf_request *request, struct hf_diag *diag) HF_CHECKED;

/* Refuses an option that would change nothing beside the others, of those that a player `asked` for
 * just now. For a request that is not resolved yet. HF_E_USAGE: the message says why, the advice
 * what to do. */
enum hf_status hf_request_check_idle(const struct hf_request *request, const bool asked[HF_OPTIONS],
                                     struct hf_diag *diag) HF_CHECKED;

/* True for the practices in which the player begins each cue: roam and hunt. */
bool hf_request_chooses(const struct hf_request *request);

/* A length in samples at the request's rate and tempo, nearest, at least 0. Not for a wait. */
int64_t hf_request_samples(const struct hf_request *request, struct hf_span span);

/* Samples between the ticks while a cue runs, at a rate, and 0 where there are none. */
double hf_request_beat(const struct hf_request *request, int rate_hz);

/* Concert pitch in whole millihertz, as the engine takes it. */
int64_t hf_request_a4_mhz(const struct hf_request *request);

#endif
