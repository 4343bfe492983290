/* SPDX-License-Identifier: MIT */
/*
 * Practices in which the player begins each cue, on a virtual clock at 8000 Hz: what a key does,
 * what stands in view and how long the player was where. Times are derived by hand from the chunks
 * of 64 samples in which commands take effect.
 */
#include "player.h"

#include <stdio.h>

#include <holdfast/random.h>
#include <holdfast/roam.h>

enum { RATE = 8000 };

static void begin(const struct setting *settings)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    set_options(&request, settings);
    begin_session();
}

static void begin_practice(const char *practice, const char *way)
{
    const struct setting settings[] = {
        {"practice", practice}, {"held", "C E G#"}, {"cue", way}, {NULL, NULL}};
    begin(settings);
}

static enum hf_key number(int n)
{
    return (enum hf_key)(HF_KEY_CHOICE_1 + n - 1);
}

static int here(void)
{
    struct hf_roam_view view;
    hf_roam_look(&request, &conductor.timeline, v.transport.now, &view);
    return view.here + 1;
}

static const char *lines(size_t from)
{
    v.lines[v.length] = 0;
    return v.lines + from;
}

static int count_lines(const char *type)
{
    char key[32];
    int count = 0;
    snprintf(key, sizeof key, "\"t\":\"%s\"", type);
    for (const char *at = lines(0); (at = strstr(at, key)); at++)
        count++;
    return count;
}

static void roam_never_advances_by_itself(void **state)
{
    (void)state;
    begin_practice("roam", "lead");
    run_to((int64_t)RATE * 3600); /* an hour in which nothing is pressed */
    assert_int_equal(count_lines("cue"), 0);
    assert_int_equal(v.rows, 1); /* the held notes */
    assert_ok(press(number(3)));
    run_to((int64_t)RATE * 3 * 3600);
    assert_int_equal(count_lines("cue"), 1);
    assert_int_equal(count_lines("next"), 1);
    assert_int_equal(v.rows, 2);
    assert_int_equal(v.trace[1].kind, HF_ACTION_SOUND);
    assert_int_equal(v.trace[1].session, (int64_t)RATE * 3600);
    assert_int_equal(here(), 3);
    finish();
}

static void a_choice_is_on_the_disk_before_it_begins(void **state)
{
    (void)state;
    begin_practice("roam", "lead");
    run_to(6400);
    size_t before = v.length;
    assert_ok(press(number(2)));
    assert_true(v.length > before); /* and no chunk has passed since */
    assert_non_null(strstr(lines(before), "\"t\":\"cue\",\"at\":null,\"id\":2,"));
    assert_null(strstr(lines(0), "\"t\":\"next\""));
    assert_int_equal(here(), 0);
    run_to(6400 + HF_GRID);
    assert_non_null(strstr(lines(before), "\"t\":\"next\",\"at\":6400,\"crc\""));
    assert_int_equal(here(), 2);
    finish();
}

static void page_down_goes_around_the_ring(void **state)
{
    (void)state;
    static const int ring[] = {1, 2, 5, 6, 4, 3, 1, 2}; /* published: the interface contract */
    begin_practice("roam", "silent");
    for (int i = 0; i < 8; i++) {
        run_to(v.transport.now + 640);
        assert_ok(press(HF_KEY_NEXT));
        run_to(v.transport.now + 640);
        assert_int_equal(here(), ring[i]);
    }
    assert_ok(press(number(4)));
    run_to(v.transport.now + 640);
    assert_ok(press(HF_KEY_NEXT));
    run_to(v.transport.now + 640);
    assert_int_equal(here(), 3); /* from wherever one is */
    finish();
}

static void without_a_ring_page_down_goes_down_the_list(void **state)
{
    (void)state;
    const struct setting settings[] = {
        {"practice", "roam"}, {"held", "C E"}, {"added", "025"}, {NULL, NULL}};
    begin(settings);
    assert_int_equal(schedule.count, 12);
    for (int i = 0; i < 13; i++) {
        assert_ok(press(HF_KEY_NEXT));
        run_to(v.transport.now + 640);
        assert_int_equal(here(), i % 12 + 1);
    }
    assert_ok(press(number(9)));
    run_to(v.transport.now + 640);
    assert_int_equal(here(), 9);
    finish();
}

static void a_chord_brings_its_own_completion_first(void **state)
{
    (void)state;
    struct hf_notes held, added;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "roam", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_notes_parse("C3 E4 G#3", NULL, &held, NULL));
    assert_ok(hf_notes_parse("F5 F#4 B5", NULL, &added, NULL));
    assert_ok(hf_request_split(&request, &held, &added, NULL));
    begin_session();
    assert_ok(press(HF_KEY_NEXT));
    run_to(640);
    assert_int_equal(here(), 5);
    const struct hf_record *cue = &conductor.timeline.cues[0].record;
    assert_int_equal(cue->notes[0], 66); /* derived: F#4, F5, B5 as MIDI numbers, as in the chord */
    assert_int_equal(cue->notes[1], 77);
    assert_int_equal(cue->notes[2], 83);
    finish();
}

