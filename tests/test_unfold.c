/* SPDX-License-Identifier: MIT */
/* A chord unfolded, class by class: which classes, which of their places, how long, and that it
 * sounds over the held notes. */
#include "player.h"

#include <math.h>
#include <stdio.h>

#include <holdfast/engine.h>
#include <holdfast/patchfile.h>
#include <holdfast/unfold.h>

static struct hf_voicing choices[HF_VOICINGS_MOST]; /* large */

static struct hf_unfold_ask ask_for(const char *text)
{
    struct hf_unfold_ask ask;
    assert_ok(hf_unfold_parse(text, &ask, NULL));
    return ask;
}

/* ---- which ----------------------------------------------------------------------------------- */

static void lists_are_read_and_faults_told(void **state)
{
    (void)state;
    assert_int_equal(ask_for("all").size, 3);
    assert_int_equal(ask_for("tetrachords").size, 4);
    struct hf_unfold_ask ask = ask_for(" 3-5, 037,4-Z15 ");
    assert_int_equal(ask.count, 3);
    assert_string_equal(ask.classes[0]->name, "3-5");
    assert_string_equal(ask.classes[1]->name, "3-11");
    assert_string_equal(ask.classes[2]->name, "4-Z15");
    static const char *const bad[] = {"",        ",",   "3-13", "everything",
                                      "3-5,3-5", "2-1", "5-1",  "all,3-5"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct hf_diag diag = {0};
        if (hf_unfold_parse(bad[i], &ask, &diag) != HF_E_USAGE || !diag.message[0])
            fail_msg("\"%s\" is taken", bad[i]);
    }
}

/* How many subsets of its class stand up to it, in ascending order of lists. */
static int place_of(hf_pcset chord, hf_pcset part)
{
    hf_pcset subsets[HF_SUBSETS_MOST];
    int count = hf_pcset_subsets(chord, hf_pcset_size(part), subsets), place = 0;
    for (int i = 0; i < count; i++) {
        place += hf_setclass_of(subsets[i]) == hf_setclass_of(part);
        if (subsets[i] == part)
            return place;
    }
    return 0;
}

/* published: the all-trichord hexachord holds each class of three notes; how often each is in
 * facts that were computed by trying all subsets (1 1 2 2 5 1 1 2 1 1 2 1, sum 20). */
static void the_hexachord_has_all_twelve(void **state)
{
    (void)state;
    static const int often[] = {1, 1, 2, 2, 5, 1, 1, 2, 1, 1, 2, 1};
    const struct hf_setclass *classes[HF_UNFOLD_MOST];
    struct hf_unfold_ask all = ask_for("all"), four = ask_for("tetrachords");
    hf_pcset forms[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(6, 17), forms);
    assert_int_equal(count, 24);
    for (int form = 0; form < count; form++) {
        assert_int_equal(hf_unfold_classes(&all, forms[form], classes), 12);
        struct hf_voicing from;
        struct hf_unfold_place place = {.low = 60, .high = 84};
        hf_voicing_list(forms[form], 48, 84, choices);
        from = choices[0];
        for (int i = 0; i < 12; i++) {
            struct hf_unfold_step step;
            assert_int_equal(classes[i]->number, i + 1);
            hf_unfold_choose(forms[form], classes[i], &from, &place, choices, &step);
            assert_int_equal(step.of, often[i]);
            assert_int_equal(step.which, place_of(forms[form], step.pcs));
            assert_ptr_equal(hf_setclass_of(step.pcs), classes[i]);
            assert_int_equal(step.pcs & ~forms[form], 0);
            assert_true(step.voicing.notes[0] >= 60 && step.voicing.notes[2] <= 84);
        }
        int census[HF_SETCLASSES], present = 0;
        hf_setclass_census(forms[form], 4, census);
        for (int i = 0; i < HF_SETCLASSES; i++)
            present += census[i] > 0;
        assert_int_equal(hf_unfold_classes(&four, forms[form], classes), present);
    }
    struct hf_unfold_ask some = ask_for("3-12,3-10,4-28");
    assert_int_equal(hf_unfold_classes(&some, 0x111, classes), 1); /* only what is there */
    assert_string_equal(classes[0]->name, "3-12");
}

