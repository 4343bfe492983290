/* SPDX-License-Identifier: MIT */
/* Reading a list of notes. Invariants: nothing outside the text's own bytes is looked at; the list
 * handed out is whole or not at all; every refusal names the word and where it stands. */
#include <holdfast/notes.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/number.h>

#include "notes_german.h"

enum { SHOWN = 24, MIDI_MOST = 127, OCTAVE_LOW = -1, OCTAVE_HIGH = 9 };

struct word {
    const char *text;
    size_t length;
    int ordinal; /* from 1 */
    long column; /* from 1, in characters */
};

struct reading {
    const struct hf_strings *strings;
    bool as_written, german;
    bool bracketed;
    struct word word[HF_NOTES_MOST];
    int words; /* all there are, also beyond the array */
    struct hf_notes notes;
    struct hf_diag *diag;
};

/* Accidentals as they may be written. */
static const struct {
    const char *sign;
    int by;
} accidentals[] = {{"#", 1},
                   {"b", -1},
                   {"\xe2\x99\xaf", 1},      /* U+266F sharp */
                   {"\xe2\x99\xad", -1},     /* U+266D flat */
                   {"\xf0\x9d\x84\xaa", 2},  /* U+1D12A double sharp */
                   {"\xf0\x9d\x84\xab", -2}, /* U+1D12B double flat */
                   {NULL, 0}};

/* The row of the accidental that begins `at`, or the last row. */
static int accidental_at(const char *at, size_t left)
{
    int row = 0;
    for (; accidentals[row].sign; row++) {
        size_t length = strlen(accidentals[row].sign);
        if (length <= left && !memcmp(at, accidentals[row].sign, length))
            break;
    }
    return row;
}

/* A word for a message: cut, and any byte that is neither ASCII nor a sign above becomes '?', so
 * that the message is text whatever was given. */
static void show(const struct word *word, char shown[SHOWN])
{
    size_t at = 0, length = 0;
    while (at < word->length && length + 8 < SHOWN) {
        const char *sign = accidentals[accidental_at(word->text + at, word->length - at)].sign;
        size_t step = sign ? strlen(sign) : 1;
        bool ascii = (unsigned char)word->text[at] < 0x80;
        memcpy(shown + length, sign || ascii ? word->text + at : "?", step);
        at += step;
        length += step;
    }
    memcpy(shown + length, at < word->length ? "..." : "", at < word->length ? 4 : 1);
}

static enum hf_status refuse(struct reading *reading, const struct word *word, const char *what,
                             const char *advice)
{
    char shown[SHOWN];
    show(word, shown);
    if (reading->words == 1)
        hf_fail(reading->diag, HF_E_USAGE, "\"%s\" %s", shown, what);
    else
        hf_fail(reading->diag, HF_E_USAGE, "\"%s\" (word %d, column %ld) %s", shown, word->ordinal,
                word->column, what);
    hf_advise(reading->diag, "%s", advice);
    if (reading->diag)
        reading->diag->column = word->column;
    return HF_E_USAGE;
}

