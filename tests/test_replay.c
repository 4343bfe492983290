/* SPDX-License-Identifier: MIT */
/*
 * The promise that everything stands on: whatever a player does, and however late the conductor
 * hears of it, the journal gives the same actions at the same samples again. Tried on thousands of
 * random sessions on a virtual clock (derived: from the promise itself, no outside source).
 */
#include "replaying.h"

static void any_keys_replay_alike_at_another_rate(void **state)
{
    (void)state;
    const struct setting confirm[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                      {"rate", "48000"},  {"seed", "5"},     {NULL, NULL}};
    const struct setting lead[] = {{"held", "Db F A"}, {"every", "0.1s"}, {"lead-in", "0"},
                                   {"rate", "44100"},  {"cue", "lead"},   {"seed", "6"},
                                   {NULL, NULL}};
    const struct setting wait[] = {{"held", "C E G#"}, {"every", "wait"}, {"lead-in", "0.3s"},
                                   {"rate", "22050"},  {"seed", "7"},     {NULL, NULL}};
    try_other_rates(confirm, 400, 8, 60);
    try_other_rates(lead, 400, 8, 30);
    const struct setting reverse[] = {{"cue", "reverse"}, {"every", "0.7s"}, {"lead-in", "0.3s"},
                                      {"rate", "44100"},  {"rounds", "1"},   {NULL, NULL}};
    const struct setting roam[] = {{"practice", "roam"}, {"held", "C E G#"}, {"cue", "lead"},
                                   {"for", "20s"},       {"rate", "44100"},  {NULL, NULL}};
    const struct setting hunt[] = {
        {"practice", "hunt"}, {"held", "C E G#"}, {"for", "20s"}, {"rate", "22050"}, {NULL, NULL}};
    try_other_rates(roam, 300, 8, 30);
    try_other_rates(hunt, 300, 8, 30);
    try_other_rates(wait, 400, 8, 30);
    try_other_rates(reverse, 200, 8, 60);
    const struct setting warmup[] = {{"practice", "warmup"}, {"every", "61s"}, {"lead-in", "1s"},
                                     {"rate", "44100"},      {"rounds", "1"},  {NULL, NULL}};
    try_other_rates(warmup, 60, 8, 4000);
    const struct setting ear[] = {{"practice", "ear"}, {"level", "6+"},   {"every", "0.7s"},
                                  {"lead-in", "0.3s"}, {"rate", "44100"}, {"rounds", "2"},
                                  {NULL, NULL}};
    const struct setting slow_ear[] = {{"practice", "ear"}, {"level", "2+"},   {"every", "wait"},
                                       {"lead-in", "0.3s"}, {"rate", "22050"}, {"rounds", "2"},
                                       {NULL, NULL}};
    try_other_rates(ear, 200, 8, 60);
    try_other_rates(slow_ear, 200, 8, 30);
    const struct setting sight[] = {{"practice", "sight"}, {"every", "0.7s"}, {"lead-in", "0.3s"},
                                    {"rate", "44100"},     {"rounds", "1"},   {NULL, NULL}};
    try_other_rates(sight, 100, 8, 60);
}

static void any_keys_replay_exactly_in_confirm(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"seed", "5"},     {NULL, NULL}};
    const struct setting weak[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                   {"rate", "8000"},   {"order", "weak"}, {NULL, NULL}};
    try_sessions(settings, 500, 8, 12);
    try_sessions(weak, 60, 8, 12);
}

static void any_keys_replay_exactly_in_lead_at_odd_times(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "Db F A"}, {"every", "0.1s"}, {"lead-in", "0"},
                                       {"rate", "8001"},   {"cue", "lead"},   {"order", "ring"},
                                       {"rounds", "4"},    {"seed", "6"},     {NULL, NULL}};
    try_sessions(settings, 500, 3, 5);
}

static void any_keys_replay_exactly_with_a_count_in(void **state)
{
    (void)state;
    const struct setting settings[] = {
        {"held", "C E G#"}, {"every", "3beats"}, {"lead-in", "5beats"}, {"tempo", "400"},
        {"rate", "8000"},   {"rounds", "1"},     {NULL, NULL}};
    try_sessions(settings, 166, 6, 8);
    const struct setting tick[] = {{"every", "7beats"}, {"lead-in", "5beats"}, {"tempo", "333"},
                                   {"rate", "8001"},    {"rounds", "1"},       {"tick", "on"},
                                   {NULL, NULL}};
    const struct setting wait[] = {{"every", "wait"}, {"tempo", "500"}, {"rate", "8000"},
                                   {"tick", "on"},    {"rounds", "1"},  {NULL, NULL}};
    try_sessions(tick, 166, 6, 8);
    try_sessions(wait, 166, 6, 8);
}

