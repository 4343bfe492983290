/* SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/chord.h>
#include <holdfast/chord_page.h>
#include <holdfast/pairing.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static struct hf_notes chord_of(const char *text)
{
    struct hf_notes notes = {0};
    struct hf_diag diag;
    if (hf_notes_parse(text, NULL, &notes, &diag) != HF_OK)
        fail_msg("%s: %s", text, diag.message);
    return notes;
}

static const struct hf_setclass *class_named(const char *name)
{
    const struct hf_setclass *class = NULL;
    struct hf_diag diag;
    if (name && hf_setclass_parse(name, &class, &diag) != HF_OK)
        fail_msg("%s: %s", name, diag.message);
    return class;
}

static void every_form_of_6_z17_splits_in_one_way(void **state)
{
    (void)state;
    struct hf_chord_wish wish = hf_chord_wish_of(NULL, NULL);
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
        int count = hf_chord_splits((hf_pcset)set, &wish, splits);
        bool six = hf_setclass_of((hf_pcset)set) == hf_setclass_find(6, 17);
        if (hf_pcset_size((hf_pcset)set) <= 6)
            assert_int_equal(count, six);
        for (int i = 0; i < count && i < HF_CHORD_SPLITS_MOST; i++) {
            assert_int_equal(splits[i].held ^ splits[i].added ^ splits[i].rest, set);
            assert_int_equal(splits[i].held & splits[i].added, 0);
            assert_ptr_equal(hf_setclass_of(splits[i].held), hf_setclass_find(3, 12));
            assert_ptr_equal(hf_setclass_of(splits[i].added), hf_setclass_find(3, 5));
        }
    }
}

/* derived: every sub-form of 6-Z17 in a larger chord is one split. */
static void a_larger_chord_splits_once_for_each_hexachord_in_it(void **state)
{
    (void)state;
    struct hf_chord_wish wish = hf_chord_wish_of(NULL, NULL);
    for (unsigned set = 0; set < HF_SETS; set++) {
        static hf_pcset subsets[HF_SUBSETS_MOST];
        struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
        int expected = 0, count = hf_pcset_subsets((hf_pcset)set, 6, subsets);
        for (int i = 0; i < count; i++)
            expected += hf_setclass_of(subsets[i]) == hf_setclass_find(6, 17);
        assert_int_equal(hf_chord_splits((hf_pcset)set, &wish, splits), expected);
    }
}

static void chords_of_the_page_split_as_their_notes_do(void **state)
{
    (void)state;
    const struct {
        const char *chord, *added, *result, *held, *other;
        int count;
    } rows[] = {
        {"D3 G3 C4 E4 G#4 C#5", NULL, NULL, "C4 E4 G#4", "D3 G3 C#5", 1},
        {"10-10-10-9-9-9", NULL, NULL, "C4 E4 G#4", "D3 G3 C#5", 1},
        {"2-2-2-1-1-1", NULL, NULL, "E3 G#3 C4", "F#2 B2 F4", 1},
        {"Ab2 C3 Fb3 F#3 Cb4 F4", NULL, NULL, "Ab2 C3 Fb3", "F#3 Cb4 F4", 1},
        {"C E G# C# D G", NULL, NULL, "C E G#", "C# D G", 1},
        {"C3 E3 G#3 C4 C#4 D4 G4", NULL, NULL, "C3 E3 G#3 C4", "C#4 D4 G4", 1}, /* doubled C */
        {"C E G# C# Eb F#", "3-7", NULL, "C E G#", "C# Eb F#", 1},
        {"C E G# C# D G", NULL, "6-Z17", "C E G#", "C# D G", 2},
        {"C E G# C# D G", "2-4", "6-Z17", "G# C# D G", "C E", 1},
        {"C E G# C# D G", "3-5", NULL, "C E G#", "C# D G", 1},
        {"C E G B D", "3-5", NULL, NULL, NULL, 0},
        {"C E G B D", "3-11", NULL, NULL, NULL, 0}, /* in no certain pairing */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes chord = chord_of(rows[i].chord);
        struct hf_chord_wish wish =
            hf_chord_wish_of(class_named(rows[i].added), class_named(rows[i].result));
        struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
        char text[HF_NOTES_TEXT];
        assert_int_equal(hf_chord_splits(chord.set, &wish, splits), rows[i].count);
        if (!rows[i].count)
            continue;
        struct hf_notes held = hf_chord_part(&chord, splits[0].held);
        struct hf_notes other = hf_chord_part(&chord, splits[0].added);
        assert_string_equal(hf_notes_format(&held, HF_NAMES_SIMPLE, text), rows[i].held);
        assert_string_equal(hf_notes_format(&other, HF_NAMES_SIMPLE, text), rows[i].other);
    }
}

/* What is near, found by trying every set: nothing nearer has a split, and all that are as near are
 * told unless there is no room. For one form of each class of six or seven notes. */
