/* SPDX-License-Identifier: MIT */
/*
 * The promise that everything stands on: whatever a player does, and however late the conductor
 * hears of it, the journal gives the same actions at the same samples again. Tried on thousands of
 * random sessions on a virtual clock (derived: from the promise itself, no outside source).
 */
#include "talker.h"
#include "virtual.h"

#include <stdio.h>

#include <holdfast/random.h>

struct setting {
    const char *key, *value;
};

static struct hf_request request_of(const struct setting *settings)
{
    struct hf_request request;
    hf_request_init(&request);
    for (; settings->key; settings++)
        for (int key = 0; key < HF_OPTIONS; key++)
            if (strcmp(hf_option_name((enum hf_option)key), settings->key) == 0)
                assert_ok(hf_request_set(&request, (enum hf_option)key, settings->value, NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    return request;
}

static struct hf_schedule schedule; /* large */

struct played {
    struct virtual_session session;
    struct hf_timeline timeline; /* the conductor's */
    struct hf_conductor conductor;
    struct hf_narrator narrator;
    bool silent; /* does not speak, whatever the request says */
    bool deaf;   /* what is spoken is not in the trace */
};

static void write_head(struct virtual_session *v, const struct hf_request *request)
{
    struct hf_head head;
    char *line;
    assert_ok(hf_head_init(&head, "holdfast test", "2026-11-25T08:39:17+00:00", request,
                           "[patch]\n", "[patch]\n", NULL));
    assert_ok(hf_journal_format_head(&head, &line, &v->length, NULL));
    memcpy(v->lines, line, v->length);
    free(line);
    hf_head_deinit(&head);
}

/* Any three notes in hunt, half of them a completion; now and then a hint. */
static enum hf_status hunt_any(struct played *p, struct hf_random *random, int64_t now)
{
    struct hf_verdict verdict;
    struct hf_hint hint;
    struct hf_diag diag;
    hf_pcset pcs = 0;
    if (hf_random_below(random, 5) == 0)
        return hf_conductor_hint(&p->conductor, now, &hint, &diag);
    while (hf_pcset_size(pcs) < 3)
        pcs = (hf_pcset)(pcs | 1u << hf_random_below(random, HF_PCS));
    if (hf_random_below(random, 2) == 0)
        pcs = schedule.completions[hf_random_below(random, (uint32_t)schedule.count)].pcs;
    return hf_conductor_answer(&p->conductor, pcs, now, &verdict, &diag);
}

/* The output goes away, or comes back. */
static void turn_away(struct hf_conductor *conductor)
{
    if (conductor->away)
        hf_conductor_back(conductor);
    else
        hf_conductor_away(conductor);
}

static enum hf_status press_any(struct played *p, struct hf_random *random, long chunk)
{
    if (hf_random_below(random, 12) == 0)
        turn_away(&p->conductor);
    /* Quitting is rare, and the longer it takes the likelier. */
    uint32_t draw = hf_random_below(random, 100);
    int64_t now = p->session.transport.now;
    enum hf_key key = draw < 20   ? HF_KEY_STAY
                      : draw < 38 ? HF_KEY_PAUSE
                      : draw < 41 ? HF_KEY_LOUDER
                      : draw < 46 ? HF_KEY_SOFTER
                      : draw < 65 ? HF_KEY_NEXT
                      : draw < 75 ? HF_KEY_AGAIN
                      : draw < 85 ? HF_KEY_REVEAL
                      : draw < 90 ? HF_KEY_GOT
                      : draw < 95 ? HF_KEY_MISSED
                      : draw < 98 ? HF_KEY_QUIT
                                  : HF_KEY_SIGNAL;
    if ((key == HF_KEY_QUIT || key == HF_KEY_SIGNAL) && chunk < 400)
        key = HF_KEY_NEXT;
    enum hf_practice practice = p->conductor.request->practice;
    if (key == HF_KEY_STAY && practice == HF_PRACTICE_ROAM)
        key = (enum hf_key)(HF_KEY_CHOICE_1 + (int)hf_random_below(random, 9));
    if ((key == HF_KEY_STAY || key == HF_KEY_NEXT) && practice == HF_PRACTICE_HUNT)
        return hunt_any(p, random, now);
    if ((practice == HF_PRACTICE_EAR || practice == HF_PRACTICE_SIGHT) &&
        hf_random_below(random, 2) == 0)
        key = hf_random_below(random, 3) ? HF_KEY_CHOICE_1 + hf_random_below(random, 6)
                                         : HF_KEY_CHOICE_NONE;
    struct hf_diag diag;
    return hf_conductor_key(&p->conductor, key, now, &diag);
}

/* Plays with random keys until the end. `late_chunks`: how long reports may lie before the
 * conductor is tended. */
static void play(struct played *p, const struct hf_request *request, uint64_t seed, int late_chunks,
                 int key_every)
{
    struct hf_random random;
    struct hf_report *late = calloc(100000, sizeof *late);
    int late_count = 0, wait = 0;
    hf_random_init(&random, seed, 77);
    hf_schedule_deinit(&schedule); /* of the session before */
    assert_ok(hf_schedule_init(&schedule, request, NULL));
    if (request->speak != HF_SPEAK_OFF && !p->silent) {
        hf_narrator_init(&p->narrator, &p->conductor, request, schedule.total, talker_begin());
        assert_ok(hf_conductor_init_naming(&p->conductor, request, &schedule,
                                           hf_narrator_naming(&p->narrator), NULL));
        virtual_begin(&p->session, hf_narrator_source(&p->narrator), request->rate_hz);
    } else {
        assert_ok(hf_conductor_init(&p->conductor, request, &schedule, NULL));
        virtual_begin(&p->session, hf_conductor_source(&p->conductor), request->rate_hz);
    }
    write_head(&p->session, request);
    p->session.deaf = p->deaf;
    virtual_tend(&p->session);
    for (long chunk = 0; !hf_transport_done(&p->session.transport); chunk++) {
        assert_true(chunk < 1000000);
        virtual_chunk(&p->session, late, &late_count);
        hf_conductor_break(&p->conductor, p->session.transport.now);
        if (hf_random_below(&random, (uint32_t)key_every) == 0) {
            enum hf_status status = press_any(p, &random, chunk);
            assert_true(status == HF_OK || status == HF_E_USAGE);
        }
        if (wait-- <= 0) {
            virtual_tend(&p->session);
            virtual_reports(&p->session, late, &late_count);
            wait = late_chunks ? (int)hf_random_below(&random, (uint32_t)late_chunks) : 0;
        }
    }
    virtual_reports(&p->session, late, &late_count);
    virtual_tend(&p->session);
    free(late);
}

static bool deaf; /* to what is spoken: it moves nothing, and its place is the nearest */

static void replay(struct virtual_session *v, const char *lines, size_t length, int rate_hz,
                   int64_t *whole)
{
    struct hf_journal journal;
    struct hf_replay replay;
    struct hf_report late[HF_TRANSPORT_REPORTS];
    struct hf_diag diag;
    if (hf_journal_parse(lines, length, &journal, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    assert_false(journal.torn);
    if (rate_hz == 0)
        rate_hz = journal.head.request.rate_hz;
    if (hf_replay_init(&replay, &journal, rate_hz, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    *whole = replay.length;
    assert_true(*whole < (int64_t)rate_hz * 3600); /* all sessions here are far shorter */
    virtual_begin(v, hf_replay_source(&replay), rate_hz);
    v->deaf = deaf;
    while (!hf_transport_done(&v->transport)) {
        int count = 0;
        virtual_tend(v);
        virtual_chunk(v, late, &count);
        virtual_reports(v, late, &count);
        assert_true(v->output < *whole + 2 * HF_GRID);
    }
    hf_replay_deinit(&replay);
    hf_journal_deinit(&journal);
}

static void compare(const struct virtual_session *a, const struct virtual_session *b, uint64_t seed)
{
    for (int i = 0; i < a->rows && i < b->rows; i++)
        if (memcmp(&a->trace[i], &b->trace[i], sizeof a->trace[i]) != 0)
            fail_msg(
                "seed %llu: action %d differs: kind %d at %lld/%lld, kind %d at %lld/%lld\n%.*s",
                (unsigned long long)seed, i, (int)a->trace[i].kind, (long long)a->trace[i].session,
                (long long)a->trace[i].output, (int)b->trace[i].kind,
                (long long)b->trace[i].session, (long long)b->trace[i].output, (int)a->length,
                a->lines);
    if (a->rows != b->rows)
        fail_msg("seed %llu: %d actions, replayed %d\n%.*s", (unsigned long long)seed, a->rows,
                 b->rows, (int)a->length, a->lines);
    assert_int_equal(a->transport.end_at, b->transport.end_at);
    assert_int_equal(a->transport.end_fade, b->transport.end_fade);
}

static bool near_end(const struct virtual_session *v, int row)
{
    return v->trace[row].session > v->transport.end_at - 2 * HF_GRID;
}

/* At another rate: the same actions in the same order, each where it was, to within two steps of
 * the clock that commands keep to: one to get onto a step, one to keep the order. Nothing adds up.
 * Where a session was left in a pause, whose fade is a step longer or shorter, what was silent may
 * differ. */
static void compare_at(const struct virtual_session *a, int a_hz, const struct virtual_session *b,
                       int b_hz, uint64_t seed)
{
    int rows = a->rows < b->rows ? a->rows : b->rows;
    bool same = a->rows == b->rows;
    if (!same && a->transport.out_at != HF_NEVER)
        same = (a->rows == rows || near_end(a, rows)) && (b->rows == rows || near_end(b, rows));
    if (!same)
        fail_msg("seed %llu: %d actions, at another rate %d\n%.*s", (unsigned long long)seed,
                 a->rows, b->rows, (int)a->length, a->lines);
    for (int i = 0; i < rows; i++) {
        const struct trace_row *x = &a->trace[i], *y = &b->trace[i];
        int64_t expected = x->session * b_hz / a_hz;
        if (x->kind != y->kind || x->count != y->count ||
            memcmp(x->notes, y->notes, x->count) != 0 ||
            llabs((long long)(y->session - expected)) > 2 * HF_GRID)
            fail_msg(
                "seed %llu: action %d differs: kind %d at %lld, at another rate %d at %lld\n%.*s",
                (unsigned long long)seed, i, (int)x->kind, (long long)expected, (int)y->kind,
                (long long)y->session, (int)a->length, a->lines);
    }
}

static struct played played;
static struct virtual_session again;

static int breaks_seen;

static void try_sessions(const struct setting *settings, int count, int late_chunks, int key_every)
{
    struct hf_request request = request_of(settings);
    int64_t whole = 0;
    if (getenv("SOAK")) /* make soak: what takes too long for a check */
        count *= 30;
    for (uint64_t seed = 1; seed <= (uint64_t)count; seed++) {
        play(&played, &request, seed, late_chunks, key_every);
        replay(&again, played.session.lines, played.session.length, 0, &whole);
        compare(&played.session, &again, seed);
        /* The length told in advance is the length that comes. A live session that is left in a
         * pause has some silence more, which no record needs to know. */
        const struct hf_timeline *timeline = &played.conductor.timeline;
        assert_int_equal(whole, hf_timeline_length(timeline));
        /* The reason in the record is that of the fade that was heard. */
        if (!played.session.transport.cut)
            assert_int_equal(timeline->end_fade, hf_conductor_fade(timeline->why, request.rate_hz));
        breaks_seen += timeline->breaks;
        virtual_end(&again);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

static void try_other_rates(const struct setting *settings, int count, int late_chunks,
                            int key_every)
{
    static const int rates_hz[] = {44100, 48000, 96000, 192000};
    struct hf_request request = request_of(settings);
    int64_t whole = 0;
    for (uint64_t seed = 1; seed <= (uint64_t)count; seed++) {
        play(&played, &request, seed, late_chunks, key_every);
        int rate_hz = rates_hz[seed % 4];
        replay(&again, played.session.lines, played.session.length, rate_hz, &whole);
        compare_at(&played.session, request.rate_hz, &again, rate_hz, seed);
        assert_true(again.transport.cut || again.output >= whole);
        virtual_end(&again);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

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
        cmocka_unit_test(any_keys_replay_exactly_while_it_speaks),
        cmocka_unit_test(what_is_spoken_moves_no_note),
        cmocka_unit_test(what_is_spoken_moves_no_note_at_another_rate),
        cmocka_unit_test(a_replay_may_be_paused_anywhere),
        cmocka_unit_test(a_flood_of_keys_replays_exactly),
        cmocka_unit_test(a_journal_cut_after_any_line_replays_what_it_tells),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