static void any_keys_replay_exactly_when_the_player_ends_each_cue(void **state)
{
    (void)state;
    const struct setting confirm[] = {{"held", "C E G#"}, {"every", "wait"}, {"lead-in", "0.3s"},
                                      {"rate", "8000"},   {"rounds", "1"},   {NULL, NULL}};
    const struct setting lead[] = {{"held", "C E G#"}, {"every", "wait"}, {"lead-in", "0.3s"},
                                   {"rate", "8000"},   {"cue", "lead"},   {"rounds", "1"},
                                   {NULL, NULL}};
    try_sessions(confirm, 266, 6, 8);
    try_sessions(lead, 266, 6, 8);
}

static void any_keys_replay_exactly_in_every_way_to_cue(void **state)
{
    (void)state;
    static const char *const ways[] = {"silent", "ear", "gap", "reverse"};
    static const char *const lengths[] = {"0.7s", "wait"};
    for (size_t way = 0; way < 4; way++)
        for (size_t length = 0; length < 2; length++) {
            const struct setting settings[] = {{"cue", ways[way]},  {"every", lengths[length]},
                                               {"lead-in", "0.5s"}, {"rate", "8000"},
                                               {"rounds", "1"},     {NULL, NULL}};
            try_sessions(settings, 83, 6, 10);
        }
}

/* Between the cues of a warm-up there are rests, in which any key may come too. */
static void any_keys_replay_exactly_with_rests_between_the_cues(void **state)
{
    (void)state;
    const struct setting settings[] = {{"practice", "warmup"}, {"every", "61s"}, {"lead-in", "1s"},
                                       {"rate", "8000"},       {"rounds", "1"},  {NULL, NULL}};
    const struct setting short_one[] = {
        {"practice", "warmup"}, {"for", "3m"}, {"rate", "8000"}, {"cue", "lead"}, {NULL, NULL}};
    try_sessions(settings, 120, 8, 1000);
    try_sessions(short_one, 60, 8, 300);
}

/* Where the player begins each cue, the first one too, and says which. */
static void any_choices_replay_exactly(void **state)
{
    (void)state;
    static const char *const ways[] = {"confirm", "lead", "silent"};
    for (size_t way = 0; way < 3; way++) {
        const struct setting settings[] = {{"practice", "roam"}, {"held", "C E G#"},
                                           {"cue", ways[way]},   {"for", "20s"},
                                           {"rate", "8000"},     {NULL, NULL}};
        try_sessions(settings, 120, 6, 8);
        try_sessions(settings, 40, 90, 1);
        try_sessions(settings, 40, 90, 30);
    }
    const struct setting many[] = {{"practice", "roam"}, {"held", "C E"},  {"added", "025"},
                                   {"cue", "lead"},      {"rate", "8000"}, {NULL, NULL}};
    const struct setting grip[] = {{"practice", "roam"}, {"held", "C E G#"}, {"register", "all"},
                                   {"spread", "wide"},   {"rate", "8001"},   {"for", "9s"},
                                   {NULL, NULL}};
    try_sessions(many, 100, 6, 8);
    try_sessions(grip, 100, 6, 8);
}

static void any_answers_replay_exactly(void **state)
{
    (void)state;
    const struct setting lead[] = {
        {"practice", "hunt"}, {"held", "C E G#"}, {"for", "20s"}, {"rate", "8000"}, {NULL, NULL}};
    const struct setting silent[] = {{"practice", "hunt"},
                                     {"held", "D F# A#"},
                                     {"cue", "silent"},
                                     {"rate", "8000"},
                                     {NULL, NULL}};
    try_sessions(lead, 200, 6, 8);
    try_sessions(lead, 60, 90, 1);
    try_sessions(silent, 100, 6, 8);
}

