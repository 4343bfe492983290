/* SPDX-License-Identifier: MIT */
/*
 * The promise of tests/test_replay.c for sessions that speak: what is said, and what gives way to
 * it, comes at the same samples again, and moves no note (derived: from the promise itself).
 */
#include "replaying.h"

/* Every way to cue, cues that end of themselves and cues that the player ends, names alone and all
 * there is to say. */
static void any_keys_replay_exactly_while_it_speaks(void **state)
{
    (void)state;
    static const char *const ways[] = {"lead", "confirm", "silent", "ear", "gap", "reverse"};
    static const char *const lengths[] = {"1.5s", "wait"};
    for (size_t way = 0; way < 6; way++)
        for (size_t i = 0; i < 4; i++) {
            const struct setting settings[] = {
                {"cue", ways[way]},  {"every", lengths[i % 2]}, {"speak", i < 2 ? "names" : "all"},
                {"lead-in", "0.7s"}, {"rate", "8000"},          {"rounds", "1"},
                {NULL, NULL}};
            try_sessions(settings, 40, 6, 12);
        }
}

/* With speech and without: the same notes at the same samples, whatever the player does. */
static void what_is_spoken_moves_no_note(void **state)
{
    (void)state;
    static const char *const ways[] = {"lead", "confirm", "silent", "ear", "gap", "reverse"};
    static struct played mute;
    for (uint64_t seed = 1; seed <= 120; seed++) {
        const struct setting settings[] = {{"cue", ways[seed % 6]},
                                           {"every", seed % 4 ? "1.5s" : "wait"},
                                           {"speak", "all"},
                                           {"lead-in", "0.7s"},
                                           {"rate", "8000"},
                                           {"rounds", "1"},
                                           {NULL, NULL}};
        struct hf_request request = request_of(settings);
        mute.silent = true;
        played.deaf = true;
        play(&played, &request, seed, 6, 12);
        play(&mute, &request, seed, 6, 12);
        compare(&played.session, &mute.session, seed);
        played.deaf = false;
        virtual_end(&played.session);
        virtual_end(&mute.session);
        hf_conductor_deinit(&played.conductor);
        hf_conductor_deinit(&mute.conductor);
    }
}

static void what_is_spoken_moves_no_note_at_another_rate(void **state)
{
    (void)state;
    const struct setting spoken[] = {{"held", "C E G#"}, {"every", "1.5s"}, {"lead-in", "0.5s"},
                                     {"rate", "48000"},  {"speak", "all"},  {"cue", "gap"},
                                     {"rounds", "1"},    {NULL, NULL}};
    deaf = played.deaf = true;
    try_other_rates(spoken, 60, 8, 60);
    deaf = played.deaf = false;
}

static void any_keys_replay_exactly_with_breaks_that_are_told(void **state)
{
    (void)state;
    breaks_seen = 0;
    static const char *const speaks[] = {"names", "all"}, *const lengths[] = {"0.9s", "wait"};
    for (size_t i = 0; i < 4; i++) {
        const struct setting settings[] = {{"held", "C E G#"},       {"every", lengths[i / 2]},
                                           {"lead-in", "0.5s"},      {"rate", "8000"},
                                           {"rounds", "2"},          {"break-every", "1.5s"},
                                           {"speak", speaks[i % 2]}, {NULL, NULL}};
        try_sessions(settings, 80, i < 2 ? 8 : 60, 20);
    }
    assert_true(breaks_seen > 100);
}

/* What is asked at each level, and what of it is too late; a chord that is read out; a class that
 * is unfolded; the steps of a warm-up. */
static void any_keys_replay_exactly_in_each_practice_that_speaks(void **state)
{
    (void)state;
    static const struct {
        const char *practice, *key, *value;
    } rows[] = {{"ear", "level", "1+"},        {"ear", "level", "2+"}, {"ear", "level", "6"},
                {"sight", "rounds", "1"},      {"roam", "for", "20s"}, {"hunt", "for", "20s"},
                {"improvise", "unfold", "3-5"}};
    static const char *const lengths[] = {"4s", "wait"};
    for (size_t row = 0; row < 7; row++)
        for (size_t length = 0; length < 2; length++) {
            bool timed = length == 0 && row != 4 && row != 5;
            struct setting settings[] = {{"practice", rows[row].practice},
                                         {rows[row].key, rows[row].value},
                                         {"speak", "all"},
                                         {"lead-in", "1.5s"},
                                         {"rate", "8000"},
                                         {timed ? "rounds" : "seed", "1"},
                                         {"every", lengths[length]},
                                         {NULL, NULL}};
            if (row == 4 || row == 5) /* there the player says when */
                settings[3] = settings[4], settings[6].key = NULL;
            try_sessions(settings, 60, 8, 60);
            try_sessions(settings, 10, 90, 20);
        }
    const struct setting warmup[] = {{"practice", "warmup"}, {"for", "3m"},    {"rate", "8000"},
                                     {"cue", "lead"},        {"speak", "all"}, {NULL, NULL}};
    try_sessions(warmup, 40, 8, 300);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_keys_replay_exactly_while_it_speaks),
        cmocka_unit_test(what_is_spoken_moves_no_note),
        cmocka_unit_test(what_is_spoken_moves_no_note_at_another_rate),
        cmocka_unit_test(any_keys_replay_exactly_in_each_practice_that_speaks),
        cmocka_unit_test(any_keys_replay_exactly_with_breaks_that_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
