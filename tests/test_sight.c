/* SPDX-License-Identifier: MIT */
/* Chords to look at. Halves are checked by brute force over all hexachords; that nothing gives a
 * foil away is checked by classifiers that learn from some thousands of chords and guess others:
 * naive Bayes, which knows nothing of the program. */
#include <holdfast/sight.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/setclass.h>

#include "check.h"

enum { DRAWN = 4000, FEATURES = 22, VALUES = 128 };

static struct hf_sight sight; /* large */

static int bits(unsigned set)
{
    int count = 0;
    for (; set; set &= set - 1)
        count++;
    return count;
}

static bool is_6_z17(unsigned set)
{
    return strcmp(hf_setclass_of((hf_pcset)set)->name, "6-Z17") == 0;
}

/* ---- halves ---------------------------------------------------------------------------------- */

static void a_real_chord_parts_in_its_triad_and_its_016(void **state)
{
    (void)state;
    int real = 0;
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct hf_sight_chord chord = {0};
        assert_int_equal(hf_sight_part((hf_pcset)set, &chord), bits(set) == 6);
        if (bits(set) != 6)
            continue;
        assert_int_equal(chord.real, is_6_z17(set));
        assert_int_equal(chord.first | chord.second, set);
        assert_int_equal(bits(chord.first), 3);
        assert_int_equal(bits(chord.second), 3);
        if (!chord.real)
            continue;
        assert_string_equal(hf_setclass_of(chord.first)->name, "3-12");
        assert_string_equal(hf_setclass_of(chord.second)->name, "3-5");
        real++;
    }
    assert_int_equal(real, 24); /* published: 24 forms of 6-Z17 */
}

/* A semitone or a tone in one note away from a real chord: one of the halves is whole. */
static void of_a_near_miss_one_half_is_whole(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        if (!is_6_z17(set))
            continue;
        for (int pc = 0; pc < 12; pc++)
            for (int step = -2; step <= 2; step++) {
                unsigned moved = (set & ~(1u << pc)) | 1u << (pc + step + 12) % 12;
                struct hf_sight_chord chord = {0};
                if (!(set & 1u << pc) || bits(moved) != 6 || is_6_z17(moved))
                    continue;
                assert_true(hf_sight_part((hf_pcset)moved, &chord));
                bool triad = strcmp(hf_setclass_of(chord.first)->name, "3-12") == 0;
                bool other = strcmp(hf_setclass_of(chord.second)->name, "3-5") == 0;
                assert_true(triad != other);
            }
    }
}

/* ---- foils ----------------------------------------------------------------------------------- */

static bool near_a_real_one(unsigned set)
{
    for (int pc = 0; pc < 12; pc++)
        for (int step = -2; step <= 2; step++) {
            unsigned moved = (set & ~(1u << pc)) | 1u << (pc + step + 12) % 12;
            if ((set & 1u << pc) && bits(moved) == 6 && is_6_z17(moved))
                return true;
        }
    return false;
}

static void check_chord(const struct hf_sight_chord *chord)
{
    unsigned set = 0;
    assert_int_equal(chord->notes.count, 6);
    for (int i = 0; i < 6; i++) {
        set |= 1u << chord->notes.notes[i] % 12;
        assert_true(i == 0 || chord->notes.notes[i] > chord->notes.notes[i - 1]);
    }
    assert_int_equal(set, chord->first | chord->second);
    assert_int_equal(bits(set), 6);
    assert_int_equal(chord->real, is_6_z17(set));
    assert_true(chord->real || near_a_real_one(set));
}

static void every_chord_is_real_or_nearly_so_over_500_seeds(void **state)
{
    (void)state;
    int real = 0;
    bool come[HF_SETS] = {false};
    for (uint64_t seed = 0; seed < 500; seed++) {
        struct hf_sight_chord chord;
        unsigned last = 0;
        hf_sight_init(&sight, seed, NULL, NULL, 0);
        for (int i = 0; i < 12; i++) {
            assert_ok(hf_sight_next(&sight, &chord, NULL));
            check_chord(&chord);
            assert_in_range(chord.notes.notes[0], HF_SIGHT_LOW, HF_SIGHT_HIGH);
            assert_in_range(chord.notes.notes[5], HF_SIGHT_LOW, HF_SIGHT_HIGH);
            assert_int_not_equal(chord.first | chord.second, last); /* none twice in a row */
            last = (unsigned)(chord.first | chord.second);
            come[last] = true;
            real += chord.real;
        }
    }
    /* derived: half of 6000, five deviations of 38.7 */
    assert_in_range(real, 3000 - 194, 3000 + 194);
    int forms = 0;
    for (unsigned set = 0; set < HF_SETS; set++)
        forms += come[set] && is_6_z17(set);
    assert_int_equal(forms, 24);
}

/* ---- what gives it away ---------------------------------------------------------------------- */

struct seen {
    bool real;
    int feature[FEATURES];
};