static void any_keys_replay_exactly_while_the_drone_lets_go(void **state)
{
    (void)state;
    static const char *const lengths[] = {"0.7s", "wait"};
    for (size_t length = 0; length < 2; length++) {
        const struct setting settings[] = {{"support", "fading"}, {"every", lengths[length]},
                                           {"lead-in", "0.5s"},   {"rate", "8000"},
                                           {"rounds", "1"},       {NULL, NULL}};
        try_sessions(settings, 150, 6, 10);
    }
    const struct setting path[] = {{"support", "fading"},
                                   {"every", "0.7s"},
                                   {"lead-in", "0.5s"},
                                   {"rate", "44100"},
                                   {NULL, NULL}};
    try_other_rates(path, 100, 8, 60);
}

static void any_keys_replay_exactly_while_chords_unfold(void **state)
{
    (void)state;
    static const char *const lengths[] = {"0.7s", "wait"}, *const ways[] = {"confirm", "gap",
                                                                            "ear"};
    for (size_t way = 0; way < 3; way++)
        for (size_t length = 0; length < 2; length++) {
            const struct setting settings[] = {{"unfold", "3-5,3-11,3-1"},
                                               {"step", "1s"},
                                               {"every", lengths[length]},
                                               {"cue", ways[way]},
                                               {"lead-in", "0.5s"},
                                               {"rate", "8000"},
                                               {"rounds", "1"},
                                               {NULL, NULL}};
            try_sessions(settings, 60, 6, 10);
        }
    const struct setting other[] = {{"unfold", "3-5,3-11"}, {"step", "1s"},    {"every", "0.7s"},
                                    {"lead-in", "0.5s"},    {"rate", "44100"}, {NULL, NULL}};
    try_other_rates(other, 60, 8, 60);
}

static void any_keys_replay_exactly_with_breaks(void **state)
{
    (void)state;
    breaks_seen = 0;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"rounds", "3"},   {"break-every", "1s"},
                                       {NULL, NULL}};
    const struct setting wait[] = {{"every", "wait"}, {"lead-in", "0.3s"},     {"rate", "8000"},
                                   {"rounds", "2"},   {"break-every", "1.5s"}, {NULL, NULL}};
    try_sessions(settings, 200, 8, 20);
    try_sessions(wait, 200, 90, 8);
    assert_true(breaks_seen > 250);
}

/* Levels go down and, where the answers happen to be right, up; every level's way of sounding. */
static void any_keys_and_answers_replay_exactly_in_ear(void **state)
{
    (void)state;
    static const char *const levels[] = {"1+", "2+", "3", "5+", "6+"};
    static const char *const lengths[] = {"0.7s", "wait"};
    for (size_t level = 0; level < 5; level++)
        for (size_t length = 0; length < 2; length++) {
            const struct setting settings[] = {
                {"practice", "ear"},  {"level", levels[level]},
                {"near-miss", "yes"}, {"every", lengths[length]},
                {"lead-in", "0.5s"},  {"rate", "8000"},
                {"rounds", "2"},      {level % 2 ? "held" : "seed", level % 2 ? "C E G#" : "5"},
                {NULL, NULL}};
            try_sessions(settings, 40, 6, 10);
            try_sessions(settings, 10, 90, 10); /* a disk that is slower than the cues */
            try_sessions(settings, 10, 3, 1);   /* a key that is held down */
        }
}

static void any_keys_replay_exactly_where_the_span_breathes(void **state)
{
    (void)state;
    static const char *const practices[] = {"improvise", "ear"};
    for (size_t i = 0; i < 2; i++) {
        const struct setting settings[] = {{"practice", practices[i]},
                                           {"breathe", "1.5s..0.3s"},
                                           {"every", "0.7s"},
                                           {"lead-in", "0.5s"},
                                           {"rate", "8000"},
                                           {"rounds", "3"},
                                           {NULL, NULL}};
        try_sessions(settings, 100, 8, 12);
    }
}

/* The halves of each chord apart, then together; again in the same way. */
static void any_keys_and_answers_replay_exactly_in_sight(void **state)
{
    (void)state;
    static const char *const lengths[] = {"0.7s", "9s", "wait"};
    for (size_t length = 0; length < 3; length++) {
        const struct setting settings[] = {{"practice", "sight"}, {"every", lengths[length]},
                                           {"lead-in", "0.5s"},   {"rate", "8000"},
                                           {"rounds", "1"},       {NULL, NULL}};
        try_sessions(settings, 80, 6, length == 1 ? 120 : 10);
        try_sessions(settings, 20, 90, 10);
    }
}

