/* SPDX-License-Identifier: MIT */
/* Invariants: no event overtakes a record that stands before it; the plan keeps its order, and so
 * do the commands without notes. */
#include <holdfast/performance.h>

#include <string.h>

enum { BLOCK_MOST = 4096 };

/* Commands without notes never wait for a place. An again may, and then nothing waits for it: it
 * has its own time. The rest is the plan, which keeps its order. */
enum sort { COMMAND, COMMAND_WITH_NOTES, PLAN };

static enum sort sort_of(const struct hf_event *event)
{
    switch (event->kind) {
    case HF_EVENT_STAY:
    case HF_EVENT_GO:
    case HF_EVENT_PAUSE:
    case HF_EVENT_RESUME:
    case HF_EVENT_NEXT:
    case HF_EVENT_REVEAL:
    case HF_EVENT_VOLUME:
    case HF_EVENT_SAY:
    case HF_EVENT_END:
        return COMMAND;
    case HF_EVENT_AGAIN:
        return COMMAND_WITH_NOTES;
    case HF_EVENT_HOLD:
    case HF_EVENT_CUE:
    case HF_EVENT_DRONE:
    case HF_EVENT_TICK:
    case HF_EVENT_SPEAK:
    case HF_EVENT_FINISH:
        break;
    }
    return PLAN;
}

/* The conductor itself bounds how many commands there are at once; a replay has all of them. */
static bool may_pass(const struct hf_performance *p, const struct hf_event *event)
{
    return event->at == HF_AT_ONCE || p->passed < HF_PERFORMANCE_PASSED ||
           event->kind == HF_EVENT_RESUME || event->kind == HF_EVENT_END;
}

/* Sends what was kept, as far as there is room now: from the front, and what may pass. */
static void send_kept(struct hf_performance *p)
{
    for (int i = 0; i < p->kept_count;) {
        const struct hf_event *event = &p->kept[i];
        enum sort sort = sort_of(event);
        bool may = i == 0 || (sort != PLAN && may_pass(p, event));
        if (may && hf_engine_send(p->engine, event)) {
            p->passed = i == 0 ? 0 : p->passed + 1;
            p->kept_count--;
            memmove(&p->kept[i], &p->kept[i + 1], (size_t)(p->kept_count - i) * sizeof *event);
        } else if (sort == COMMAND) {
            return;
        } else {
            i++;
        }
    }
}

static enum hf_status send_steps(struct hf_performance *p, struct hf_diag *diag)
{
    struct hf_step step;
    send_kept(p);
    while (p->kept_count < HF_PERFORMANCE_KEPT && p->source.step(p->source.self, &step)) {
        if (step.is_record) {
            enum hf_status status = p->sink.record(p->sink.self, &step.record, diag);
            if (status != HF_OK)
                return status;
            continue;
        }
        p->kept[p->kept_count++] = step.event;
        send_kept(p);
    }
    return HF_OK;
}

enum hf_status hf_performance_tend(struct hf_performance *p, struct hf_diag *diag)
{
    struct hf_report report;
    enum hf_status status = send_steps(p, diag);
    while (status == HF_OK && hf_engine_receive(p->engine, &report)) {
        status = p->source.report(p->source.self, &report, diag);
        if (status == HF_OK)
            status = send_steps(p, diag);
    }
    return status;
}

enum hf_status hf_performance_bounce(struct hf_performance *p, struct hf_soundfile *file, int block,
                                     const struct hf_progress *progress, int64_t *frames,
                                     struct hf_diag *diag)
{
    float stereo[2 * BLOCK_MOST];
    int64_t total = 0;
    enum hf_status status = HF_OK;
    while (status == HF_OK && !hf_engine_over(p->engine)) {
        long filled = 0;
        while (status == HF_OK && filled + block <= BLOCK_MOST && !hf_engine_over(p->engine)) {
            status = hf_performance_tend(p, diag);
            if (status == HF_OK)
                filled += hf_engine_render(p->engine, block, stereo + 2 * filled);
        }
        if (status == HF_OK && filled > 0)
            status = hf_soundfile_write(file, stereo, filled, diag);
        total += filled;
        if (status == HF_OK && progress && progress->done && !progress->done(progress->self, total))
            status = hf_fail(diag, HF_E_IO, "the rendering was interrupted");
    }
    if (status == HF_OK)
        status = hf_performance_tend(p, diag);
    if (status == HF_OK)
        *frames = total;
    return status;
}
