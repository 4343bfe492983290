/* SPDX-License-Identifier: MIT */
/*
 * cli: what the commands of the program share: tables of options from which the parser and the help
 * are made, messages, and where files are looked for. Only code in src/cli includes this.
 *
 * This room alone prints, reads the environment and the clock, and decides the exit status. Main
 * thread only.
 */
#ifndef HOLDFAST_CLI_H
#define HOLDFAST_CLI_H

#include <stdbool.h>
#include <stddef.h>

#include <holdfast/fretboard.h>
#include <holdfast/patch.h>
#include <holdfast/status.h>

/* One option. Its description stands nowhere else. */
struct hf_cli_option {
    const char *name;     /* long name; NULL ends a table */
    int letter;           /* short name, 0 for none */
    const char *argument; /* what it takes, in capitals; NULL for nothing */
    const char *help;     /* is laid out to the width; a newline stays only before a space */
    int code;             /* the caller's, 1 or more */
};

struct hf_cli_command {
    const char *name;
    const char *usage;                          /* operands and options: "NOTES [options]" */
    const char *summary;                        /* half a line */
    const struct hf_cli_option *const *options; /* tables, ended by NULL */
    const char *notes; /* what the help says after the options, laid out as those; may be NULL */
    int (*run)(const struct hf_cli_command *command, int argc, char **argv);
};

/* The commands, in the order of the help, ended by a NULL name. */
extern const struct hf_cli_command hf_cli_commands[];

int hf_cli_play(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_render(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_replay(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_sheet(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_complete(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_inspect(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_pairings(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_shapes(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_review(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_patches(const struct hf_cli_command *command, int argc, char **argv);
int hf_cli_outputs(const struct hf_cli_command *command, int argc, char **argv);

/* The option tables of the commands, each beside its command; and what every command takes. */
extern const struct hf_cli_option hf_cli_common_options[];
extern const struct hf_cli_option hf_cli_session_options[]; /* what is played: hf_request's keys */
extern const struct hf_cli_option hf_cli_record_options[];  /* where its record goes */
extern const struct hf_cli_option hf_cli_play_options[];
extern const struct hf_cli_option hf_cli_output_options[];
extern const struct hf_cli_option hf_cli_hands_options[];
extern const struct hf_cli_option hf_cli_resume_options[];
extern const struct hf_cli_option hf_cli_save_options[]; /* of play alone, not of replay */
extern const struct hf_cli_option hf_cli_render_options[];
extern const struct hf_cli_option hf_cli_takeaway_options[]; /* of render and replay */
extern const struct hf_cli_option hf_cli_replay_options[];
extern const struct hf_cli_option hf_cli_sheet_options[];
extern const struct hf_cli_option hf_cli_complete_options[];
extern const struct hf_cli_option hf_cli_inspect_options[];
extern const struct hf_cli_option hf_cli_pairings_options[];
extern const struct hf_cli_option hf_cli_shapes_options[];
extern const struct hf_cli_option hf_cli_review_options[];
extern const struct hf_cli_option hf_cli_patches_options[];
extern const struct hf_cli_option hf_cli_outputs_options[];

/* Reads the options of a command line (argv[0] is the command's name), each through `take`, in any
 * order among the operands, up to `--`. Operands are moved to argv[*first] and on. Prints the help
 * or the version itself when asked: then `*stop` is true and there is nothing left to do.
 * HF_E_USAGE for an unknown option or one without its argument; else the status of `take`. */
enum hf_status hf_cli_parse(const struct hf_cli_command *command, int argc, char **argv,
                            enum hf_status (*take)(void *self, int code, const char *text,
                                                   struct hf_diag *diag),
                            void *self, int *first, bool *stop, struct hf_diag *diag) HF_CHECKED;

/* Operands argv[first] .. argv[argc - 1] joined by spaces into `out`. HF_E_USAGE when too long. */
enum hf_status hf_cli_join(int argc, char **argv, int first, char *out, size_t size,
                           struct hf_diag *diag) HF_CHECKED;

/* The name that the program was called by: `build/holdfast` from there, `holdfast` from the path.
 * For commands that are printed to be pasted. */
const char *hf_cli_called(void);
void hf_cli_set_called(const char *argument_0);

/* Prints `holdfast: message` and the advice on stderr; returns the exit status. */
int hf_cli_fail(enum hf_status status, const struct hf_diag *diag);

/* Prints a warning, `holdfast: ` before it, on stderr. */
void hf_cli_warn(const char *format, ...) HF_PRINTF(1, 2);

/* Prints a file's name on stdout as a shell would take it, so that a line with it can be copied;
 * what could upset the terminal is shown as ?. */
void hf_cli_print_file(const char *name);

/* Stands in for stdin, stdout and stderr where the program was started without them, before
 * anything is opened: else a journal could get the number of stdout, and what is printed would go
 * into it. False when that can't be done. */
bool hf_cli_keep_standard(void);

/* Prints name and version, and what may be in a build or not. */
void hf_cli_print_version(void);

/* A monotonic clock, in seconds. */
double hf_cli_seconds(void);

/* Flushes stdout; the exit status is 74 when what was printed could not be written. */
int hf_cli_finish(void);

/* Directory of the player's own things: $XDG_CONFIG_HOME or $XDG_STATE_HOME (unset, empty or
 * relative: ~/.config, ~/.local/state), then /holdfast and `below` (may be ""). False without a
 * home. */
bool hf_cli_config_path(const char *below, char *out, size_t size);
bool hf_cli_state_path(const char *below, char *out, size_t size);

/* Loads a patch of either kind by name (the player's own, then those that ship) or by file (with a
 * slash or .ini). `*text` is the caller's to free. HF_E_INPUT when there is none, HF_E_DATA when it
 * is wrong. */
enum hf_status hf_cli_find_patch(const char *name, long rate_hz, struct hf_patch *patch,
                                 char **text, struct hf_diag *diag) HF_CHECKED;

/* Loads a patch by name (the player's own, then those that ship) or by file (with a slash or .ini).
 * `*text` is the caller's to free. HF_E_INPUT when there is none, HF_E_DATA when it is wrong,
 * HF_E_USAGE when it is of the other kind. Warns of one that is dear. */
enum hf_status hf_cli_load_patch(const char *name, enum hf_patch_kind kind, long rate_hz,
                                 struct hf_patch *patch, char **text,
                                 struct hf_diag *diag) HF_CHECKED;

/* Loads an instrument by name (the player's own, then those that ship) or by file. HF_E_INPUT when
 * there is none, HF_E_DATA when it is wrong. */
enum hf_status hf_cli_load_instrument(const char *name, struct hf_fretboard *board,
                                      struct hf_diag *diag) HF_CHECKED;

#endif
