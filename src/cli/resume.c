/* SPDX-License-Identifier: MIT */
/* Invariant: the journal that is continued is only read. */
#include "resume.h"

#include <dirent.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/chord.h>

enum { NAME_BYTES = 128, NAMES_MOST = 4096, LOOKED_AT_MOST = 256 };

const struct hf_cli_option hf_cli_resume_options[] = {
    {"resume", 0, NULL,
     "go on with a session that ended early: that of the journal\n"
     "that is named, or the newest",
     CODE_RESUME},
    {NULL, 0, NULL, NULL, 0},
};

const char *resume_name(const struct resume *resume)
{
    const char *slash = strrchr(resume->path, '/');
    return slash ? slash + 1 : resume->path;
}

void resume_free(struct resume *resume)
{
    if (!resume)
        return;
    hf_journal_deinit(&resume->journal);
    free(resume->given);
    free(resume);
}

/* ---- one journal ----------------------------------------------------------------------------- */

/* How far the session came for certain: a cue is written ahead when the one before it begins. */
static int64_t reached(const struct hf_journal *journal, const struct hf_timeline *t)
{
    bool ended = false;
    for (size_t i = 0; !ended && i < journal->count; i++)
        ended = journal->records[i].type == HF_RECORD_END;
    if (ended)
        return t->end_at;
    int64_t began = t->count > 1 ? t->cues[t->count - 2].at : 0;
    return began > t->last_at && began != HF_NEVER ? began : t->last_at;
}

/* Everything that belongs to the i-th entry, the steps behind a cue too, is over by `at`. */
static bool is_over(const struct hf_timeline *t, size_t i, int64_t at)
{
    const struct hf_timeline_cue *cue = &t->cues[i];
    if (i + 1 < t->count)
        return cue->end <= at && t->cues[i + 1].at <= at;
    return cue->end < at; /* the end of the session cuts the one that runs */
}

/* Keeps what the whole cues asked for. */
static void list_whole(struct resume *r, const struct hf_timeline *t)
{
    int64_t at = reached(&r->journal, t);
    uint32_t begun = 0;
    r->count = 0;
    for (size_t i = 0; i < t->count && is_over(t, i, at); i++) {
        if (t->cues[i].record.type == HF_RECORD_CUE)
            r->given[begun++] = t->cues[i].record.pcs;
        if (i + 1 == t->count || t->cues[i + 1].record.type == HF_RECORD_CUE)
            r->count = begun;
    }
}

/* Reads what there is to continue. `*early` tells whether there is something. */
static enum hf_status look_at(struct resume *r, const char *path, bool *early, struct hf_diag *diag)
{
    struct hf_timeline timeline;
    snprintf(r->path, sizeof r->path, "%s", path);
    enum hf_status status = hf_store_read_journal(path, &r->journal, diag);
    if (status != HF_OK)
        return status;
    status = hf_replay_timeline(&r->journal, &timeline, diag);
    if (status != HF_OK)
        return status;
    *early = timeline.why != HF_WHY_FINISHED;
    r->given = calloc(timeline.count + 1, sizeof *r->given);
    if (r->given)
        list_whole(r, &timeline);
    else
        status = hf_fail(diag, HF_E_MEMORY, "out of memory");
    hf_timeline_deinit(&timeline);
    return status;
}

static enum hf_status take_named(struct resume *r, const char *path, struct hf_diag *diag)
{
    bool early = false;
    enum hf_status status = look_at(r, path, &early, diag);
    if (status == HF_OK && hf_store_in_use(path))
        status = hf_fail(diag, HF_E_USAGE, "the session of %.200s is still playing", path);
    if (status == HF_OK && !early) {
        status = hf_fail(diag, HF_E_USAGE, "the session of %.200s came to its end", path);
        hf_advise(diag, "replay plays it again");
    }
    return status;
}

/* ---- the newest ------------------------------------------------------------------------------ */

static int newest_first(const void *a, const void *b)
{
    return strcmp(b, a);
}

