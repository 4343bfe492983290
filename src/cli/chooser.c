/* SPDX-License-Identifier: MIT */
/* The line that is typed. Invariants: it is ASCII or whole UTF-8 as it came, always ended, never
 * longer than it may be; while there is none, no key of a session is kept from it. */
#include "chooser.h"

#include <ctype.h>
#include <string.h>

#include <holdfast/fretboard.h>

static bool is_letter_name(char c, bool german)
{
    char last = german ? 'h' : 'g';
    return (c >= 'a' && c <= last) || (c >= 'A' && c <= toupper(last));
}

static bool in_german(const struct hf_request *request)
{
    return request->names == HF_NAMES_GERMAN;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* ---- tidying --------------------------------------------------------------------------------- */

static const char parting[] = " ,\t";

/* Pitch classes as numbers: 0 to 11, t and e; at least one digit, so that "e" alone is a name. */
static bool is_numbers(const char *line)
{
    bool digit = false;
    for (size_t at = strspn(line, parting); line[at]; at += strspn(line + at, parting)) {
        size_t length = strcspn(line + at, parting), digits = 0;
        for (size_t i = 0; i < length; i++) {
            digits += is_digit(line[at + i]);
            if (!is_digit(line[at + i]) && !strchr("tTeE()[]", line[at + i]))
                return false;
        }
        /* e4 is a pitch; 11 and e12 are not. */
        if (digits > 0 && length == 2 && digits == 1)
            return false;
        digit |= digits > 0;
        at += length;
    }
    return digit;
}

void chooser_tidy(const char *line, bool german, char out[CHOOSER_LINE])
{
    snprintf(out, CHOOSER_LINE, "%s", line);
    if (is_numbers(line))
        return;
    for (size_t i = 0; out[i]; i++)
        if ((i == 0 || strchr(parting, out[i - 1])) && is_letter_name(out[i], german))
            out[i] = (char)toupper((unsigned char)out[i]);
}

/* ---- typing ---------------------------------------------------------------------------------- */

/* What notes are written with; the first byte is none of the signs. With nothing typed h is a key,
 * so that in German a line that begins with H begins with the capital. */
static bool may_begin(unsigned char byte, bool german)
{
    return byte && (is_letter_name((char)byte, german) || strchr("0123456789tTxX([", byte));
}

static bool may_follow(unsigned char byte, bool german)
{
    return may_begin(byte, german) || byte >= 0x80 || (byte && strchr("#-, )]", byte)) ||
           (german && byte && strchr("is", byte));
}

static void take_back(struct chooser *c)
{
    while (c->length > 0 && ((unsigned char)c->line[--c->length] & 0xc0) == 0x80)
        continue; /* the whole of a sharp or flat sign */
    c->line[c->length] = 0;
}

static enum hf_status judge(struct chooser *c, int64_t now, char reply[CHOOSER_TEXT],
                            struct hf_diag *diag)
{
    char tidy[CHOOSER_LINE];
    struct hf_notes notes;
    struct hf_verdict verdict;
    struct hf_strings strings;
    bool german = in_german(c->request);
    struct hf_notes_how how = {.as_written = c->request->as_written, .german = german};
    if (c->request->has_board) {
        strings = hf_fretboard_strings(&c->request->board);
        how.strings = &strings;
    }
    chooser_tidy(c->line, german, tidy);
    enum hf_status status = hf_notes_parse(tidy, &how, &notes, diag);
    if (status == HF_OK)
        status = hf_conductor_answer(c->conductor, notes.set, now, &verdict, diag);
    if (status != HF_OK)
        return status;
    struct hf_record answer = hf_hunt_answer(&verdict, now);
    chooser_answer(&c->conductor->timeline, &answer, c->tell, reply);
    return HF_OK;
}

/* A fault that is not the player's. */
static void note_failure(struct chooser *c, enum hf_status status)
{
    if (status == HF_E_MEMORY || status == HF_E_BUG)
        c->failed = status;
}

static enum chooser_press answer(struct chooser *c, int64_t now, char reply[CHOOSER_TEXT])
{
    struct hf_diag diag = {0};
    enum hf_status status = judge(c, now, reply, &diag);
    note_failure(c, status);
    if (status != HF_OK && !diag.message[0])
        return CHOOSER_TAKEN; /* too soon: the line stays, Enter again gives it */
    if (status != HF_OK)      /* without the advice: its example could be one that is to be found */
        snprintf(reply, CHOOSER_TEXT, "%.300s", diag.message);
    c->length = 0;
    c->line[0] = 0;
    return CHOOSER_SAYS;
}

static enum chooser_press type(struct chooser *c, unsigned char byte, int64_t now,
                               char reply[CHOOSER_TEXT])
{
    enum { BACKSPACE = 0x08, CLEAR = 0x15, DELETE = 0x7f };
    bool german = in_german(c->request);
    if (c->length == 0 && !may_begin(byte, german))
        return CHOOSER_LEFT;
    if (byte == '\r' || byte == '\n')
        return answer(c, now, reply);
    if (byte == CLEAR) {
        c->length = 0;
        c->line[0] = 0;
    } else if (byte == BACKSPACE || byte == DELETE) {
        take_back(c);
    } else if (!may_follow(byte, german)) {
        snprintf(reply, CHOOSER_TEXT,
                 "while notes are typed: Enter gives the answer, Backspace takes back");
        return CHOOSER_SAYS;
    } else if (c->length + 1 < CHOOSER_LINE) {
        c->line[c->length++] = (char)byte;
        c->line[c->length] = 0;
    }
    return CHOOSER_TAKEN;
}

/* ---- help and suggestions -------------------------------------------------------------------- */

static enum chooser_press give_hint(struct chooser *c, int64_t now, char reply[CHOOSER_TEXT])
{
    struct hf_hint hint;
    struct hf_diag diag = {0};
    enum hf_status status = hf_conductor_hint(c->conductor, now, &hint, &diag);
    note_failure(c, status);
    if (status == HF_OK)
        chooser_hint(&c->conductor->timeline.hunt, &hint, reply);
    else
        snprintf(reply, CHOOSER_TEXT, "%.300s", diag.message);
    return reply[0] ? CHOOSER_SAYS : CHOOSER_TAKEN;
}

static enum chooser_press suggest(struct chooser *c, int64_t now, char reply[CHOOSER_TEXT])
{
    const struct hf_timeline *t = &c->conductor->timeline;
    struct hf_roam_view view;
    char text[HF_SUGGESTION_TEXT];
    hf_roam_look(c->request, t, now, &view);
    if (view.here < 0)
        snprintf(reply, CHOOSER_TEXT, "choose one first: its number, or Page Down");
    else
        snprintf(reply, CHOOSER_TEXT, "%s",
                 hf_roam_suggest(&view.items[view.here], hf_timeline_held(t, (long)t->count - 1),
                                 c->suggestions++, text));
    return CHOOSER_SAYS;
}

enum chooser_press chooser_feed(struct chooser *c, unsigned char byte, int64_t now,
                                char reply[CHOOSER_TEXT])
{
    reply[0] = 0;
    if (!c->conductor || byte == 0x1b)
        return CHOOSER_LEFT;
    if (c->request->practice == HF_PRACTICE_ROAM)
        return byte == 's' ? suggest(c, now, reply) : CHOOSER_LEFT;
    if (c->request->practice != HF_PRACTICE_HUNT)
        return CHOOSER_LEFT;
    if (c->length == 0 && byte == 'h')
        return give_hint(c, now, reply);
    return type(c, byte, now, reply);
}

const char *chooser_help(const struct hf_request *request)
{
    if (request->practice == HF_PRACTICE_ROAM)
        return "1, 2, ... the one you are on   Enter, Page Down next   r, Left hear it\n"
               "s suggestion   p pause / resume   q leave   ? keys";
    if (request->practice == HF_PRACTICE_HUNT && in_german(request))
        return "type German names (is, es; B is a semitone under H), numbers, frets; then Enter\n"
               "with nothing typed: h hint (H: the note)   Left again   p pause   q leave   ? keys";
    if (request->practice == HF_PRACTICE_HUNT)
        return "type notes, then Enter: letters with # or b, numbers 0 to 11, or frets\n"
               "Backspace takes back; with nothing typed:   h hint   Left hear it again\n"
               "p pause / resume   q leave   ? keys";
    return NULL;
}