static void numbers_that_nobody_has_and_keys_that_mean_nothing_are_told(void **state)
{
    (void)state;
    begin_practice("roam", "confirm");
    size_t length = v.length;
    assert_int_equal(press(number(7)), HF_E_USAGE);
    assert_non_null(strstr(refusal.message, "1 to 6"));
    assert_int_equal(press(HF_KEY_CHOICE_NONE), HF_E_USAGE);
    assert_non_null(strstr(refusal.message, "there is no 0: they are 1 to 6"));
    assert_int_equal(press(HF_KEY_STAY), HF_E_USAGE);
    assert_int_equal(press(HF_KEY_GOT), HF_E_USAGE);
    assert_int_equal(press(HF_KEY_AGAIN), HF_E_USAGE);
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE);
    run_to(640);
    assert_int_equal(v.length, length);
    assert_ok(press(HF_KEY_PAUSE));
    run_to(1280);
    assert_int_equal(press(number(1)), HF_E_USAGE);
    assert_non_null(strstr(refusal.message, "paused"));
    finish();
}

static void keys_faster_than_the_sound_choose_once(void **state)
{
    (void)state;
    begin_practice("roam", "lead");
    assert_ok(press(number(1)));
    assert_int_equal(press(number(2)), HF_E_USAGE);
    assert_string_equal(refusal.message, "");
    run_to(640);
    assert_int_equal(here(), 1);
    assert_ok(press(number(2)));
    run_to(1280);
    assert_int_equal(here(), 2);
    finish();
}

static void in_confirm_it_sounds_when_asked_and_in_silent_never(void **state)
{
    (void)state;
    begin_practice("roam", "confirm");
    assert_ok(press(number(1)));
    run_to(6400);
    assert_int_equal(v.rows, 1);
    assert_ok(press(HF_KEY_AGAIN)); /* hearing it again is hearing it, the first time */
    run_to(12800);
    assert_int_equal(v.trace[v.rows - 1].kind, HF_ACTION_SOUND);
    assert_int_equal(v.trace[v.rows - 1].session, 6400);
    assert_ok(press(HF_KEY_AGAIN));
    run_to(19200);
    assert_int_equal(v.trace[v.rows - 1].kind, HF_ACTION_AGAIN);
    finish();
    begin_practice("roam", "silent");
    assert_ok(press(number(1)));
    run_to(6400);
    assert_int_equal(press(HF_KEY_AGAIN), HF_E_USAGE);
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE);
    finish();
}

/* A next that comes before its cue is known, as when the engine has no place for the notes. */
static void a_choice_whose_next_comes_first_is_not_lost(void **state)
{
    (void)state;
    begin_practice("roam", "lead");
    run_to(640);
    assert_ok(hf_conductor_key(&conductor, number(4), 640, &refusal));
    struct hf_step step;
    struct hf_event cue = {0};
    while (hf_conductor_step(&conductor, &step)) {
        if (step.is_record)
            assert_ok(virtual_record(&v, &step.record, NULL));
        else if (step.event.kind == HF_EVENT_CUE)
            cue = step.event;
        else
            assert_true(hf_transport_take(&v.transport, &step.event));
    }
    run_to(640 + 4 * HF_GRID);
    assert_int_equal(count_lines("next"), 0);
    assert_true(hf_transport_take(&v.transport, &cue));
    run_to(640 + 8 * HF_GRID);
    assert_int_equal(count_lines("next"), 1);
    assert_int_equal(here(), 4);
    finish();
}

static void for_ends_it_and_q_sooner(void **state)
{
    (void)state;
    const struct setting settings[] = {
        {"practice", "roam"}, {"held", "C E G#"}, {"for", "10.001s"}, {NULL, NULL}};
    begin(settings);
    assert_ok(press(number(2)));
    run_to((int64_t)RATE * 100);
    assert_non_null(
        strstr(lines(0), "\"t\":\"end\",\"at\":80008,\"why\":\"finished\",\"fade\":40000"));
    finish();
    begin(settings);
    run_to(6400);
    assert_ok(press(HF_KEY_QUIT));
    run_to((int64_t)RATE * 100);
    assert_non_null(strstr(lines(0), "\"t\":\"end\",\"at\":6400,\"why\":\"quit\",\"fade\":16000"));
    finish();
}

