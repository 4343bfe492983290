/* SPDX-License-Identifier: MIT */
/*
 * session: what play, render and replay share: from options to an engine, the words for what is
 * played, and the loop that plays it. Main thread only; each struct belongs to its command.
 */
#ifndef HOLDFAST_CLI_SESSION_H
#define HOLDFAST_CLI_SESSION_H

#include <stdio.h>

#include <holdfast/cli.h>
#include <holdfast/conductor.h>
#include <holdfast/narrator.h>
#include <holdfast/midi_in.h>
#include <holdfast/performance.h>
#include <holdfast/replay.h>
#include <holdfast/store.h>
#include <holdfast/wholefile.h>

#include "display.h"
#include "keymap.h"
#include "takeaway.h"

struct saved;

/* What play, render and replay take beside the request. Codes run on from the request's keys. */
enum {
    CODE_OUTPUT_FILE = HF_OPTIONS + 1,
    CODE_JOURNAL,
    CODE_AS_WRITTEN,
    CODE_DRY_RUN,
    CODE_OUTPUT,
    CODE_LATENCY,
    CODE_RESULT,
    CODE_SPLIT,
    CODE_TO,
    CODE_SHARE,
    CODE_TELL,
    CODE_KEYS,
    CODE_ONE_PEDAL,
    CODE_RESUME,
    CODE_START,
    CODE_MIDI_IN,
    CODE_SALVAGE,
    CODE_SAVE,
    CODE_WHY,
    CODE_SPEAK,
    CODE_SPEAK_ONLY,
    CODE_SYNTH,
    CODE_STEMS,
    CODE_TRACKS,
    CODE_CAPTIONS,
    CODE_TIMES,
    CODE_STILLS,
    CODE_STILLS_AS,
    CODE_FORMATS,
    CODES
};

struct hf_speech;

/* What comes first: the player sets the level, or the session. */
enum session_start { START_UNSAID, START_CHECK, START_NOW };

struct session {
    struct hf_request request;
    struct hf_sight_chord *chords; /* --chords, which the request points to */
    const char *file;              /* -o */
    const char *journal;           /* --journal */
    const char *output;            /* --output */
    double latency_ms;             /* 0: the output's own */
    const char *keys_file;         /* --keys */
    struct keymap keys;            /* after session_keys */
    bool one_pedal;
    enum session_start start; /* --start */
    const char *midi_name;    /* --midi-in */
    struct hf_midi *midi;     /* NULL without; owned */
    bool dry_run, synth;
    struct takeaway takeaway;
    struct display display;
    const struct hf_setclass *result; /* --result, of --from */
    long split;                       /* --split, 0 without */
    struct hf_notes to;               /* --to, the end of a path */
    long share;                       /* --share, 0 without */
    const char *save;                 /* --save, NULL without */
    bool beside_held, beside_from;    /* --held, --from on the command line */
    const char *held_said;            /* the former's text */
    bool asked[CODES];                /* what else stands there, by its code, */
    bool asked_theme, asked_lines;    /* --theme; --plain or --json */
    struct saved *saved;              /* the saved session that it is, or NULL; owned */
    bool salvage;                     /* --salvage, of replay */
    bool resuming;                    /* --resume */
    struct resume *resume;            /* the session that it goes on with, or NULL; owned */
    bool tell;                        /* --tell, of hunt */
    bool why;                         /* --why, of play */

    struct hf_head head;
    struct hf_patch held_patch, added_patch;
    struct hf_schedule schedule;
    struct hf_conductor conductor;
    struct hf_speech *speech; /* NULL: nothing is spoken */
    struct hf_narrator narrator;
    struct hf_engine *engine;
    bool has_head, has_conductor;
};

/* Takes one option (for hf_cli_parse; self is a struct session). */
enum hf_status session_option(void *self, int code, const char *text,
                              struct hf_diag *diag) HF_CHECKED;

/* Finds the operands (practices, or sessions saved by name): argv[*first] to argv[argc - 1].
 * `*stop` as hf_cli_parse. */
enum hf_status session_operands(struct session *session, const struct hf_cli_command *command,
                                int argc, char **argv, int *first, bool *stop,
                                struct hf_diag *diag) HF_CHECKED;

/* Reads the options for one of them, NULL for none: those of a saved session, and over them those
 * of the command line. */
enum hf_status session_read_as(struct session *session, const struct hf_cli_command *command,
                               int argc, char **argv, const char *operand,
                               struct hf_diag *diag) HF_CHECKED;

/* Does the command line, looked at by session_operands, leave no room for this option of a saved
 * session? */
bool session_overrules(const struct session *session, int code);

/* Advises what to write where notes stand as operands: on their own, or behind --held, which takes
 * a list as one word. */
void session_suggest_held(const struct session *session, int count, char *const *words,
                          struct hf_diag *diag);

/* Refuses what would change nothing: of the command line of a session; and, of one that may write
 * files, in what is not written. HF_E_USAGE. */
enum hf_status session_check_idle(const struct session *session, struct hf_diag *diag) HF_CHECKED;
enum hf_status session_check_file_idle(const struct session *session,
                                       struct hf_diag *diag) HF_CHECKED;

/* Both, for a command that takes one operand at most. */
enum hf_status session_read(struct session *session, const struct hf_cli_command *command, int argc,
                            char **argv, bool *stop, struct hf_diag *diag) HF_CHECKED;

/* Resolves the request at `rate_hz` (0: as asked for, or the default) and checks that it can be
 * scheduled, before anything is opened. */
enum hf_status session_resolve(struct session *session, int rate_hz,
                               struct hf_diag *diag) HF_CHECKED;