/* Spelling, span and register as a beginner might see them: outer notes, span, middle, names. */
static void look(const struct hf_sight_chord *chord, struct seen *out)
{
    static const char letters[] = "CCDEEFFGGABB";
    const uint8_t *notes = chord->notes.notes;
    int sum = 0, sharps = 0, flats = 0, seen = 0, black = 0;
    memset(out, 0, sizeof *out);
    out->real = chord->real;
    for (int i = 0; i < 6; i++) {
        int pc = notes[i] % 12;
        char sign = pc == 1 || pc == 6 || pc == 8 ? '#' : pc == 3 || pc == 10 ? 'b' : ' ';
        sum += notes[i];
        sharps += sign == '#';
        flats += sign == 'b';
        black += sign != ' ';
        seen |= 1 << (letters[pc] - 'A');
        out->feature[8 + pc] = 1; /* is this name there? */
    }
    out->feature[0] = notes[5] - notes[0];
    out->feature[1] = notes[0];
    out->feature[2] = notes[5];
    out->feature[3] = sum / 6;
    out->feature[4] = sharps;
    out->feature[5] = flats;
    out->feature[6] = bits((unsigned)seen);
    out->feature[7] = black;
    out->feature[20] = chord->shape.fingers;
    out->feature[21] = (int)(chord->shape.reach_mm / 8);
}

static struct seen learnt[DRAWN], asked[DRAWN];

static void draw(uint64_t seed, const struct hf_fretboard *board, struct seen out[DRAWN])
{
    hf_sight_init(&sight, seed, board, NULL, 0);
    for (int i = 0; i < DRAWN; i++) {
        struct hf_sight_chord chord;
        assert_ok(hf_sight_next(&sight, &chord, NULL));
        look(&chord, &out[i]);
    }
}

/* How many in a hundred are guessed right by naive Bayes over some features (a mask). */
static double guess(unsigned mask)
{
    static double count[2][FEATURES][VALUES];
    double all[2] = {0, 0};
    int right = 0;
    memset(count, 0, sizeof count);
    for (int i = 0; i < DRAWN; i++) {
        all[learnt[i].real]++;
        for (int f = 0; f < FEATURES; f++)
            count[learnt[i].real][f][learnt[i].feature[f]]++;
    }
    for (int i = 0; i < DRAWN; i++) {
        double odds = log(all[1] / all[0]);
        for (int f = 0; f < FEATURES; f++)
            if (mask & 1u << f)
                odds += log((count[1][f][asked[i].feature[f]] + 1) / (all[1] + 2)) -
                        log((count[0][f][asked[i].feature[f]] + 1) / (all[0] + 2));
        right += (odds > 0) == asked[i].real;
    }
    return 100.0 * right / DRAWN;
}

static void assert_chance(const char *what, unsigned mask)
{
    double percent = guess(mask);
    if (getenv("SAY"))
        printf("%s: %.1f\n", what, percent);
    if (percent < 45 || percent > 55)
        fail_msg("%s: %.1f %% guessed right", what, percent);
}

static void spelling_span_and_register_give_nothing_away(void **state)
{
    (void)state;
    draw(1, NULL, learnt);
    draw(2, NULL, asked);
    assert_chance("span", 1u << 0);
    assert_chance("lowest note", 1u << 1);
    assert_chance("highest note", 1u << 2);
    assert_chance("middle", 1u << 3);
    assert_chance("span and register", 0x0f);
    assert_chance("sharps and flats", 0x30);
    assert_chance("letters", 1u << 6);
    assert_chance("black keys", 1u << 7);
    assert_chance("how names look", 0xf0);
    assert_chance("which names are there", 0xfff00);
    assert_chance("all of it", 0xfffff);
    /* the classifier does see what is there to be seen */
    for (int i = 0; i < DRAWN; i++) {
        learnt[i].feature[4] = learnt[i].real ? i % 3 : i % 4;
        asked[i].feature[4] = asked[i].real ? i % 3 : i % 4;
    }
    assert_true(guess(1u << 4) > 56);
}

/* ---- in the hand ----------------------------------------------------------------------------- */

static const struct hf_fretboard guitar = {.name = "guitar",
                                           .strings = 6,
                                           .midi = {40, 45, 50, 55, 59, 64},
                                           .frets = 19,
                                           .scale_mm = 650,
                                           .nut_mm = 8.5,
                                           .bridge_mm = 11.5,
                                           .reach_mm = 100,
                                           .fingers = 4,
                                           .plucking = 4};

static void chords_in_the_hand_are_played_by_one(void **state)
{
    (void)state;
    hf_sight_init(&sight, 5, &guitar, NULL, 0);
    int real = 0;
    for (int i = 0; i < 400; i++) {
        struct hf_sight_chord chord;
        assert_ok(hf_sight_next(&sight, &chord, NULL));
        check_chord(&chord);
        assert_int_equal(chord.strings, 6);
        assert_true(hf_shape_fits(&guitar, &chord.shape));
        struct hf_voicing there = hf_shape_voicing(&guitar, &chord.shape);
        assert_true(hf_voicing_same(&there, &chord.notes));
        real += chord.real;
    }
    assert_in_range(real, 150, 250); /* derived: half, five deviations of 10 */
}