/* A conductor that sleeps for longer than a cue lasts: the transport must stay by itself. */
static void a_slow_disk_makes_a_stay_that_is_recorded(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.2s"}, {"lead-in", "0.1s"},
                                       {"rate", "8000"},   {"rounds", "2"},   {NULL, NULL}};
    struct hf_request request = request_of(settings);
    try_sessions(settings, 266, 90, 30);
    play(&played, &request, 3, 90, 1000000);
    assert_non_null(strstr(played.session.lines, "\"t\":\"stay\""));
    virtual_end(&played.session);
    hf_conductor_deinit(&played.conductor);
}

/* A key held down, or text pasted into the terminal: more keys than can be obeyed, with a disk that
 * is slower than they are. None may get lost in the record, and nothing may stand still for good.
 */
static void a_flood_of_keys_replays_exactly(void **state)
{
    (void)state;
    const struct setting timed[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                    {"rate", "8000"},   {"rounds", "8"},   {NULL, NULL}};
    const struct setting wait[] = {{"held", "C E G#"}, {"every", "wait"}, {"lead-in", "0.3s"},
                                   {"rate", "8000"},   {"rounds", "8"},   {NULL, NULL}};
    try_sessions(timed, 100, 90, 1);
    try_sessions(timed, 100, 3, 1);
    try_sessions(wait, 100, 90, 1);
}

/* Whoever listens to a replay may pause it, also where the session was paused: nothing gets lost.
 */