static bool parts_words(char c)
{
    return c == ' ' || c == ',' || c == '\t' || c == '\n' || c == '\r';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* 10 and 11 in the notations of a single character; 0 to 9 too where `whole` says so. */
static int digit_value(char c, bool whole)
{
    if (whole && is_digit(c))
        return c - '0';
    if (c == 'T' || c == 't')
        return 10;
    return c == 'e' || (whole && c == 'E') ? 11 : -1;
}

static void add_note(struct reading *reading, struct hf_note note)
{
    struct hf_notes *notes = &reading->notes;
    for (int i = 0; i < notes->count; i++)
        if (notes->note[i].pc == note.pc && notes->note[i].midi == note.midi) {
            notes->repeated = (hf_pcset)(notes->repeated | 1u << note.pc);
            return;
        }
    notes->note[notes->count++] = note;
    notes->set = (hf_pcset)(notes->set | 1u << note.pc);
}

static void add_number(struct reading *reading, int pc)
{
    add_note(reading, (struct hf_note){.pc = pc, .midi = HF_NO_OCTAVE, .string = -1, .fret = -1});
}

/* ---- Names: C, G#, Ebb, with an octave or without ---- */

/* Reads the accidentals from *at on; false where they are mixed or more than doubled. */
static bool read_accidentals(const struct word *word, size_t *at, int *accidental)
{
    int sum = 0;
    while (*at < word->length) {
        int row = accidental_at(word->text + *at, word->length - *at);
        int by = accidentals[row].by;
        if (!by)
            break;
        if (sum * by < 0 || sum + by > 2 || sum + by < -2)
            return false;
        sum += by;
        *at += strlen(accidentals[row].sign);
    }
    *accidental = sum;
    return true;
}

static enum hf_status add_name(struct reading *reading, const struct word *word,
                               struct hf_spelled spelled, const char *octave)
{
    struct hf_note note = {.pc = hf_spelled_pc(spelled),
                           .midi = HF_NO_OCTAVE,
                           .spelled = spelled,
                           .string = -1,
                           .fret = -1};
    size_t length = (size_t)(word->text + word->length - octave);
    long number = 0;
    if (length) {
        if (hf_number_whole(octave, length, OCTAVE_LOW, OCTAVE_HIGH, &number) != HF_NUMBER_FINE ||
            *octave == '+')
            return refuse(reading, word, "has no octave from -1 to 9 after its name",
                          "pitches run from C-1 to G9; C4 is middle C");
        int natural = hf_spelled_pc((struct hf_spelled){spelled.letter, 0});
        int midi = ((int)number + 1 - reading->as_written) * HF_PCS + natural + spelled.accidental;
        if (midi < 0 || midi > MIDI_MOST)
            return refuse(reading, word, "is out of range",
                          reading->as_written ? "sounding pitches run from C-1 to G9, and written "
                                                "ones sound an octave lower"
                                              : "pitches run from C-1 to G9; C4 is middle C");
        note.midi = midi;
    }
    add_note(reading, note);
    return HF_OK;
}

static enum hf_status read_name(struct reading *reading, const struct word *word,
                                enum hf_notes_kind *kind)
{
    struct hf_spelled spelled = {*word->text, 0};
    size_t at = 1;
    int accidental = 0;
    bool german = reading->german;
    if (german)
        notes_read_german(word->text, word->length, &spelled, &at); /* A to H: there is one */
    bool plain = spelled.accidental == 0; /* C, H: a sign may follow; after Cis or B none may */
    if (plain && !read_accidentals(word, &at, &accidental))
        return refuse(reading, word, "has more accidentals than a double one",
                      "write at most ## or bb");
    const char *octave = word->text + at;
    size_t left = word->length - at;
    if (left && !is_digit(*octave) && *octave != '-' && *octave != '+')
        return refuse(
            reading, word, german ? "is no German note" : "is no note",
            german
                ? "a note is a capital letter, then is or es, then an octave: Cis Es As3; B is B "
                  "flat, H is B natural"
                : "a note is a capital letter A to G, then # or b, then an octave; spaces part "
                  "notes: C Eb G#3");
    *kind = left ? HF_NOTES_PITCHES : HF_NOTES_NAMES;
    if (plain)
        spelled.accidental = (signed char)accidental;
    return add_name(reading, word, spelled, octave);
}

/* ---- Numbers: 0 to 11, T, e ---- */

static enum hf_status number_too_large(struct reading *reading, const struct word *word)
{
    char advice[80];
    if (word->length == 2)
        snprintf(advice, sizeof advice, "pitch classes are 0 to 11; write \"%c %c\" for two",
                 word->text[0], word->text[1]);
    else
        snprintf(advice, sizeof advice,
                 "pitch classes are 0 to 11; digits in one word, as 048, stand alone");
    return refuse(reading, word, "is no pitch class", advice);
}

static enum hf_status read_number(struct reading *reading, const struct word *word)
{
    long value = 0;
    int single = word->length == 1 ? digit_value(*word->text, false) : -1;
    if (single < 0) {
        if (word->length > 2 ||
            hf_number_whole(word->text, word->length, 0, HF_PCS - 1, &value) != HF_NUMBER_FINE)
            return number_too_large(reading, word);
        single = (int)value;
    }
    add_number(reading, single);
    return HF_OK;
}

static enum hf_status read_digits(struct reading *reading, const struct word *word)
{
    if (word->length > HF_NOTES_MOST) {
        char what[48];
        snprintf(what, sizeof what, "has %zu notes", word->length);
        return refuse(reading, word, what, "a list has at most 12 notes");
    }
    reading->notes.kind = HF_NOTES_NUMBERS;
    for (size_t i = 0; i < word->length; i++)
        add_number(reading, digit_value(word->text[i], true));
    return HF_OK;
}

/* One word of three or more of 0-9 T t E e. */
static bool is_digits(const struct word *word)
{
    for (size_t i = 0; i < word->length; i++)
        if (digit_value(word->text[i], true) < 0)
            return false;
    return word->length >= 3;
}

/* ---- Frets: x-3-2-1-x-x ---- */

static bool is_frets(const struct word *word)
{
    char c = *word->text;
    return (is_digit(c) || c == 'x' || c == 'X') && memchr(word->text, '-', word->length);
}

static enum hf_status wrong_fret(struct reading *reading, const struct word *word, int string)
{
    char what[80], advice[80];
    snprintf(what, sizeof what, "has no fret for string %d (the lowest is 1)", string + 1);
    snprintf(advice, sizeof advice, "frets are 0 to %d, or x for a silent string",
             reading->strings->frets);
    return refuse(reading, word, what, advice);
}

/* Reads the place of one string; a silent one adds nothing. */
static enum hf_status read_fret(struct reading *reading, const struct word *word, int string,
                                const char *part, size_t length)
{
    const struct hf_strings *strings = reading->strings;
    long fret = 0;
    if (string < HF_STRINGS_MOST)
        reading->notes.frets[string] = -1;
    if (length == 1 && (*part == 'x' || *part == 'X'))
        return HF_OK;
    if (!length || !is_digit(*part) ||
        hf_number_whole(part, length, 0, strings->frets, &fret) != HF_NUMBER_FINE)
        return wrong_fret(reading, word, string);
    if (string < strings->count) {
        int midi = strings->midi[string] + (int)fret;
        reading->notes.frets[string] = (signed char)fret;
        add_note(
            reading,
            (struct hf_note){.pc = hf_pc(midi), .midi = midi, .string = string, .fret = (int)fret});
    }
    return HF_OK;
}

static enum hf_status read_frets(struct reading *reading, const struct word *word)
{
    const char *part = word->text, *end = word->text + word->length;
    int places = 0;
    for (;; places++) {
        const char *hyphen = memchr(part, '-', (size_t)(end - part));
        size_t length = (size_t)((hyphen ? hyphen : end) - part);
        enum hf_status status = read_fret(reading, word, places, part, length);
        if (status != HF_OK)
            return status;
        if (!hyphen)
            break;
        part = hyphen + 1;
    }
    char what[80];
    snprintf(what, sizeof what, "has %d places, and the instrument has %d strings", places + 1,
             reading->strings->count);
    if (places + 1 != reading->strings->count)
        return refuse(reading, word, what,
                      "write one place a string, the lowest first, x for a silent one: "
                      "x-3-2-1-x-x");
    if (!reading->notes.count)
        return refuse(reading, word, "is silent on every string",
                      "write the fret of each string that sounds, 0 for an open one");
    reading->notes.kind = HF_NOTES_FRETS;
    return HF_OK;
}

/* ---- Words ---- */

static const char *advice_for(const struct word *word)
{
    char c = *word->text;
    if (c >= 'a' && c <= 'g')
        return "notes are capital letters: C Eb G#; as a number, e is 11 and t is 10";
    if (c == 'H' || c == 'h')
        return "notes are A to G: B natural is B, B flat is Bb";
    if (strchr("()[]{}", c))
        return "brackets go around a whole list of numbers: (016), [0,1,6]; {} is the empty set";
    return "write notes as C E G#, C3 E3 G#3, numbers as 0 4 8 or 048, frets as x-3-2-1-x-x";
}

/* Reads a word of a list and says which kind it is. */
static enum hf_status read_word(struct reading *reading, const struct word *word,
                                enum hf_notes_kind *kind)
{
    char c = *word->text;
    if ((c >= 'A' && c <= 'G') || (reading->german && c == 'H'))
        return read_name(reading, word, kind);
    if (is_digit(c) || (word->length == 1 && digit_value(c, false) >= 0)) {
        *kind = HF_NOTES_NUMBERS;
        if (memchr(word->text, '-', word->length))
            return refuse(reading, word, "is not one of a list", "frets are one word: x-3-2-1-x-x");
        return read_number(reading, word);
    }
    return refuse(reading, word, "is no note", advice_for(word));
}

static enum hf_status mixed(struct reading *reading, const struct word *word,
                            enum hf_notes_kind first, enum hf_notes_kind now)
{
    bool e = word->length == 1 && *word->text == 'E';
    bool first_e = reading->word[0].length == 1 && *reading->word[0].text == 'E';
    if (first == HF_NOTES_NUMBERS && e)
        return refuse(reading, word, "is a note's name among numbers",
                      "as a number, E is written e or 11");
    if (now == HF_NOTES_NUMBERS && first_e)
        return refuse(reading, word, "is a number, and the list began with the note E",
                      "as a number, E is written e or 11");
    if (first == HF_NOTES_NUMBERS || now == HF_NOTES_NUMBERS)
        return refuse(reading, word, "is of another kind than the words before it",
                      "write all as names (C E G#) or all as numbers (0 4 8)");
    return refuse(reading, word,
                  now == HF_NOTES_PITCHES ? "has an octave, and the notes before it have none"
                                          : "has no octave, and the notes before it have one",
                  "write the octave on every note or on none: C3 E3 G#3 or C E G#");
}

static enum hf_status read_words(struct reading *reading)
{
    for (int i = 0; i < reading->words; i++) {
        const struct word *word = &reading->word[i];
        enum hf_notes_kind kind = HF_NOTES_EMPTY;
        enum hf_status status = read_word(reading, word, &kind);
        if (status != HF_OK)
            return status;
        if (i && kind != reading->notes.kind)
            return mixed(reading, word, reading->notes.kind, kind);
        reading->notes.kind = kind;
    }
    return HF_OK;
}

/* Finds the words between two places; counts them all, keeps as many as a list may have. */
static void find_words(struct reading *reading, const char *text, const char *from, const char *end)
{
    long column = 1;
    for (const char *at = text; at < end;) {
        const char *start = at;
        long start_column = column;
        while (at < end && at >= from && !parts_words(*at)) {
            column += ((unsigned char)*at & 0xc0) != 0x80;
            at++;
        }
        if (at == start) {
            column += ((unsigned char)*at & 0xc0) != 0x80;
            at++;
            continue;
        }
        if (reading->words < HF_NOTES_MOST)
            reading->word[reading->words] =
                (struct word){start, (size_t)(at - start), reading->words + 1, start_column};
        reading->words++;
    }
}

/* Takes away brackets around the whole; false where one has no partner at the other end. */
static bool strip_brackets(struct reading *reading, const char **from, const char **end)
{
    static const char open[] = "([{", closed[] = ")]}";
    while (*from < *end && parts_words(**from))
        ++*from;
    while (*from < *end && parts_words((*end)[-1]))
        --*end;
    if (*from == *end)
        return true;
    const char *opens = strchr(open, **from), *closes = strchr(closed, (*end)[-1]);
    if (!opens && !closes)
        return true;
    if (!opens || !closes || opens - open != closes - closed)
        return false;
    reading->bracketed = true;
    ++*from;
    --*end;
    return true;
}

static enum hf_status read_list(struct reading *reading)
{
    const struct word *word = reading->word;
    if (reading->words == 0 && reading->bracketed)
        return HF_OK; /* {} */
    if (reading->words == 0) {
        hf_fail(reading->diag, HF_E_USAGE, "there are no notes");
        hf_advise(reading->diag, "write them as C E G#, 0 4 8 or x-3-2-1-x-x; {} is the empty set");
        return HF_E_USAGE;
    }
    if (reading->words > HF_NOTES_MOST) {
        hf_fail(reading->diag, HF_E_USAGE, "there are %d notes", reading->words);
        hf_advise(reading->diag, "a list has at most 12 notes");
        return HF_E_USAGE;
    }
    if (reading->words == 1 && is_digits(word))
        return read_digits(reading, word);
    if (reading->words == 1 && is_frets(word))
        return read_frets(reading, word);
    enum hf_status status = read_words(reading);
    if (status == HF_OK && reading->bracketed && reading->notes.kind != HF_NOTES_NUMBERS)
        return refuse(reading, word, "is in brackets, which are for numbers",
                      "write names without brackets: C E G#");
    return status;
}

enum hf_status hf_notes_parse(const char *text, const struct hf_notes_how *how,
                              struct hf_notes *out, struct hf_diag *diag)
{
    struct reading reading = {.strings = how && how->strings ? how->strings : &hf_strings_guitar,
                              .as_written = how && how->as_written,
                              .german = how && how->german,
                              .diag = diag};
    size_t length = strnlen(text, HF_NOTES_TEXT);
    const char *from = text, *end = text + length;
    if (length == HF_NOTES_TEXT) {
        hf_fail(diag, HF_E_USAGE, "the list of notes is longer than %d characters",
                HF_NOTES_TEXT - 1);
        hf_advise(diag, "a list has at most 12 notes");
        return HF_E_USAGE;
    }
    if (!strip_brackets(&reading, &from, &end)) {
        hf_fail(diag, HF_E_USAGE, "a bracket of the list has no partner at its other end");
        hf_advise(diag, "brackets go around the whole list: (016), [0,1,6]");
        return HF_E_USAGE;
    }
    find_words(&reading, text, from, end);
    enum hf_status status = read_list(&reading);
    if (status == HF_OK)
        *out = reading.notes;
    return status;
}