/* Loads the patches, notes the head and starts the conductor. */
enum hf_status session_prepare(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Whether the session can speak, where it is asked to; takes a voice. */
enum hf_status session_check_speech(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Starts the conductor for the head's request, and what speaks with it. */
enum hf_status session_start_conductor(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Where the steps of the session come from, and who speaks in it. */
struct hf_source session_source(struct session *session);
struct hf_speaker session_speaker(const struct session *session);

/* Has what was said in a journal spoken again, as far as that goes; says on stderr where it
 * doesn't.
 */
void session_replay_speech(struct session *session, const struct hf_journal *journal,
                           struct hf_replay *replay);

/* Takes the patches from the texts of the head. HF_E_DATA when one is wrong. */
enum hf_status session_read_patches(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* The kind of patch that holds. */
enum hf_patch_kind session_held_kind(const struct hf_request *request);

/* What the engine is made of: the head's request and patches. */
struct hf_engine_setting session_sound(const struct session *session);

/* Makes the engine of it. */
enum hf_status session_engine(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Samples of the whole session when nobody touches it, the closing fade included. */
int64_t session_length(const struct session *session);

/* Prepares a resolved session and renders it to its file, or rehearses it when it is a dry run;
 * writes the journal if there is to be one, and says what was made. */
enum hf_status session_make(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Writes the sound file that the session names, and what is to be taken away beside it. The engine
 * is the head's, or is made here. Says what was written. */
enum hf_status session_bounce(struct session *session, const struct hf_journal *journal,
                              const struct hf_timeline *timeline, struct hf_replay *replay,
                              struct hf_diag *diag) HF_CHECKED;

/* Works out what the keys do: the program's own, changed by --keys and --one-pedal. */
enum hf_status session_keys(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* With cues that the player ends there are no times: lays the cues alone, in their order. Where the
 * player chooses them there are none. */
enum hf_status session_list_waited(struct session *session, struct hf_sink sink,
                                   struct hf_diag *diag) HF_CHECKED;

/* Reads a journal from its file; warns of a torn last line. */
enum hf_status session_read_journal(const char *path, struct hf_journal *journal,
                                    struct hf_diag *diag) HF_CHECKED;

/* Takes the head and the patches of a journal, at the rate and bits asked for now. The journal's
 * texts are the session's from then on. */
enum hf_status session_adopt(struct session *session, struct hf_journal *journal, int rate_hz,
                             struct hf_diag *diag) HF_CHECKED;

void session_deinit(struct session *session);

/* ---- words ----------------------------------------------------------------------------------- */

/* What was understood, in a few lines on stdout. */
void say_session(const struct session *session);
void say_held(const struct hf_record *hold);
void say_cautions(void);

/* That a sound file was written, and how long it is. */
void say_wrote(const char *file, int64_t frames, int rate_hz);

/* Samples as minutes and seconds, "1:05". Returns `text`. */
enum { CLOCK_TEXT = 24 };
char *say_clock(int64_t samples, int rate_hz, char text[CLOCK_TEXT]);

/* Cues that began. */
uint32_t say_cues_given(const struct hf_timeline *timeline);

/* A cue's notes: names alone ("C# D G"), or with octaves ("D4 G4 C#5"). Returns `text`. */
enum { NOTES_TEXT = 160 };
char *say_names(const struct hf_record *cue, char text[NOTES_TEXT]);
char *say_pitches(const struct hf_record *cue, char text[NOTES_TEXT]);

/* The class that a cue makes with the held set, where the cues differ in that; else "". */
const char *say_result(const struct hf_timeline_cue *cue, hf_pcset held, bool varied);

/* Where a record's notes lie on the instrument, "x-3-2-1-x-x", or "" without. Returns `text`. */
char *say_frets(const struct hf_record *record, char text[NOTES_TEXT]);

/* Whether completions make more than one class with the held set. */
bool say_several_results(const struct hf_schedule *schedule);

/* Whether the cues of a timeline make more than one class with the held set. */
bool say_varied(const struct hf_timeline *timeline, hf_pcset held);

/* The names of the notes a fourth or fifth apart in an 016. Returns `text`. */
char *say_perfect(const struct hf_record *cue, char text[NOTES_TEXT]);

/* The timeline as a table on stdout. */
void say_timeline(const struct hf_timeline *timeline, hf_pcset held, int rate_hz);

/* ---- playing --------------------------------------------------------------------------------- */

/* Plays a performance to the sound output until it is over, with the keys of the terminal if there
 * is one. `conductor` is NULL in a replay. HF_E_LOST when the output went away. `signal_number` is
 * set to the signal that ended it, else 0. */
struct hf_live;
struct live_stage;
struct live_loop {
    struct hf_live *live;
    struct live_stage *stage; /* may run already, for what came before */
    struct hf_performance *performance;
    struct hf_conductor *conductor;
    struct hf_narrator *narrator; /* NULL: nothing is spoken */
    const struct hf_timeline *timeline;
    const struct hf_request *request;
    hf_pcset held;
    const struct hf_journal *journal; /* of a replay: its records, shown as they come */
    uint32_t total;                   /* cues of the session */
    uint32_t per_round;               /* cues of a round; 0: not known */
    bool varied; /* cues make more than one class with the held set: each says which */
    bool tell;   /* hunt: another class is told by its name */
    const struct display *display;
    int rate_hz;       /* of the sound */
    int timeline_hz;   /* of the timeline's times; in a replay they are as recorded */
    double latency_ms; /* wished for, 0: the output's own */
    struct keymap keys;
    bool one_pedal;
    struct hf_midi *midi; /* NULL without */
    int signal_number;
};
/* Stops or abandons the output in every case. */
enum hf_status live_loop_run(struct live_loop *loop, struct hf_diag *diag) HF_CHECKED;

#endif
