/* SPDX-License-Identifier: MIT */
/* Invariants: an unknown escape sequence is swallowed whole, so that no part of it acts as a key;
 * bytes that are no character are none; nothing here depends on the locale. */
#include "keys.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include <holdfast/number.h>
#include <holdfast/text.h>

/* The sequences of the terminals that are in use: ECMA-48 and what xterm, rxvt, the Linux console
 * and their kin make of it, in both modes of the cursor keys. The tests ask terminfo about them. */
static const struct key_row {
    const char *bytes, *name;
} rows[] = {
    {" ", "Space"},        {"\r", "Enter"},        {"\n", "Enter"},          {"\033OM", "Enter"},
    {"\t", "Tab"},         {"\177", "Backspace"},  {"\b", "Backspace"},      {"\033[A", "Up"},
    {"\033OA", "Up"},      {"\033[B", "Down"},     {"\033OB", "Down"},       {"\033[C", "Right"},
    {"\033OC", "Right"},   {"\033[D", "Left"},     {"\033OD", "Left"},       {"\033[H", "Home"},
    {"\033OH", "Home"},    {"\033[1~", "Home"},    {"\033[7~", "Home"},      {"\033[F", "End"},
    {"\033OF", "End"},     {"\033[4~", "End"},     {"\033[8~", "End"},       {"\033[2~", "Insert"},
    {"\033[3~", "Delete"}, {"\033[5~", "Page-Up"}, {"\033[6~", "Page-Down"}, {"\033OP", "F1"},
    {"\033[11~", "F1"},    {"\033[[A", "F1"},      {"\033OQ", "F2"},         {"\033[12~", "F2"},
    {"\033[[B", "F2"},     {"\033OR", "F3"},       {"\033[13~", "F3"},       {"\033[[C", "F3"},
    {"\033OS", "F4"},      {"\033[14~", "F4"},     {"\033[[D", "F4"},        {"\033[15~", "F5"},
    {"\033[[E", "F5"},     {"\033[17~", "F6"},     {"\033[18~", "F7"},       {"\033[19~", "F8"},
    {"\033[20~", "F9"},    {"\033[21~", "F10"},    {"\033[23~", "F11"},      {"\033[24~", "F12"},
};

enum { ROWS = sizeof rows / sizeof rows[0] };

const char key_names_allowed[] =
    "a character, Space, Enter, Tab, Backspace, Up, Down, Right, Left, Home, End, Insert, Delete, "
    "Page-Up, Page-Down, F1 to F12; of MIDI: Pedal, Control-0 to 127, Note-0 to 127, Program-1 to "
    "128";

/* ---- terminals ------------------------------------------------------------------------------- */

/* Bytes of the character that begins with this one, 0 where none does. */
static int character_length(unsigned char first)
{
    if (first < 0x80)
        return 1;
    return first < 0xc2 ? 0 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : first < 0xf5 ? 4 : 0;
}

/* One character that can be seen. */
static bool is_character(const char *text)
{
    size_t length = strlen(text);
    return length > 0 && length == (size_t)character_length((unsigned char)text[0]) &&
           text[0] != ' ' && hf_text_is_utf8(text, length) && hf_text_is_plain(text, length, "");
}

static void name_of(const char *bytes, char name[KEY_NAME])
{
    name[0] = 0;
    for (int i = 0; i < ROWS; i++)
        if (strcmp(rows[i].bytes, bytes) == 0)
            snprintf(name, KEY_NAME, "%s", rows[i].name);
    if (!name[0] && is_character(bytes))
        snprintf(name, KEY_NAME, "%s", bytes);
}

/* An escape sequence is over with its final byte (ECMA-48: 0x40 to 0x7e after the introducer); a
 * second bracket belongs to the Linux console's function keys, a byte before their last. */