/* ---- the least movement ---------------------------------------------------------------------- */

/* derived: of three voices each way round, the least sum. */
static int movement(const uint8_t *a, const uint8_t *b)
{
    static const int orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2},
                                     {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
    int best = 10000;
    for (int o = 0; o < 6; o++) {
        int sum = 0;
        for (int i = 0; i < 3; i++)
            sum += abs(a[i] - b[orders[o][i]]);
        best = sum < best ? sum : best;
    }
    return best;
}

/* Every three of the six notes of a chord, tried by hand. */
static void the_place_is_the_one_that_moves_least(void **state)
{
    (void)state;
    const int notes[] = {48, 52, 56, 63, 69, 74}; /* C3 E3 G#3 Eb4 A4 D5 */
    const struct hf_voicing chord = hf_voicing_of(notes, 6), from = hf_voicing_of(notes + 3, 3);
    hf_pcset set = 0;
    for (int i = 0; i < 6; i++)
        set = (hf_pcset)(set | 1u << notes[i] % 12);
    for (int number = 1; number <= 12; number++) {
        const struct hf_setclass *class = hf_setclass_find(3, number);
        struct hf_unfold_place place = {.chord = &chord};
        struct hf_unfold_step step;
        int best = 10000;
        for (int a = 0; a < 6; a++)
            for (int b = a + 1; b < 6; b++)
                for (int c = b + 1; c < 6; c++) {
                    const uint8_t three[] = {(uint8_t)notes[a], (uint8_t)notes[b],
                                             (uint8_t)notes[c]};
                    const int pcs[] = {notes[a], notes[b], notes[c]};
                    int moves = movement(from.notes, three);
                    if (hf_setclass_of(hf_pcset_of(pcs, 3)) == class && moves < best)
                        best = moves;
                }
        hf_unfold_choose(set, class, &from, &place, choices, &step);
        assert_int_equal(movement(from.notes, step.voicing.notes), best);
        for (int i = 0; i < 3; i++) /* and each note is where the chord has it */
            assert_non_null(memchr(chord.notes, step.voicing.notes[i], 6));
    }
}

static void a_register_without_room_is_as_good_as_none(void **state)
{
    (void)state;
    struct hf_voicing from = {.count = 1, .notes = {60}};
    struct hf_unfold_place place = {.low = 60, .high = 61};
    struct hf_unfold_step step;
    hf_unfold_choose(0x111, hf_setclass_find(3, 12), &from, &place, choices, &step);
    assert_int_equal(step.voicing.count, 3);
}

/* ---- in a session ---------------------------------------------------------------------------- */

enum { RATE = 8000, LEAD = 10 * RATE, CUE = 25 * RATE, STEP = 8 * RATE };

static struct hf_schedule schedule, plain; /* large */
static struct hf_request request;

static void ask(enum hf_option key, const char *text)
{
    assert_ok(hf_request_set(&request, key, text, NULL));
}

static void begin(const char *classes)
{
    hf_request_init(&request);
    ask(HF_OPT_RATE, "8000");
    ask(HF_OPT_HELD, "Db F A");
    ask(HF_OPT_ROUNDS, "1");
    if (classes)
        ask(HF_OPT_UNFOLD, classes);
}

static void start(struct hf_schedule *s)
{
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_schedule_init(s, &request, NULL));
}