static void time_on_each_is_counted_without_the_pauses(void **state)
{
    (void)state;
    struct hf_roam_view view;
    begin_practice("roam", "lead");
    run_to(6400);
    assert_ok(press(number(1)));
    run_to(19200);
    assert_ok(press(number(5)));
    run_to(25600);
    assert_ok(press(HF_KEY_PAUSE)); /* 300 ms of fade are on the clock: 2432 samples */
    struct hf_report late[HF_TRANSPORT_REPORTS];
    for (int i = 0; i < 1000; i++) {
        int count = 0;
        virtual_chunk(&v, late, &count);
        virtual_reports(&v, late, &count);
    }
    assert_ok(press(HF_KEY_PAUSE));
    run_to(32000);
    assert_ok(press(number(1)));
    run_to(64000);
    assert_ok(press(HF_KEY_QUIT));
    run_to(100000);
    hf_roam_look(&request, &conductor.timeline, HF_NEVER, &view);
    assert_int_equal(view.alone, 6400);
    assert_int_equal(view.items[0].samples, 12800 + 32000);
    assert_int_equal(view.items[0].visits, 2);
    assert_int_equal(view.items[4].samples, 12800);
    assert_int_equal(view.items[1].samples, 0);
    hf_roam_look(&request, &conductor.timeline, 12800, &view); /* as it was then */
    assert_int_equal(view.items[0].samples, 6400);
    assert_int_equal(view.here, 0);
    finish();
}

static void suggestions_come_in_turn_and_name_the_notes(void **state)
{
    (void)state;
    static const char *const expected[] = {
        "A line: C# D G one after another, up and down.",
        "A chord: C# D G together, and let it ring.",
        "Split by register: C# low, D G high.",
        "Interleaved with what is held: C C# E D G# G.",
        "One note held: keep C# sounding, play D G around it.",
        "A line: C# D G one after another, up and down.",
    };
    struct hf_roam_view view;
    char text[HF_SUGGESTION_TEXT];
    begin_practice("roam", "lead");
    hf_roam_look(&request, &conductor.timeline, 0, &view);
    for (unsigned i = 0; i < 6; i++)
        assert_string_equal(hf_roam_suggest(&view.items[0], &conductor.timeline.hold, i, text),
                            expected[i]);
    hf_roam_suggest(&view.items[0], &conductor.timeline.hold, 7, text);
    hf_roam_suggest(&view.items[0], &conductor.timeline.hold, 5 + 2, text);
    assert_string_equal(text,
                        "Split by register: D low, C# G high."); /* another note the next time */
    finish();
    /* Any size of set, any turn: a whole sentence that fits. */
    static const char *const classes[] = {"1-1", "2-1", "4-1", "6-1", "9-1", "11-1"};
    for (int i = 0; i < 6; i++) {
        const struct setting settings[] = {{"practice", "roam"},
                                           {"held", "C"},
                                           {"added", classes[i]},
                                           {"register", "C1:C8"},
                                           {NULL, NULL}};
        begin(settings);
        hf_roam_look(&request, &conductor.timeline, 0, &view);
        for (unsigned turn = 0; turn < 40; turn++) {
            hf_roam_suggest(&view.items[0], &conductor.timeline.hold, turn, text);
            assert_true(strlen(text) > 10 && text[strlen(text) - 1] == '.');
        }
        finish();
    }
}

/* ---- hunt ------------------------------------------------------------------------------------ */

static enum hf_status answer(hf_pcset pcs, struct hf_verdict *verdict)
{
    enum hf_status status =
        hf_conductor_answer(&conductor, pcs, v.transport.now, verdict, &refusal);
    virtual_tend(&v);
    return status;
}

static void what_is_found_sounds_and_is_the_only_thing_recorded(void **state)
{
    (void)state;
    struct hf_verdict verdict;
    begin_practice("hunt", "lead");
    run_to(6400);
    assert_ok(answer(0x7, &verdict));
    assert_int_equal(verdict.finding, HF_FOUND_SHARES);
    assert_ok(answer(1 << 1 | 1 << 2 | 1 << 3, &verdict));
    assert_int_equal(verdict.finding, HF_FOUND_OTHER);
    run_to(12800);
    assert_int_equal(count_lines("cue"), 0);
    assert_int_equal(v.rows, 1);
    assert_ok(answer(1 << 2 | 1 << 3 | 1 << 9, &verdict));
    assert_int_equal(verdict.finding, HF_FOUND);
    run_to(19200);
    assert_int_equal(count_lines("cue"), 1);
    assert_int_equal(v.trace[1].kind, HF_ACTION_SOUND);
    assert_int_equal(v.trace[1].session, 12800);
    assert_ok(answer(1 << 2 | 1 << 3 | 1 << 9, &verdict));
    assert_int_equal(verdict.finding, HF_FOUND_AGAIN);
    run_to(25600);
    assert_int_equal(count_lines("cue"), 2); /* it sounds again */
    assert_int_equal(conductor.timeline.hunt.found_count, 1);
    assert_int_equal(answer(0x3, &verdict), HF_E_USAGE); /* two notes are no answer */
    assert_int_equal(press(HF_KEY_NEXT), HF_E_USAGE);
    assert_int_equal(press(number(1)), HF_E_USAGE);
    assert_int_equal(count_lines("answer"), 4);
    finish();
}