static bool is_over(const struct key_reader *reader)
{
    char last = reader->sequence[reader->length - 1];
    if (reader->sequence[0] != '\033')
        return reader->length == character_length((unsigned char)reader->sequence[0]);
    if (reader->length == 2)
        return last != '[' && last != 'O';
    if (reader->length == 3 && last == '[' && reader->sequence[1] == '[')
        return false;
    return last >= 0x40 && last <= 0x7e;
}

bool key_feed(struct key_reader *reader, unsigned char byte, char name[KEY_NAME])
{
    bool escape = reader->length > 0 && reader->sequence[0] == '\033';
    bool continues = reader->length > 0 && !escape && byte >= 0x80 && byte < 0xc0;
    if (byte == 0x1b || (reader->length > 0 && !escape && !continues))
        reader->length = 0;
    if (reader->length == 0 && byte != 0x1b && character_length(byte) == 0)
        return false;
    if (reader->length == (int)sizeof reader->sequence - 1)
        reader->length--; /* longer than any we know: only its end counts */
    reader->sequence[reader->length++] = (char)byte;
    if (reader->sequence[0] == '\033' ? reader->length == 1 || !is_over(reader) : !is_over(reader))
        return false;
    reader->sequence[reader->length] = 0;
    reader->length = 0;
    name_of(reader->sequence, name);
    return true;
}

/* ---- MIDI ------------------------------------------------------------------------------------ */

enum { MIDI_NOTE_OFF = 0x80, MIDI_NOTE_ON = 0x90, MIDI_CONTROL = 0xb0, MIDI_PROGRAM = 0xc0 };
enum { SUSTAIN = 64, MIDDLE = 64 };

enum midi_press key_midi(unsigned status, unsigned data_1, unsigned data_2, char name[KEY_NAME])
{
    unsigned kind = status & 0xf0;
    name[0] = 0;
    if (data_1 > 127 || data_2 > 127)
        return MIDI_NOTHING;
    switch (kind) {
    case MIDI_NOTE_OFF:
    case MIDI_NOTE_ON:
        snprintf(name, KEY_NAME, "Note-%u", data_1);
        return kind == MIDI_NOTE_ON && data_2 > 0 ? MIDI_PRESS : MIDI_RELEASE;
    case MIDI_CONTROL:
        if (data_1 == SUSTAIN)
            snprintf(name, KEY_NAME, "Pedal");
        else
            snprintf(name, KEY_NAME, "Control-%u", data_1);
        return data_2 >= MIDDLE ? MIDI_PRESS : MIDI_RELEASE;
    case MIDI_PROGRAM:
        snprintf(name, KEY_NAME, "Program-%u", data_1 + 1); /* counted from 1, as on the devices */
        return MIDI_PRESS_ONLY;
    default:
        return MIDI_NOTHING;
    }
}

/* ---- names ----------------------------------------------------------------------------------- */

static bool midi_named(const char *typed, char name[KEY_NAME])
{
    static const struct {
        const char *before;
        int low, high;
    } kinds[] = {{"Note-", 0, 127}, {"Control-", 0, 127}, {"Program-", 1, 128}};
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        size_t length = strlen(kinds[i].before);
        long number = 0;
        if (strncasecmp(typed, kinds[i].before, length) != 0 ||
            hf_number_whole(typed + length, strlen(typed + length), kinds[i].low, kinds[i].high,
                            &number) != HF_NUMBER_FINE)
            continue;
        bool pedal = i == 1 && number == SUSTAIN;
        snprintf(name, KEY_NAME, pedal ? "Pedal" : "%s%ld", kinds[i].before, number);
        return true;
    }
    return false;
}

bool key_named(const char *typed, char name[KEY_NAME])
{
    for (int i = 0; i < ROWS; i++)
        if (strcasecmp(rows[i].name, typed) == 0) {
            snprintf(name, KEY_NAME, "%s", rows[i].name);
            return true;
        }
    if (strcasecmp(typed, "Pedal") == 0 || is_character(typed)) {
        snprintf(name, KEY_NAME, "%s", is_character(typed) ? typed : "Pedal");
        return true;
    }
    return midi_named(typed, name);
}