static void in_the_hand_span_and_register_give_nothing_away(void **state)
{
    (void)state;
    draw(3, &guitar, learnt);
    draw(4, &guitar, asked);
    assert_chance("span", 1u << 0);
    assert_chance("lowest note", 1u << 1);
    assert_chance("highest note", 1u << 2);
    assert_chance("span and register", 0x0f);
    assert_chance("fingers", 1u << 20);
    assert_chance("reach", 1u << 21);
}

static void too_few_strings_are_told(void **state)
{
    (void)state;
    struct hf_fretboard bass = guitar;
    struct hf_sight_chord chord;
    struct hf_diag diag;
    bass.strings = 4;
    hf_sight_init(&sight, 5, &bass, NULL, 0);
    assert_int_equal(hf_sight_next(&sight, &chord, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "six notes"));
}

/* ---- a player's own -------------------------------------------------------------------------- */

static enum hf_status read(const char *text, struct hf_sight_chord *out, size_t *count,
                           struct hf_diag *diag)
{
    memset(diag, 0, sizeof *diag);
    return hf_sight_read(text, strlen(text), out, count, diag);
}

static struct hf_sight_chord own[HF_SIGHT_CHORDS_MOST];

static void own_chords_are_read_a_line_each(void **state)
{
    (void)state;
    struct hf_diag diag;
    size_t count = 0;
    assert_ok(
        read("; mine\n\n  \nD3 G3 C4 E4 G#4 C#5\r\n10-10-10-9-9-9\n0 1 2 4 7 9\nC E G# C# D G", own,
             &count, &diag));
    assert_int_equal(count, 4);
    assert_true(own[0].real && own[1].real && !own[2].real && own[3].real);
    assert_int_equal(own[0].notes.notes[0], 50); /* published: D3 is MIDI 50 */
    assert_int_equal(own[0].first, 0x111);
    assert_int_equal(own[3].notes.count, 6);
}

static void a_bad_line_is_told_with_its_number(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        long line;
    } rows[] = {{"C E G#\n", 1},
                {"0 1 2 4 7 8\n\nC E G# C# D\n", 3},
                {"0 1 2 4 7 8\nhello\n", 2},
                {"C3 C4 E3 G#3 C#4 D4", 1},
                {"0 1 2 4 7 8 9", 1},
                {"", 0},
                {"; nothing\n\n", 0}};
    struct hf_diag diag;
    size_t count = 77;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(read(rows[i].text, own, &count, &diag), HF_E_DATA);
        assert_int_equal(diag.line, rows[i].line);
        assert_int_equal(count, 77);
    }
    assert_int_equal(hf_sight_read("0 1 2\0 4 7 8", 13, own, &count, &diag), HF_E_DATA);
    char many[HF_SIGHT_CHORDS_MOST * 12 + 16] = "";
    for (int i = 0; i < HF_SIGHT_CHORDS_MOST; i++)
        strncat(many, "0 1 2 4 7 8\n", sizeof many - strlen(many) - 1);
    assert_ok(read(many, own, &count, &diag));
    assert_int_equal(count, HF_SIGHT_CHORDS_MOST);
    strncat(many, "0 1 2 4 7 8\n", sizeof many - strlen(many) - 1);
    assert_int_equal(read(many, own, &count, &diag), HF_E_DATA);
    assert_int_equal(diag.line, HF_SIGHT_CHORDS_MOST + 1);
}

static void own_chords_come_each_once_a_round(void **state)
{
    (void)state;
    struct hf_diag diag;
    size_t count = 0;
    assert_ok(read("0 1 2 4 7 8\n1 2 3 5 8 9\n2 3 4 6 9 10\n0 1 2 4 7 9\n", own, &count, &diag));
    for (uint64_t seed = 0; seed < 10000; seed++) {
        hf_pcset before = 0;
        hf_sight_init(&sight, seed, NULL, own, count);
        for (int round = 0; round < 3; round++) {
            int come = 0;
            for (int i = 0; i < 4; i++) {
                struct hf_sight_chord chord;
                assert_ok(hf_sight_next(&sight, &chord, NULL));
                for (int k = 0; k < 4; k++)
                    come |=
                        (chord.first | chord.second) == (own[k].first | own[k].second) ? 1 << k : 0;
                assert_int_not_equal(chord.first | chord.second, before);
                before = (hf_pcset)(chord.first | chord.second);
            }
            assert_int_equal(come, 15);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_real_chord_parts_in_its_triad_and_its_016),
        cmocka_unit_test(of_a_near_miss_one_half_is_whole),
        cmocka_unit_test(every_chord_is_real_or_nearly_so_over_500_seeds),
        cmocka_unit_test(spelling_span_and_register_give_nothing_away),
        cmocka_unit_test(chords_in_the_hand_are_played_by_one),
        cmocka_unit_test(in_the_hand_span_and_register_give_nothing_away),
        cmocka_unit_test(too_few_strings_are_told),
        cmocka_unit_test(own_chords_are_read_a_line_each),
        cmocka_unit_test(a_bad_line_is_told_with_its_number),
        cmocka_unit_test(own_chords_come_each_once_a_round),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
