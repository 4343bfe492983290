/* SPDX-License-Identifier: MIT */
/* Damaged journals of players who pressed anything: the rest of them replays. derived: from the
 * promises in journal.h and replay.h; how many records are left out is counted by the test. */
#include "replaying.h"

static size_t lines_of(const char *text, size_t length)
{
    size_t lines = 0;
    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    return lines;
}

/* What salvage makes of a text replays, as the program would do it. */
static struct hf_journal salvaged(const char *text, size_t length)
{
    struct hf_journal journal;
    struct hf_replay replay;
    struct hf_timeline timeline;
    assert_ok(hf_journal_salvage(text, length, &journal, NULL));
    assert_ok(hf_replay_salvage(&journal, NULL));
    assert_ok(hf_replay_timeline(&journal, &timeline, NULL));
    assert_ok(hf_replay_init(&replay, &journal, journal.head.request.rate_hz, NULL));
    assert_int_equal(replay.length, hf_timeline_length(&timeline));
    hf_replay_deinit(&replay);
    hf_timeline_deinit(&timeline);
    return journal;
}

static void damage_bytes(char *text, size_t from, size_t length, struct hf_random *random)
{
    for (uint32_t i = hf_random_below(random, 4) + 1; i > 0; i--)
        text[from + hf_random_below(random, (uint32_t)(length - from))] =
            (char)hf_random_below(random, 256);
}

static size_t remove_line(char *text, size_t from, size_t length, struct hf_random *random)
{
    size_t at = from + hf_random_below(random, (uint32_t)(length - from));
    while (at > from && text[at - 1] != '\n')
        at--;
    const char *end = memchr(text + at, '\n', length - at);
    size_t size = (size_t)(end - (text + at)) + 1;
    memmove(text + at, text + at + size, length - at - size);
    return length - size;
}

static size_t start_of_third(const char *text, size_t length)
{
    const char *hold = memchr(text, '\n', length);
    const char *third = memchr(hold + 1, '\n', length - (size_t)(hold + 1 - text));
    return (size_t)(third + 1 - text);
}

static void try_one(uint64_t seed)
{
    struct hf_random random;
    const char *lines = played.session.lines;
    size_t length = played.session.length, third = start_of_third(lines, length);
    hf_random_init(&random, seed, 5);
    struct hf_journal journal = salvaged(lines, length);
    assert_int_equal(journal.left_out, 0);
    size_t whole = journal.count;
    hf_journal_deinit(&journal);
    char *text = malloc(length);
    assert_non_null(text);
    for (int round = 0; round < 12 && third < length; round++) {
        size_t now = length, gone = hf_random_below(&random, 3);
        memcpy(text, lines, length);
        for (size_t i = 0; i < gone && third < now; i++)
            now = remove_line(text, third, now, &random);
        if (third < now && (round % 2 || gone == 0))
            damage_bytes(text, third, now, &random);
        journal = salvaged(text, now);
        /* What is kept, left out and torn is all that there was; only of the last records nobody
         * can know that they were there. */
        size_t told = journal.count + journal.left_out + (size_t)journal.torn;
        size_t there = lines_of(text, now);
        if (journal.count > whole || told + 2 + gone < there || (told > whole + 4))
            fail_msg("%zu kept, %zu left out, of %zu", journal.count, journal.left_out, whole);
        hf_journal_deinit(&journal);
    }
    free(text);
}

static void salvage_sessions(const struct setting *settings, uint64_t count)
{
    struct hf_request request = request_of(settings);
    if (getenv("SOAK"))
        count *= 30;
    for (uint64_t seed = 1; seed <= count; seed++) {
        play(&played, &request, seed, 4, 25);
        try_one(seed);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

static void what_is_left_of_any_session_replays(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"seed", "5"},     {NULL, NULL}};
    salvage_sessions(settings, 100);
}

static void what_is_left_of_a_session_that_waited_replays(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "wait"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"seed", "5"},     {NULL, NULL}};
    salvage_sessions(settings, 60);
}

static void what_is_left_of_choices_and_answers_replays(void **state)
{
    (void)state;
    const struct setting roam[] = {{"practice", "roam"}, {"held", "C E G#"}, {"for", "20s"},
                                   {"rate", "8000"},     {"seed", "5"},      {NULL, NULL}};
    const struct setting ear[] = {{"practice", "ear"}, {"every", "1s"}, {"lead-in", "0.5s"},
                                  {"rate", "8000"},    {"seed", "5"},   {NULL, NULL}};
    salvage_sessions(roam, 40);
    salvage_sessions(ear, 40);
}

static void what_is_left_of_unfolded_chords_and_a_soft_drone_replays(void **state)
{
    (void)state;
    const struct setting unfold[] = {{"unfold", "3-5,3-11"}, {"step", "1s"},   {"every", "1s"},
                                     {"lead-in", "0.5s"},    {"rate", "8000"}, {"seed", "5"},
                                     {"support", "fading"},  {"rounds", "1"},  {NULL, NULL}};
    salvage_sessions(unfold, 40);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_left_of_any_session_replays),
        cmocka_unit_test(what_is_left_of_a_session_that_waited_replays),
        cmocka_unit_test(what_is_left_of_choices_and_answers_replays),
        cmocka_unit_test(what_is_left_of_unfolded_chords_and_a_soft_drone_replays),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
