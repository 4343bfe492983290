/* SPDX-License-Identifier: MIT */
/* Invariant: no event overtakes a record that stands before it, nor another event. */
#include <holdfast/performance.h>

enum { BLOCK_MOST = 4096 };

static enum hf_status send_steps(struct hf_performance *p, struct hf_diag *diag)
{
    while (p->holds || p->source.step(p->source.self, &p->kept)) {
        p->holds = false;
        if (p->kept.is_record) {
            enum hf_status status = p->sink.record(p->sink.self, &p->kept.record, diag);
            if (status != HF_OK)
                return status;
        } else if (!hf_engine_send(p->engine, &p->kept.event)) {
            p->holds = true;
            break;
        }
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
