/* SPDX-License-Identifier: MIT */
/*
 * query: what the commands that answer questions share: their common options, sets and classes as
 * JSON, and the words in which a musician reads them. Only code in src/cli includes this.
 *
 * Text goes to buffers of the caller; a json_t that is returned is the caller's, NULL when memory
 * ran out (and NULL handed on to another of these functions stays NULL). Main thread only.
 */
#ifndef HOLDFAST_QUERY_H
#define HOLDFAST_QUERY_H

#include <jansson.h>

#include <holdfast/cli.h>
#include <holdfast/notes.h>
#include <holdfast/setclass.h>

enum { HF_QUERY_TEXT = 256 /* bytes for a line of names */ };

/* What the common options say. */
struct hf_query {
    bool json;
    enum hf_names names;
    struct hf_notes_how how;
};

/* Their codes are HF_QUERY_FIRST and above. */
extern const struct hf_cli_option hf_query_options[];       /* of every query */
extern const struct hf_cli_option hf_query_notes_options[]; /* of one that reads notes */
enum { HF_QUERY_FIRST = 1000 };

/* Takes one of them: as hf_cli_parse wants it. */
enum hf_status hf_query_take(struct hf_query *query, int code, const char *text,
                             struct hf_diag *diag) HF_CHECKED;

/* Says on stderr which notes were given twice. `line` is that of a stream, or 0. */
void hf_query_warn_repeated(const struct hf_notes *notes, enum hf_names names, long line);

/* ---- JSON ---- */

/* [0,4,8] */
json_t *hf_query_pcs(hf_pcset set);
json_t *hf_query_integers(const int *values, int count);
/* ["C","E","G#"], parallel to hf_query_pcs. */
json_t *hf_query_names(const struct hf_notes *notes, enum hf_names names);
json_t *hf_query_set_names(hf_pcset set, enum hf_names names);
/* {"forte":"3-5","prime":[0,1,6]} */
json_t *hf_query_class(const struct hf_setclass *class);
/* {"pcs":[...],"forte":...,"prime":[...]} */
json_t *hf_query_set(hf_pcset set);
/* Appends and takes `value`; a NULL of either kind frees the other and gives NULL. */
json_t *hf_query_append(json_t *array, json_t *value);
/* Prints one object on a line, whole or not at all, and frees it. HF_E_MEMORY (also for NULL),
 * HF_E_IO. */
enum hf_status hf_query_print(json_t *object, struct hf_diag *diag) HF_CHECKED;
/* The same, with so many digits of a number in place of ten. */
enum hf_status hf_query_print_digits(json_t *object, size_t digits,
                                     struct hf_diag *diag) HF_CHECKED;

/* ---- words ---- */

/* "C E G#"; spelled as a set of its own. "{}" for the empty set. Returns `text`. */
char *hf_query_spell(hf_pcset set, enum hf_names names, char text[HF_QUERY_TEXT]);
/* The same with the spelling of a list, where it has the pitch class. */
char *hf_query_spell_in(hf_pcset set, const struct hf_notes *notes, enum hf_names names,
                        char text[HF_QUERY_TEXT]);
/* "3-5 (016)", "3-12 (048, augmented triad)" */
char *hf_query_describe(const struct hf_setclass *class, char text[HF_QUERY_TEXT]);
/* What musicians call the notes of a list: "Ab major triad", "all-trichord hexachord"; "" where
 * nothing fits. The root is named where there is one. */
char *hf_query_nickname(const struct hf_notes *notes, enum hf_names names,
                        char text[HF_QUERY_TEXT]);
/* "one note", "6 notes" */
char *hf_query_count(int count, const char *one, const char *many, char text[HF_QUERY_TEXT]);

#endif