static void the_nearest_chords_are_the_nearest(void **state)
{
    (void)state;
    struct hf_chord_wish wish = hf_chord_wish_of(NULL, NULL);
    struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
    for (int c = 0; c < HF_SETCLASSES; c++) {
        hf_pcset chord = hf_setclass_at(c)->prime;
        struct hf_chord_near near[HF_CHORD_NEAR_MOST];
        if (hf_setclass_at(c)->size < 6 || hf_setclass_at(c)->size > 7)
            continue;
        int count = hf_chord_near(chord, &wish, near), least = 1000, equal = 0;
        for (unsigned set = 0; set < HF_SETS; set++) {
            int movement = hf_pcset_movement(chord, (hf_pcset)set, NULL);
            if (movement <= 0 || movement > least || !hf_chord_splits((hf_pcset)set, &wish, splits))
                continue;
            equal = movement < least ? 1 : equal + 1;
            least = movement;
        }
        assert_int_equal(count, equal < HF_CHORD_NEAR_MOST ? equal : HF_CHORD_NEAR_MOST);
        for (int i = 0; i < count; i++) {
            assert_int_equal(near[i].movement, least);
            assert_true(hf_chord_splits(near[i].set, &wish, splits) > 0);
        }
    }
    struct hf_chord_near none[HF_CHORD_NEAR_MOST];
    assert_int_equal(hf_chord_near(0x01f, &wish, none), 0); /* five notes never have six */
}

static void a_moved_chord_keeps_what_stays(void **state)
{
    (void)state;
    struct hf_chord_wish wish = hf_chord_wish_of(NULL, NULL);
    struct hf_notes chord = chord_of("D3 G3 B#3 E4 Ab4 Eb5"), moved;
    struct hf_chord_near near[HF_CHORD_NEAR_MOST];
    struct hf_diag diag;
    assert_true(hf_chord_near(chord.set, &wish, near) > 0);
    assert_int_equal(hf_chord_move(&chord, &near[0], &moved, &diag), HF_OK);
    assert_int_equal(moved.set, near[0].set);
    assert_int_equal(moved.count, chord.count);
    int changed = 0;
    for (int i = 0; i < moved.count; i++) {
        bool stays = moved.note[i].midi == chord.note[i].midi;
        changed += abs(moved.note[i].midi - chord.note[i].midi);
        assert_int_equal(moved.note[i].spelled.letter, stays ? chord.note[i].spelled.letter : 0);
    }
    assert_int_equal(changed, near[0].movement);
    struct hf_notes low = chord_of("C-1 C#-1 D-1 D#-1 E-1 F-1");
    struct hf_chord_near down = {.set = 0, .movement = 1, .moves = {-1, 0, 0, 0, 0, 0}};
    moved.count = -7;
    assert_int_equal(hf_chord_move(&low, &down, &moved, &diag), HF_E_USAGE);
    assert_int_equal(moved.count, -7);
}

static void a_split_is_chosen_only_where_it_is_plain(void **state)
{
    (void)state;
    const struct {
        const char *chord, *added, *result;
        int number;
        enum hf_status status;
        const char *says;
    } rows[] = {
        {"D3 G3 C4 E4 G#4 C#5", NULL, NULL, 0, HF_OK, ""},
        {"D3 G3 C4 E4 G#4 C#5", NULL, NULL, 1, HF_OK, ""},
        {"D3 G3 C4 E4 G#4 C#5", NULL, NULL, 2, HF_E_USAGE, "no split 2"},
        {"C3 E3 G#3 C#4 D4 G4 F#4", NULL, NULL, 0, HF_E_USAGE, "splits in 2 ways"},
        {"C3 E3 G#3 C#4 D4 G4 F#4", NULL, NULL, 2, HF_OK, ""},
        {"C3 E3 G3 B3 D4 F4", NULL, NULL, 0, HF_E_USAGE,
         "does not split into 3-12 (048, augmented triad) and 3-5 (016)"},
        {"C3 E3 G3", NULL, NULL, 0, HF_E_USAGE, "does not split"},
        {"C3 E3 G3 B3 D4 F4", NULL, "6-20", 0, HF_E_USAGE, "two parts that always make 6-20"},
        {"C3 E3 G3 B3 D4", "3-11", NULL, 0, HF_E_USAGE, "splits in 3 ways"},
        {"C3 E3 G3 B3 D4", "2-1", NULL, 0, HF_OK, ""},
        {"C3 E3 G3 B3 D4 F4", "3-5", "6-20", 0, HF_E_USAGE, "any other notes and 3-5 (016)"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes chord = chord_of(rows[i].chord);
        struct hf_chord_wish wish =
            hf_chord_wish_of(class_named(rows[i].added), class_named(rows[i].result));
        struct hf_chord_split split = {0};
        struct hf_diag diag = {0};
        enum hf_status status =
            hf_chord_choose(&chord, &wish, rows[i].number, HF_NAMES_SIMPLE, &split, &diag);
        assert_int_equal(status, rows[i].status);
        assert_int_equal(split.held != 0, status == HF_OK);
        if (!strstr(diag.message, rows[i].says))
            fail_msg("%s: %s", rows[i].chord, diag.message);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_form_of_6_z17_splits_in_one_way),
        cmocka_unit_test(a_larger_chord_splits_once_for_each_hexachord_in_it),
        cmocka_unit_test(chords_of_the_page_split_as_their_notes_do),
        cmocka_unit_test(the_nearest_chords_are_the_nearest),
        cmocka_unit_test(a_moved_chord_keeps_what_stays),
        cmocka_unit_test(a_split_is_chosen_only_where_it_is_plain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
