/* SPDX-License-Identifier: MIT */
/* All that is decided before any sound, in text, so that two builds can be compared by what it
 * says: every set and its class, every completion of every set, the names, the shapes of a guitar,
 * and sessions of every kind on a virtual clock, with keys of a random player. Built without the
 * system libraries that the program has besides. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/conductor.h>
#include <holdfast/pairing.h>
#include <holdfast/random.h>
#include <holdfast/spelling.h>
#include <holdfast/transport.h>

enum { RATE = 8000, SEEDS = 64, REPORTS_MOST = 4096 };

static void need(bool good, const char *what)
{
    if (good)
        return;
    printf("%s\n", what);
    exit(1);
}

/* ---- sets ------------------------------------------------------------------------------------ */

static void say_set(hf_pcset set)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    struct hf_spelled spelled[HF_PCS];
    char name[HF_SPELLED_TEXT];
    int normal[HF_PCS], icv[6];
    const struct hf_setclass *of = hf_setclass_of(set);
    printf("%03x %s %03x", (unsigned)set, of->name, (unsigned)of->prime);
    int count = hf_pcset_normal(set, normal);
    for (int i = 0; i < count; i++)
        printf(" %d", normal[i]);
    hf_pcset_icv(set, icv);
    for (int i = 0; i < 6; i++)
        printf(",%d", icv[i]);
    count = hf_spelling_of(set, HF_NAMES_SIMPLE, spelled);
    for (int i = 0; i < count; i++)
        printf(" %s", hf_spelled_format(spelled[i], HF_NAMES_SIMPLE, name));
    for (int size = 2; size <= 3; size++)
        for (int number = 1; number <= 12 && hf_setclass_find(size, number); number++) {
            count = hf_pairing_complete(set, hf_setclass_find(size, number), completions);
            for (int i = 0; i < count; i++)
                printf(" %03x>%s", (unsigned)completions[i].pcs, completions[i].result->name);
        }
    printf("\n");
}

/* ---- sessions -------------------------------------------------------------------------------- */

static const char *const kinds[][8] = {
    {"cue", "lead", "every", "0.5s"},
    {"cue", "confirm", "every", "0.5s", "register", "through"},
    {"cue", "silent", "every", "0.5s", "order", "far"},
    {"cue", "ear", "every", "0.5s", "register", "all", "support", "fading"},
    {"cue", "gap", "every", "4beats", "tempo", "200"},
    {"cue", "reverse", "every", "4s"},
    {"every", "wait"},
    {"every", "0.5s", "hand", "guitar"},
    {"every", "0.5s", "hand", "guitar", "hold", "hand"},
    {"every", "0.5s", "hand", "guitar", "order", "grip"},
    {"every", "0.5s", "held", "C E G", "added", "3-1"},
    {"practice", "roam", "cue", "lead"},
    {"every", "1s", "unfold", "all", "step", "1s"},
    {"practice", "ear", "every", "1s", "near-miss", "yes"},
    {"practice", "sight", "every", "1s"},
    {"practice", "warmup", "day", "2026-11-25", "for", "4m"},
};
enum { KINDS = sizeof kinds / sizeof kinds[0] };

static void set(struct hf_request *request, const char *name, const char *value)
{
    struct hf_diag diag;
    for (int key = 0; key < HF_OPTIONS; key++)
        if (strcmp(hf_option_name((enum hf_option)key), name) == 0) {
            need(hf_request_set(request, (enum hf_option)key, value, &diag) == HF_OK, diag.message);
            return;
        }
    need(false, name);
}

static void ask(struct hf_request *request, uint64_t seed)
{
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
    struct hf_diag diag;
    char number[24];
    const char *const *kind = kinds[seed % KINDS];
    snprintf(number, sizeof number, "%d", (int)seed);
    hf_request_init(request);
    set(request, "seed", number);
    for (int i = 0; i < 8 && kind[i]; i += 2)
        set(request, kind[i], kind[i + 1]);
    request->rate_hz = RATE;
    if (request->given[HF_OPT_HAND])
        hf_request_take_board(request, &guitar);
    need(hf_request_resolve(request, &diag) == HF_OK, diag.message);
}

static void say_time(int64_t at)
{
    if (at == HF_NEVER)
        printf(" -");
    else
        printf(" %" PRId64, at);
}

static void say_record(const struct hf_record *r)
{
    printf("record %d", (int)r->type);
    say_time(r->at);
    say_time(r->tell);
    say_time(r->hear);
    say_time(r->end);
    printf(" %d %03x %ld %d %d %" PRId64 " %" PRId64, r->id, (unsigned)r->pcs, r->cue, r->level,
           r->gain_db, r->shift, r->after);
    printf(" %d %d %d %d %" PRId64 " %" PRId64, r->db, (int)r->as, (int)r->why, r->step, r->over,
           r->fade);
    for (int i = 0; i < r->count; i++)
        printf(" %d %s", r->notes[i], r->names[i]);
    for (int i = 0; i < r->strings; i++)
        printf(" %d", r->frets[i]);
    printf("\n");
}

static struct {
    struct hf_conductor conductor;
    struct hf_schedule schedule;
    struct hf_transport transport;
    struct hf_step kept;
    bool holds;
    struct hf_report reports[REPORTS_MOST];
} s;

static void tend(void)
{
    while (s.holds || hf_conductor_step(&s.conductor, &s.kept)) {
        s.holds = false;
        if (s.kept.is_record) {
            say_record(&s.kept.record);
        } else if (!hf_transport_take(&s.transport, &s.kept.event)) {
            s.holds = true;
            return;
        }
    }
}

static void chunk(void)
{
    int64_t at = s.transport.now;
    hf_transport_chunk(&s.transport);
    for (int i = 0; i < s.transport.action_count; i++)
        printf("%d at %" PRId64 "\n", (int)s.transport.actions[i].kind,
               at + s.transport.actions[i].offset);
    int count = s.transport.report_count;
    memcpy(s.reports, s.transport.reports, (size_t)count * sizeof s.reports[0]);
    for (int i = 0; i < count; i++) {
        need(hf_conductor_report(&s.conductor, &s.reports[i], NULL) == HF_OK, "a report");
        tend();
    }
}

static void say_session(uint64_t seed)
{
    struct hf_request request;
    struct hf_random random;
    struct hf_diag diag;
    ask(&request, seed);
    printf("session %" PRIu64 "\n", seed);
    memset(&s, 0, sizeof s);
    hf_random_init(&random, seed, 5);
    hf_transport_init(&s.transport, RATE);
    need(hf_schedule_init(&s.schedule, &request, &diag) == HF_OK, diag.message);
    need(hf_conductor_init(&s.conductor, &request, &s.schedule, &diag) == HF_OK, diag.message);
    tend();
    while (!hf_transport_done(&s.transport)) {
        chunk();
        bool enough = s.transport.now > 20 * RATE;
        if (enough || hf_random_below(&random, 60) == 0)
            (void)(hf_conductor_key(&s.conductor,
                                    enough ? HF_KEY_QUIT
                                           : (enum hf_key)hf_random_below(&random, HF_KEY_QUIT),
                                    s.transport.now, &diag) == HF_OK);
        tend();
    }
    hf_conductor_deinit(&s.conductor);
    hf_schedule_deinit(&s.schedule);
}

int main(void)
{
    for (unsigned set_of = 0; set_of < HF_SETS; set_of++)
        say_set((hf_pcset)set_of);
    for (uint64_t seed = 0; seed < SEEDS; seed++)
        say_session(seed);
    return 0;
}
