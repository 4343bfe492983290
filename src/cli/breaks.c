/* SPDX-License-Identifier: MIT */
/* Invariant: a journal that can't be read is left out of the day's sum, and nothing is said of it:
 * it is another session's. */
#include "breaks.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PATH_BYTES = 1024, DAY_BYTES = 16, MEANT_BEFORE_S = 1 };

void breaks_say_plan(const struct session *s)
{
    const struct hf_request *request = &s->request;
    int64_t after = hf_request_samples(request, request->break_every);
    if (after > 0 && (request->every.wait || session_length(s) > after))
        printf("Break: suggested after %s of sound\n", request->text[HF_OPT_BREAK_EVERY]);
}

void breaks_tend(struct breaks *b, struct hf_conductor *c, int64_t now)
{
    if (hf_conductor_break(c, now))
        *b = (struct breaks){.on = true, .since_s = hf_cli_seconds()};
    if (!c->on_break)
        b->on = false;
}

bool breaks_swallow(const struct breaks *b, enum hf_key key)
{
    return b->on && key != HF_KEY_QUIT && key != HF_KEY_SIGNAL &&
           breaks_seconds(b) < MEANT_BEFORE_S;
}

double breaks_seconds(const struct breaks *b)
{
    return b->on ? hf_cli_seconds() - b->since_s : 0;
}

/* ---- the day --------------------------------------------------------------------------------- */

/* Seconds of sound that a journal tells of; negative where it can't be read now. One that is
 * damaged tells of none. */
static double sound_of(const char *path)
{
    struct hf_journal journal;
    struct hf_timeline timeline;
    double seconds = 0;
    enum hf_status status = hf_store_read_journal(path, &journal, NULL);
    if (status != HF_OK)
        return status == HF_E_DATA ? 0 : -1;
    status = hf_replay_timeline(&journal, &timeline, NULL);
    if (status == HF_E_MEMORY)
        seconds = -1;
    if (status == HF_OK) {
        seconds = (double)(timeline.end_at + timeline.end_fade) / journal.head.request.rate_hz;
        hf_timeline_deinit(&timeline);
    }
    hf_journal_deinit(&journal);
    return seconds;
}

static bool is_of_day(const char *name, const char *day)
{
    size_t length = strlen(name);
    return strncmp(name, day, strlen(day)) == 0 && length > 6 &&
           strcmp(name + length - 6, ".jsonl") == 0;
}

/* Adds up today's journals; true when `own` was among them. `*unread`: some can't be read now. */
static bool add_journals(const char *own, double *seconds, int *sessions, bool *unread)
{
    char directory[PATH_BYTES - 300], path[PATH_BYTES], day[DAY_BYTES];
    time_t now = time(NULL);
    struct tm local;
    localtime_r(&now, &local);
    strftime(day, sizeof day, "%Y-%m-%d-", &local);
    errno = ENOENT;
    DIR *found = hf_cli_state_path("", directory, sizeof directory) ? opendir(directory) : NULL;
    bool had = false;
    *unread = !found && errno != ENOENT;
    for (struct dirent *entry; found && (entry = readdir(found));) {
        if (!is_of_day(entry->d_name, day))
            continue;
        snprintf(path, sizeof path, "%s/%s", directory, entry->d_name);
        double more = sound_of(path);
        had |= strcmp(path, own) == 0;
        *seconds += more > 0 ? more : 0;
        *sessions += more > 0;
        *unread |= more < 0;
    }
    if (found)
        closedir(found);
    return had;
}

void breaks_say_day(const char *own, const struct hf_timeline *t, int rate_hz)
{
    char clock[CLOCK_TEXT];
    double seconds = 0;
    int sessions = 0;
    bool unread = false;
    if (t->breaks > 0)
        printf("Breaks: %d, %s in all\n", t->breaks, say_clock(t->rested, rate_hz, clock));
    if (!add_journals(own, &seconds, &sessions, &unread) && t->end_at != HF_NEVER) {
        seconds += (double)(t->end_at + t->end_fade) / rate_hz;
        sessions++;
    }
    printf("Today:  %s%s of sound in %d session%s;\n"
           "        how loud at your ear, the program cannot know\n",
           unread ? "at least " : "", say_clock((int64_t)seconds, 1, clock), sessions,
           sessions == 1 ? "" : "s");
}
