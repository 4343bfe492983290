/* SPDX-License-Identifier: MIT */
/* Invariants: a spelling always names its pitch class; an 016 is the only set whose names depend on
 * one another, found by trying every spelling of its three notes. */
#include <holdfast/spelling.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/setclass.h>

static const char letters[] = "CDEFGAB";
static const int natural[] = {0, 2, 4, 5, 7, 9, 11}; /* pitch class of each letter */

/* One name a pitch class, 0 to 11. */
static const char *const simple[] = {"C",  "C#", "D",  "Eb", "E",  "F",
                                     "F#", "G",  "G#", "A",  "Bb", "B"};
static const char *const sharps[] = {"C",  "C#", "D",  "D#", "E",  "F",
                                     "F#", "G",  "G#", "A",  "A#", "B"};
static const char *const flats[] = {"C",  "Db", "D",  "Eb", "E",  "F",
                                    "Gb", "G",  "Ab", "A",  "Bb", "B"};

enum hf_status hf_names_parse(const char *text, enum hf_names *out, struct hf_diag *diag)
{
    static const struct {
        const char *name;
        enum hf_names names;
    } known[] = {{"sharps", HF_NAMES_SHARPS},
                 {"flats", HF_NAMES_FLATS},
                 {"numbers", HF_NAMES_NUMBERS},
                 {"german", HF_NAMES_GERMAN}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (!strcmp(text, known[i].name)) {
            *out = known[i].names;
            return HF_OK;
        }
    hf_fail(diag, HF_E_USAGE, "\"%.40s\" is no way to write names", text);
    hf_advise(diag, "--names takes sharps, flats, numbers or german");
    return HF_E_USAGE;
}

static int letter_index(char letter)
{
    const char *at = letter ? strchr(letters, letter) : NULL;
    return at ? (int)(at - letters) : 0;
}

int hf_spelled_pc(struct hf_spelled spelled)
{
    return hf_pc(natural[letter_index(spelled.letter)] + spelled.accidental);
}

struct hf_spelled hf_spelling_pc(int pc, enum hf_names names)
{
    const char *name = names == HF_NAMES_SHARPS  ? sharps[hf_pc(pc)]
                       : names == HF_NAMES_FLATS ? flats[hf_pc(pc)]
                                                 : simple[hf_pc(pc)];
    signed char accidental = name[1] == '#' ? 1 : name[1] == 'b' ? -1 : 0;
    return (struct hf_spelled){name[0], accidental};
}

/* The spelling of a pitch class with a letter; false where it would take more than a double. */
static bool spell_with(int pc, int letter, struct hf_spelled *out)
{
    int accidental = hf_pc(pc - natural[letter] + 6) - 6;
    if (accidental < -2 || accidental > 2)
        return false;
    *out = (struct hf_spelled){letters[letter], (signed char)accidental};
    return true;
}

/* No E#, B#, Cb, Fb and no doubles. */
static bool is_simple(struct hf_spelled spelled)
{
    if (spelled.accidental == 0)
        return true;
    return strchr(spelled.accidental == 1    ? "CDFGA"
                  : spelled.accidental == -1 ? "DEGAB"
                                             : "",
                  spelled.letter) != NULL;
}

static int letters_up(struct hf_spelled from, struct hf_spelled to)
{
    return (letter_index(to.letter) - letter_index(from.letter) + 7) % 7;
}

/* How good a spelling of an 016 is, more weight to what comes first in the rule. No form has two
 * that are best. */
static int worth(const struct hf_spelled spelled[3], const int pcs[3])
{
    int score = 0;
    for (int i = 0; i < 3; i++) {
        score += 16 * is_simple(spelled[i]);
        for (int j = 0; j < 3; j++) {
            int up = hf_pc(pcs[j] - pcs[i]);
            if (up == 5)
                score += 64 * (letters_up(spelled[i], spelled[j]) == 3);
            else if (up == 1)
                score += 4 * (letters_up(spelled[i], spelled[j]) == 1);
        }
    }
    return score;
}

static void spell_016(hf_pcset set, struct hf_spelled out[3])
{
    int pcs[HF_PCS], best = -1;
    hf_pcset_list(set, pcs);
    for (int code = 0; code < 7 * 7 * 7; code++) {
        struct hf_spelled tried[3];
        if (!spell_with(pcs[0], code % 7, &tried[0]) ||
            !spell_with(pcs[1], code / 7 % 7, &tried[1]) ||
            !spell_with(pcs[2], code / 49, &tried[2]))
            continue;
        int score = worth(tried, pcs);
        if (score > best) {
            best = score;
            memcpy(out, tried, sizeof tried);
        }
    }
}

int hf_spelling_of(hf_pcset set, enum hf_names names, struct hf_spelled out[HF_PCS])
{
    int pcs[HF_PCS];
    int count = hf_pcset_list(set, pcs);
    bool by_rule = names == HF_NAMES_SIMPLE || names == HF_NAMES_GERMAN;
    if (by_rule && hf_setclass_of(set) == hf_setclass_find(3, 5)) {
        spell_016(set, out);
        return count;
    }
    for (int i = 0; i < count; i++)
        out[i] = hf_spelling_pc(pcs[i], names);
    return count;
}

/* H, B, Cis, Es, As, Heses: B natural is H, B flat is B, and after A and E the e of -es falls. */
static void format_german(struct hf_spelled spelled, char text[HF_SPELLED_TEXT])
{
    static const char *const endings[] = {"eses", "es", "", "is", "isis"};
    const char *ending = endings[spelled.accidental + 2];
    char letter = spelled.letter == 'B' ? 'H' : spelled.letter;
    bool vowel = letter == 'A' || letter == 'E';
    if (letter == 'H' && spelled.accidental == -1)
        snprintf(text, HF_SPELLED_TEXT, "B");
    else if (vowel && spelled.accidental < 0)
        snprintf(text, HF_SPELLED_TEXT, "%cs%s", letter, spelled.accidental == -2 ? "es" : "");
    else
        snprintf(text, HF_SPELLED_TEXT, "%c%s", letter, ending);
}

char *hf_spelled_format(struct hf_spelled spelled, enum hf_names names, char text[HF_SPELLED_TEXT])
{
    static const char *const signs[] = {"bb", "b", "", "#", "##"};
    if (names == HF_NAMES_NUMBERS)
        snprintf(text, HF_SPELLED_TEXT, "%d", hf_spelled_pc(spelled));
    else if (names == HF_NAMES_GERMAN)
        format_german(spelled, text);
    else
        snprintf(text, HF_SPELLED_TEXT, "%c%s", spelled.letter, signs[spelled.accidental + 2]);
    return text;
}

char *hf_spelled_format_pitch(struct hf_spelled spelled, int midi, enum hf_names names,
                              char text[HF_SPELLED_TEXT])
{
    bool numbers = names == HF_NAMES_NUMBERS;
    int without = midi - (numbers ? 0 : spelled.accidental); /* the letter's own pitch */
    int octave = (without + HF_PCS) / HF_PCS - 2;
    char name[HF_SPELLED_TEXT];
    hf_spelled_format(spelled, names, name);
    snprintf(text, HF_SPELLED_TEXT, "%.8s%s%d", name, numbers ? "/" : "", octave);
    return text;
}