static void steps_follow_each_cue_and_change_none(void **state)
{
    (void)state;
    struct hf_cue cue, alone;
    uint32_t serial = 0;
    begin(NULL);
    start(&plain);
    begin("all");
    start(&schedule);
    assert_int_equal(schedule.total, 6);
    assert_int_equal(hf_schedule_length(&schedule), LEAD + 6 * (CUE + 12 * STEP));
    while (hf_schedule_next(&plain, &alone)) {
        hf_pcset classes = 0;
        assert_true(hf_schedule_next(&schedule, &cue));
        assert_int_equal(cue.serial, ++serial);
        assert_int_equal(cue.step, 0);
        assert_int_equal(cue.id, alone.id);
        assert_true(hf_voicing_same(&cue.voicing, &alone.voicing));
        for (int i = 1; i <= 12; i++) {
            assert_true(hf_schedule_next(&schedule, &cue));
            assert_int_equal(cue.serial, ++serial);
            assert_int_equal(cue.step, i);
            assert_int_equal(cue.steps, 12);
            assert_int_equal(cue.length, STEP);
            assert_int_equal(cue.pcs & ~(alone.pcs | 0x222), 0);
            classes = (hf_pcset)(classes | 1u << (hf_setclass_of(cue.pcs)->number - 1));
        }
        assert_int_equal(classes, 0xfff); /* each class once */
    }
    assert_false(hf_schedule_next(&schedule, &cue));
}

static void only_whole_cues_with_their_steps_are_given(void **state)
{
    (void)state;
    begin("3-5,3-11");
    ask(HF_OPT_FOR, "92s"); /* derived: 10 s and two times 25 s + 2 x 8 s */
    start(&schedule);
    assert_int_equal(schedule.total, 2);
    ask(HF_OPT_FOR, "91.9s");
    start(&schedule);
    assert_int_equal(schedule.total, 1);
}

