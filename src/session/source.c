/* SPDX-License-Identifier: MIT */
/* Invariant: a record goes to the sink before any event after it goes to the transport. */
#include <holdfast/source.h>

#include <string.h>

#include <holdfast/transport.h>

static bool conductor_step(void *self, struct hf_step *out)
{
    return hf_conductor_step(self, out);
}

static enum hf_status conductor_report(void *self, const struct hf_report *report,
                                       struct hf_diag *diag)
{
    return hf_conductor_report(self, report, diag);
}

struct hf_source hf_conductor_source(struct hf_conductor *conductor)
{
    return (struct hf_source){conductor_step, conductor_report, conductor};
}

static enum hf_status take_steps(struct hf_source source, struct hf_sink sink,
                                 struct hf_transport *transport, struct hf_step *kept, bool *holds,
                                 struct hf_diag *diag)
{
    while (*holds || source.step(source.self, kept)) {
        *holds = false;
        if (kept->is_record) {
            enum hf_status status = sink.record(sink.self, &kept->record, diag);
            if (status != HF_OK)
                return status;
        } else if (!hf_transport_take(transport, &kept->event)) {
            *holds = true; /* the transport is full: offer it again after the next chunk */
            break;
        }
    }
    return HF_OK;
}

enum hf_status hf_source_rehearse(struct hf_source source, struct hf_sink sink, int rate_hz,
                                  struct hf_diag *diag)
{
    /* Longer than any session can be: the longest cue times the most cues. */
    const int64_t limit = (int64_t)rate_hz * 3600 * 240000;
    struct hf_transport transport;
    struct hf_step kept;
    bool holds = false;
    hf_transport_init(&transport, rate_hz);
    while (!hf_transport_done(&transport)) {
        enum hf_status status = take_steps(source, sink, &transport, &kept, &holds, diag);
        if (status != HF_OK)
            return status;
        hf_transport_chunk(&transport);
        for (int i = 0; i < transport.report_count; i++) {
            status = source.report(source.self, &transport.reports[i], diag);
            if (status != HF_OK)
                return status;
        }
        if (transport.now > limit)
            return hf_fail(diag, HF_E_BUG, "the session has no end");
    }
    return take_steps(source, sink, &transport, &kept, &holds, diag);
}