static void answers_wait_for_a_pause_to_end_and_hints_do_not(void **state)
{
    (void)state;
    struct hf_verdict verdict;
    struct hf_hint hint;
    begin_practice("hunt", "silent");
    assert_ok(press(HF_KEY_PAUSE));
    run_to(1280);
    assert_int_equal(answer(1 << 2 | 1 << 3 | 1 << 9, &verdict), HF_E_USAGE);
    assert_int_equal(count_lines("answer"), 0);
    assert_ok(hf_conductor_hint(&conductor, 1280, &hint, &refusal));
    virtual_tend(&v);
    assert_int_equal(count_lines("hint"), 1);
    finish();
    begin_practice("roam", "lead"); /* neither is of roam */
    assert_int_equal(hf_conductor_hint(&conductor, 0, &hint, &refusal), HF_E_USAGE);
    assert_int_equal(answer(1 << 2 | 1 << 3 | 1 << 9, &verdict), HF_E_USAGE);
    finish();
}

/* Ten minutes of any keys and answers: at no time does a line of the journal hold, as a set of
 * pitch classes, a completion that was not found by then. */
static void the_journal_never_tells_what_is_not_found(void **state)
{
    (void)state;
    static const char *const triads[] = {"C E G#", "Db F A", "D F# A#", "Eb G B"};
    struct hf_random random;
    for (int triad = 0; triad < 4; triad++) {
        const struct setting settings[] = {
            {"practice", "hunt"}, {"held", triads[triad]}, {"for", "10m"}, {NULL, NULL}};
        begin(settings);
        hf_random_init(&random, 5, (uint64_t)triad);
        hf_pcset sets[HF_SUBSETS_MOST];
        int count = hf_pcset_subsets(0xfff, 3, sets);
        while (!hf_transport_done(&v.transport) && v.rows < 1000) {
            struct hf_verdict verdict;
            struct hf_hint hint;
            run_to(v.transport.now + 64 * (1 + (int64_t)hf_random_below(&random, 400)));
            size_t from = v.length;
            uint32_t found = conductor.timeline.hunt.found;
            uint32_t draw = hf_random_below(&random, 10);
            int index = (int)hf_random_below(&random, (uint32_t)count);
            hf_pcset given = draw == 0 ? schedule.completions[index % 6].pcs : sets[index];
            if (draw < 6)
                (void)!answer(given, &verdict);
            else if (draw < 8)
                (void)!hf_conductor_hint(&conductor, v.transport.now, &hint, &refusal);
            else
                (void)!press(draw == 8 ? HF_KEY_AGAIN : HF_KEY_REVEAL);
            virtual_tend(&v);
            for (int i = 0; i < 6; i++) {
                char pcs[64];
                int list[HF_PCS];
                hf_pcset_list(schedule.completions[i].pcs, list);
                snprintf(pcs, sizeof pcs, "\"pcs\":[%d,%d,%d]", list[0], list[1], list[2]);
                bool known = found >> i & 1 || schedule.completions[i].pcs == given;
                if (!known && strstr(lines(from), pcs))
                    fail_msg("%s", lines(from));
            }
        }
        assert_true(count_lines("answer") > 100);
        assert_true(count_lines("hint") > 3);
        finish();
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(roam_never_advances_by_itself),
        cmocka_unit_test(a_choice_is_on_the_disk_before_it_begins),
        cmocka_unit_test(page_down_goes_around_the_ring),
        cmocka_unit_test(without_a_ring_page_down_goes_down_the_list),
        cmocka_unit_test(a_chord_brings_its_own_completion_first),
        cmocka_unit_test(numbers_that_nobody_has_and_keys_that_mean_nothing_are_told),
        cmocka_unit_test(keys_faster_than_the_sound_choose_once),
        cmocka_unit_test(in_confirm_it_sounds_when_asked_and_in_silent_never),
        cmocka_unit_test(a_choice_whose_next_comes_first_is_not_lost),
        cmocka_unit_test(for_ends_it_and_q_sooner),
        cmocka_unit_test(time_on_each_is_counted_without_the_pauses),
        cmocka_unit_test(suggestions_come_in_turn_and_name_the_notes),
        cmocka_unit_test(what_is_found_sounds_and_is_the_only_thing_recorded),
        cmocka_unit_test(answers_wait_for_a_pause_to_end_and_hints_do_not),
        cmocka_unit_test(the_journal_never_tells_what_is_not_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