static void what_can_not_unfold_is_refused(void **state)
{
    (void)state;
    static const struct {
        enum hf_option key;
        const char *text, *says;
    } rows[] = {{HF_OPT_CUE, "silent", "never sounds"},
                {HF_OPT_CUE, "reverse", "asks for a triad alone"},
                {HF_OPT_PRACTICE, "warmup", "goes with improvise"},
                {HF_OPT_PRACTICE, "ear", "goes with improvise"},
                {HF_OPT_HELD, "C E", "make several"},
                {HF_OPT_UNFOLD, "4-28", "6-Z17 has none of 4-28"},
                {HF_OPT_FOR, "50s", "with its steps"},
                {HF_OPT_STEP, "2beats", "there is no tempo"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_diag diag = {0};
        begin("all");
        if (rows[i].key == HF_OPT_CUE || rows[i].key == HF_OPT_PRACTICE) {
            hf_request_init(&request);
            ask(HF_OPT_UNFOLD, "all");
        }
        ask(rows[i].key, rows[i].text);
        enum hf_status status = hf_request_resolve(&request, &diag);
        if (status == HF_OK)
            status = hf_schedule_init(&schedule, &request, &diag);
        if (status != HF_E_USAGE || !strstr(diag.message, rows[i].says))
            fail_msg("%s: %d, %s", rows[i].text, (int)status, diag.message);
    }
    struct hf_diag diag;
    begin(NULL);
    ask(HF_OPT_KEEP_REGISTERS, "yes");
    assert_int_equal(hf_request_resolve(&request, &diag), HF_E_USAGE);
}

/* ---- on the clock ---------------------------------------------------------------------------- */

static void a_step_is_named_then_sounds_then_gives_way(void **state)
{
    (void)state;
    begin("3-11,3-5");
    start(&schedule);
    assert_ok(hf_conductor_init(&conductor, &request, &schedule, NULL));
    virtual_begin(&v, hf_conductor_source(&conductor), RATE);
    virtual_tend(&v);
    run_to(LEAD + CUE + HF_GRID);
    const struct hf_timeline_cue *cue = &conductor.timeline.cues[0], *step = cue + 1;
    assert_int_equal(step->record.type, HF_RECORD_STEP);
    assert_int_equal(step->record.cue, cue->record.n);
    assert_int_equal(step->number, 1);
    assert_int_equal(step->at, LEAD + CUE);
    assert_int_equal(step->tell, LEAD + CUE);
    assert_int_equal(step->hear, LEAD + CUE + (2 * STEP + 1) / 3); /* derived: two thirds */
    assert_int_equal(step->end, LEAD + CUE + STEP);
    for (int i = 0; i < step->record.count; i++) /* Db and no C#: as the chord has it */
        assert_true(strcmp(step->record.names[i], "C#") != 0);
    run_to(LEAD + 2 * CUE + 2 * STEP + HF_GRID);
    assert_int_equal(conductor.timeline.cues[3].number, 2);
    assert_int_equal(conductor.timeline.cues[4].number, 2);
    struct hf_record lone = {.type = HF_RECORD_STEP, .n = 99, .at = 0, .end = 9, .hear = 0};
    struct hf_timeline empty;
    hf_timeline_init(&empty, &request);
    assert_int_equal(hf_timeline_apply(&empty, &lone, NULL), HF_E_DATA); /* a step of no cue */
    hf_timeline_deinit(&empty);
    hf_conductor_deinit(&conductor);
    virtual_end(&v);
}

static double held_energy;
static int64_t heard;

static void listen(void *self, const struct hf_bus stems[HF_STEMS], const struct hf_bus *sum)
{
    (void)self;
    (void)sum;
    for (int i = 0; i < HF_CHUNK; i++, heard++)
        if (heard >= 8 * RATE && heard < 9 * RATE)
            held_energy +=
                (double)stems[HF_STEM_HELD].left[i] * (double)stems[HF_STEM_HELD].left[i];
}

/* The held notes' energy in the ninth second, with a cue that sounds from the fifth to the tenth.
 */
static double energy_under(int db)
{
    struct hf_engine *engine = NULL;
    float out[2 * 1000];
    const char *drone = hf_patchfile_find_builtin("stopped-pipe");
    const char *struck = hf_patchfile_find_builtin("plucked-nylon");
    struct hf_engine_setting setting = {.rate_hz = RATE,
                                        .a4_mhz = 440000,
                                        .room_db = HF_ENGINE_NO_ROOM_DB,
                                        .held = {.rate_hz = RATE, .a4_mhz = 440000, .seed = 7}};
    assert_ok(hf_patchfile_parse(drone, strlen(drone), "drone", &setting.held.patch, NULL));
    assert_ok(hf_patchfile_parse(struck, strlen(struck), "struck", &setting.added_patch, NULL));
    assert_ok(hf_engine_new(&engine, &setting, NULL));
    hf_engine_set_tap(engine, (struct hf_engine_tap){listen, NULL});
    struct hf_event events[] = {{.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}},
                                {.kind = HF_EVENT_CUE,
                                 .cue = 1,
                                 .at = 4 * RATE,
                                 .hear = 5 * RATE,
                                 .end = 10 * RATE,
                                 .count = 3,
                                 .notes = {61, 67, 74},
                                 .manner = {.under_db = db}},
                                {.kind = HF_EVENT_FINISH, .at = 11 * RATE, .fade = RATE}};
    for (size_t i = 0; i < sizeof events / sizeof events[0]; i++)
        assert_true(hf_engine_send(engine, &events[i]));
    held_energy = 0;
    heard = 0;
    for (long done = 1000; done == 1000;)
        done = hf_engine_render(engine, 1000, out);
    hf_engine_free(engine);
    return held_energy;
}

static void the_held_notes_go_under_what_sounds(void **state)
{
    (void)state;
    double whole = energy_under(0), under = energy_under(HF_UNFOLD_UNDER_DB);
    /* derived: the same samples times a gain of -12 dB */
    assert_true(fabs(10 * log10(under / whole) + 12) < 1e-4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists_are_read_and_faults_told),
        cmocka_unit_test(the_hexachord_has_all_twelve),
        cmocka_unit_test(the_place_is_the_one_that_moves_least),
        cmocka_unit_test(a_register_without_room_is_as_good_as_none),
        cmocka_unit_test(steps_follow_each_cue_and_change_none),
        cmocka_unit_test(only_whole_cues_with_their_steps_are_given),
        cmocka_unit_test(what_can_not_unfold_is_refused),
        cmocka_unit_test(a_step_is_named_then_sounds_then_gives_way),
        cmocka_unit_test(the_held_notes_go_under_what_sounds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