static void a_replay_may_be_paused_anywhere(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"seed", "5"},     {NULL, NULL}};
    struct hf_request request = request_of(settings);
    struct hf_random random;
    hf_random_init(&random, 1, 1);
    for (uint64_t seed = 1; seed <= 300; seed++) {
        struct hf_journal journal;
        struct hf_replay replay;
        struct hf_report late[HF_TRANSPORT_REPORTS];
        struct hf_event press = {.kind = HF_EVENT_PAUSE, .at = HF_AT_ONCE, .after = HF_AT_ONCE};
        play(&played, &request, seed, 8, 40);
        assert_ok(hf_journal_parse(played.session.lines, played.session.length, &journal, NULL));
        assert_ok(hf_replay_init(&replay, &journal, 8000, NULL));
        virtual_begin(&again, hf_replay_source(&replay), 8000);
        /* Not in a pause of the record, where the two would meet. */
        uint32_t first = hf_random_below(&random, 200);
        for (uint32_t chunk = 0; !hf_transport_done(&again.transport); chunk++) {
            int count = 0;
            virtual_tend(&again);
            if (chunk >= first && press.kind == HF_EVENT_PAUSE &&
                again.transport.out_at == HF_NEVER) {
                assert_true(hf_transport_take(&again.transport, &press));
                press.kind = HF_EVENT_RESUME;
                first = chunk + 100;
            } else if (chunk >= first && press.kind == HF_EVENT_RESUME) {
                assert_true(hf_transport_take(&again.transport, &press));
                press.kind = HF_EVENT_FINISH; /* no more */
            }
            virtual_chunk(&again, late, &count);
            virtual_reports(&again, late, &count);
            assert_true(chunk < 100000);
        }
        /* By the session's clock everything is where it was; one recorded pause may be left out. */
        for (int i = 0; i < played.session.rows && i < again.rows; i++)
            if (played.session.trace[i].kind != again.trace[i].kind ||
                played.session.trace[i].session != again.trace[i].session)
                fail_msg("seed %llu: action %d differs", (unsigned long long)seed, i);
        if (played.session.rows != again.rows && !played.session.transport.cut)
            fail_msg("seed %llu: %d actions, paused %d\n%.*s", (unsigned long long)seed,
                     played.session.rows, again.rows, (int)played.session.length,
                     played.session.lines);
        hf_replay_deinit(&replay);
        hf_journal_deinit(&journal);
        virtual_end(&again);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

/* Killed: the journal without its later lines replays, up to the end of the last whole cue, which
 * was written ahead; every action up to the last whole record is the same. */
static void a_journal_cut_after_any_line_replays_what_it_tells(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"seed", "5"},     {NULL, NULL}};
    struct hf_request request = request_of(settings);
    for (uint64_t seed = 1; seed <= 60; seed++) {
        play(&played, &request, seed, 4, 25);
        struct virtual_session *v = &played.session;
        size_t line = 0, last = 0;
        for (size_t i = 0; i < v->length; i++) {
            if (v->lines[i] != '\n' || line++ < 2)
                continue;
            int64_t whole = 0;
            replay(&again, v->lines, i + 1, 0, &whole);
            const struct hf_transport *t = &again.transport;
            if (again.output < whole)
                fail_msg("seed %llu, line %zu: %lld samples of %lld\n%.*s",
                         (unsigned long long)seed, line, (long long)again.output, (long long)whole,
                         (int)i, v->lines);
            assert_true(t->cut || i + 1 == v->length || t->end_fade == 5 * 8000);
            virtual_end(&again);
            last = i;
        }
        assert_true(last > 0);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

/* Records that only say something, anywhere among the others and after the end: the same events. */
static void answers_and_levels_move_nothing(void **state)
{
    (void)state;
    static const struct hf_record notes[] = {
        {.type = HF_RECORD_ANSWER, .cue = 2, .id = 3, .right = true},
        {.type = HF_RECORD_ANSWER, .pcs = 0x86, .finding = HF_FOUND},
        {.type = HF_RECORD_HINT, .hints = 1},
        {.type = HF_RECORD_LEVEL, .level = 2, .level_why = HF_LEVEL_UP}};
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "0.7s"}, {"lead-in", "0.5s"},
                                       {"rate", "8000"},   {"seed", "5"},     {NULL, NULL}};
    struct hf_request request = request_of(settings);
    for (uint64_t seed = 1; seed <= 40; seed++) {
        struct hf_journal journal, more;
        struct hf_replay plain, noted;
        play(&played, &request, seed, 4, 25);
        assert_ok(hf_journal_parse(played.session.lines, played.session.length, &journal, NULL));
        more = journal;
        more.records = calloc(5 * journal.count, sizeof *more.records);
        assert_non_null(more.records);
        more.count = 0;
        for (size_t i = 0; i < journal.count; i++) {
            const struct hf_record *record = &journal.records[i];
            more.records[more.count++] = *record;
            for (size_t j = 0; record->at != HF_NEVER && j < sizeof notes / sizeof notes[0]; j++) {
                more.records[more.count] = notes[j];
                more.records[more.count++].at = record->at;
            }
        }
        assert_ok(hf_replay_init(&plain, &journal, 8000, NULL));
        assert_ok(hf_replay_init(&noted, &more, 8000, NULL));
        assert_int_equal(plain.count, noted.count);
        assert_int_equal(plain.length, noted.length);
        assert_memory_equal(plain.events, noted.events, plain.count * sizeof *plain.events);
        hf_replay_deinit(&plain);
        hf_replay_deinit(&noted);
        free(more.records);
        hf_journal_deinit(&journal);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_keys_replay_exactly_in_confirm),
        cmocka_unit_test(any_keys_replay_exactly_in_lead_at_odd_times),
        cmocka_unit_test(any_keys_replay_exactly_with_a_count_in),
        cmocka_unit_test(any_keys_replay_exactly_when_the_player_ends_each_cue),
        cmocka_unit_test(any_keys_replay_exactly_in_every_way_to_cue),
        cmocka_unit_test(any_choices_replay_exactly),
        cmocka_unit_test(any_answers_replay_exactly),
        cmocka_unit_test(answers_and_levels_move_nothing),
        cmocka_unit_test(any_keys_and_answers_replay_exactly_in_ear),
        cmocka_unit_test(any_keys_and_answers_replay_exactly_in_sight),
        cmocka_unit_test(any_keys_replay_exactly_where_the_span_breathes),
        cmocka_unit_test(a_slow_disk_makes_a_stay_that_is_recorded),
        cmocka_unit_test(any_keys_replay_exactly_with_rests_between_the_cues),
        cmocka_unit_test(any_keys_replay_exactly_with_breaks),
        cmocka_unit_test(any_keys_replay_exactly_while_chords_unfold),
        cmocka_unit_test(any_keys_replay_exactly_while_the_drone_lets_go),
        cmocka_unit_test(any_keys_replay_alike_at_another_rate),
        cmocka_unit_test(a_replay_may_be_paused_anywhere),
        cmocka_unit_test(a_flood_of_keys_replays_exactly),
        cmocka_unit_test(a_journal_cut_after_any_line_replays_what_it_tells),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