/* The names of the player's own journals, which begin with their date. */
static int list_names(const char *directory, char (*names)[NAME_BYTES])
{
    DIR *listed = opendir(directory);
    int count = 0;
    for (struct dirent *entry; listed && count < NAMES_MOST && (entry = readdir(listed));) {
        size_t length = strlen(entry->d_name);
        if (length > 6 && length < NAME_BYTES &&
            strcmp(entry->d_name + length - 6, ".jsonl") == 0 && entry->d_name[0] != '.')
            memcpy(names[count++], entry->d_name, length + 1);
    }
    if (listed)
        closedir(listed);
    qsort(names, (size_t)count, NAME_BYTES, newest_first);
    return count;
}

static bool is_among(const char *name, char (*names)[NAME_BYTES], int count)
{
    for (int i = 0; i < count; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    return false;
}

/* Looks at them from the newest on; those that a later one continues are passed over, and what
 * can't be read is another matter. */
static bool find_newest(struct resume *r, const char *directory, char (*names)[NAME_BYTES],
                        int count)
{
    char(*continued)[NAME_BYTES] = calloc(LOOKED_AT_MOST, NAME_BYTES);
    bool found = false;
    int known = 0;
    for (int i = 0; continued && !found && i < count && i < LOOKED_AT_MOST; i++) {
        char path[1024];
        bool early = false;
        snprintf(path, sizeof path, "%.800s/%s", directory, names[i]);
        memset(r, 0, sizeof *r);
        bool fine = look_at(r, path, &early, NULL) == HF_OK;
        if (fine && r->journal.head.continues[0])
            snprintf(continued[known++], NAME_BYTES, "%s", r->journal.head.continues);
        found = fine && early && !is_among(names[i], continued, known) && !hf_store_in_use(path);
        if (!found) {
            hf_journal_deinit(&r->journal);
            free(r->given);
            r->given = NULL;
        }
    }
    free(continued);
    return found;
}

static enum hf_status take_newest(struct resume *r, struct hf_diag *diag)
{
    char directory[1024];
    char(*names)[NAME_BYTES] = calloc(NAMES_MOST, NAME_BYTES);
    if (!names)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    bool found = hf_cli_state_path("", directory, sizeof directory) &&
                 find_newest(r, directory, names, list_names(directory, names));
    free(names);
    if (found)
        return HF_OK;
    memset(r, 0, sizeof *r);
    hf_fail(diag, HF_E_USAGE, "no session has ended early that could be continued");
    hf_advise(diag, "name its journal: play --resume FILE");
    return HF_E_USAGE;
}

/* ---- the session ----------------------------------------------------------------------------- */

static enum hf_status check_options(const struct session *s, struct hf_diag *diag)
{
    for (int key = 0; key < HF_OPTIONS; key++)
        if (s->request.given[key]) {
            hf_fail(diag, HF_E_USAGE, "--resume goes on with the session as it was: leave out --%s",
                    hf_option_name((enum hf_option)key));
            return HF_E_USAGE;
        }
    return HF_OK;
}

/* The halves of a chord from a score, as they were parted then: its own came first. */
static enum hf_status part_chord(struct hf_request *request, const struct resume *r,
                                 struct hf_diag *diag)
{
    const struct hf_record *first = NULL;
    for (size_t i = 0; !first && i < r->journal.count; i++)
        if (r->journal.records[i].type == HF_RECORD_CUE)
            first = &r->journal.records[i];
    if (!request->given[HF_OPT_FROM] || !first || (first->pcs & ~request->from.set))
        return HF_OK;
    enum hf_status status = hf_notes_place(&request->from, diag);
    struct hf_notes held = hf_chord_part(&request->from, request->held.set);
    struct hf_notes added = hf_chord_part(&request->from, first->pcs);
    return status == HF_OK ? hf_request_split(request, &held, &added, diag) : status;
}

/* A journal has all that holds for its session, asked for or not; what is as it would be without
 * being asked for leaves room for what depends on the rest, as when it was played. */
static void forget_defaults(struct hf_request *request)
{
    struct hf_request fresh;
    hf_request_init(&fresh);
    for (int key = 0; key < HF_OPTIONS; key++)
        if (strcmp(request->text[key], fresh.text[key]) == 0)
            request->given[key] = false;
}

/* From one chord to another: where it led is not in the journal. The held notes of other sessions
 * change for reasons that are. */
static bool is_path(const struct hf_request *request, const struct resume *r)
{
    int holds = 0;
    for (size_t i = 0; i < r->journal.count; i++)
        holds += r->journal.records[i].type == HF_RECORD_HOLD;
    return holds > 1 && request->practice == HF_PRACTICE_IMPROVISE && request->given[HF_OPT_FROM] &&
           request->cue != HF_CUE_REVERSE && !request->holds;
}

/* What the player changed on the way stays changed. */
static enum hf_status take_changes(struct hf_request *request, const struct resume *r,
                                   struct hf_diag *diag)
{
    char text[32];
    enum hf_status status = HF_OK;
    for (size_t i = 0; status == HF_OK && i < r->journal.count; i++) {
        const struct hf_record *record = &r->journal.records[i];
        if (record->type == HF_RECORD_VOLUME) {
            snprintf(text, sizeof text, "%d", record->db);
            status = hf_request_set(request, HF_OPT_VOLUME, text, diag);
        }
        if (record->type == HF_RECORD_LEVEL && !request->level_fixed) {
            snprintf(text, sizeof text, "%d+", record->level); /* it goes on moving */
            status = hf_request_set(request, HF_OPT_LEVEL, text, diag);
        }
    }
    return status;
}

/* With a seed of its own, since the old one would give what came first once more. */
static void draw_anew(struct session *s)
{
    s->resume->anew = true;
    s->request.given[HF_OPT_SEED] = false;
}

enum hf_status resume_take(struct session *s, const char *path, struct hf_diag *diag)
{
    enum hf_status status = check_options(s, diag);
    if (status != HF_OK)
        return status;
    s->resume = calloc(1, sizeof *s->resume);
    if (!s->resume)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    status = path ? take_named(s->resume, path, diag) : take_newest(s->resume, diag);
    if (status != HF_OK)
        return status;
    s->request = s->resume->journal.head.request;
    forget_defaults(&s->request);
    s->request.given[HF_OPT_SEED] = true;
    if (is_path(&s->request, s->resume)) {
        hf_fail(diag, HF_E_USAGE, "a path from chord to chord can't be continued");
        hf_advise(diag, "play the rest of it: --from the chord that was reached, --to the same");
        return HF_E_USAGE;
    }
    if (s->request.practice == HF_PRACTICE_EAR)
        draw_anew(s);
    status = take_changes(&s->request, s->resume, diag);
    return status == HF_OK ? part_chord(&s->request, s->resume, diag) : status;
}

enum hf_status resume_schedule(struct session *s, struct hf_diag *diag)
{
    struct resume *r = s->resume;
    if (hf_request_chooses(&s->request))
        return HF_OK;
    uint32_t before = r->journal.head.done;
    if (!r->anew && hf_schedule_skip(&s->schedule, before, r->given, r->count))
        return HF_OK;
    if (!r->anew && before + r->count < s->schedule.total) {
        draw_anew(s);
        return session_resolve(s, s->request.rate_hz, diag);
    }
    if (hf_schedule_shorten(&s->schedule, before + r->count))
        return HF_OK;
    return hf_fail(diag, HF_E_USAGE, "all cues of %.200s were played: nothing is left", r->path);
}

static enum hf_status copy(const char *text, char **out, struct hf_diag *diag)
{
    size_t size = strlen(text) + 1;
    char *made = malloc(size);
    if (!made)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    memcpy(made, text, size);
    *out = made;
    return HF_OK;
}

enum hf_status resume_patches(const struct session *s, char **held, char **added,
                              struct hf_diag *diag)
{
    const struct hf_head *head = &s->resume->journal.head;
    enum hf_status status = copy(head->held_patch, held, diag);
    return status == HF_OK ? copy(head->added_patch, added, diag) : status;
}

void resume_say(const struct session *s)
{
    const struct resume *r = s->resume;
    printf("Goes on: ");
    hf_cli_print_file(r->path);
    uint32_t done = r->journal.head.done + r->count;
    if (!hf_request_chooses(&s->request))
        printf(", after %" PRIu32 " whole cue%s%s", done, done == 1 ? "" : "s",
               r->anew && done ? "; the rest is drawn anew" : "");
    printf("\n");
}
