/* SPDX-License-Identifier: MIT */
/*
 * A virtual player for tests: a conductor, or a replay, against a transport alone, on a clock that
 * the test owns. Keys come when the test says; the conductor is tended only every so many chunks,
 * as a real loop would be. What the transport did is kept as a trace.
 */
#ifndef TESTS_VIRTUAL_H
#define TESTS_VIRTUAL_H

#include <stdlib.h>
#include <string.h>

#include <holdfast/conductor.h>
#include <holdfast/narrator.h>
#include <holdfast/replay.h>
#include <holdfast/transport.h>

#include "asking.h"
#include "check.h"

enum { TRACE_MOST = 4000, LINES_MOST = 1 << 20 };

/* One thing that the sound would have done. */
struct trace_row {
    int64_t session, output; /* samples */
    enum hf_action_kind kind;
    int db;
    uint32_t about;      /* the cue that is spoken of */
    int64_t length;      /* of what is said */
    int64_t fade, after; /* of a drone */
    uint8_t count, notes[HF_EVENT_NOTES];
};

struct virtual_session {
    struct hf_transport transport;
    struct hf_source source;
    int64_t output;
    struct trace_row trace[TRACE_MOST];
    int rows;
    char *lines; /* the journal */
    size_t length;
    struct hf_step kept;
    bool holds;
    bool deaf; /* what is spoken is left out of the trace */
};

static inline enum hf_status virtual_record(void *self, const struct hf_record *record,
                                            struct hf_diag *diag)
{
    struct virtual_session *v = self;
    char *line;
    size_t length;
    enum hf_status status = hf_journal_format(record, &line, &length, diag);
    if (status == HF_OK) {
        assert_true(v->length + length < LINES_MOST);
        memcpy(v->lines + v->length, line, length);
        v->length += length;
        v->lines[v->length] = 0;
        free(line);
    }
    return status;
}

static inline void virtual_begin(struct virtual_session *v, struct hf_source source, int rate_hz)
{
    memset(v, 0, sizeof *v);
    v->source = source;
    v->lines = malloc(LINES_MOST);
    assert_non_null(v->lines);
    v->lines[0] = 0;
    hf_transport_init(&v->transport, rate_hz);
}

static inline void virtual_end(struct virtual_session *v)
{
    free(v->lines);
}

/* Passes records to the journal and events to the transport, as the live loop does. */
static inline void virtual_tend(struct virtual_session *v)
{
    while (v->holds || v->source.step(v->source.self, &v->kept)) {
        v->holds = false;
        if (v->kept.is_record) {
            assert_ok(virtual_record(v, &v->kept.record, NULL));
        } else if (!hf_transport_take(&v->transport, &v->kept.event)) {
            v->holds = true;
            return;
        }
    }
}

/* One chunk; its reports are given back at once or kept in `late` for the caller. */
static inline void virtual_chunk(struct virtual_session *v, struct hf_report *late, int *late_count)
{
    int64_t at = v->transport.now;
    bool was_done = hf_transport_done(&v->transport);
    hf_transport_chunk(&v->transport);
    for (int i = 0; i < v->transport.action_count; i++) {
        const struct hf_action *action = &v->transport.actions[i];
        bool words = action->kind == HF_ACTION_SPEAK || action->kind == HF_ACTION_HUSH;
        if (words && v->deaf)
            continue;
        if (action->kind == HF_ACTION_DROP)
            continue; /* what was prepared and not needed depends on when the command came */
        assert_true(v->rows < TRACE_MOST);
        struct trace_row *row = &v->trace[v->rows++];
        memset(row, 0, sizeof *row);
        row->session = at + action->offset;
        row->output = v->output + action->offset;
        row->kind = action->kind;
        row->db = action->event.db;
        if (action->kind == HF_ACTION_DRONE) {
            row->fade = action->event.fade;
            row->after = action->event.after;
        }
        row->about = action->kind == HF_ACTION_SPEAK ? action->event.cue : 0;
        row->length = action->event.length;
        row->count = action->event.count;
        memcpy(row->notes, action->event.notes, action->event.count);
    }
    for (int i = 0; i < v->transport.report_count; i++)
        late[(*late_count)++] = v->transport.reports[i];
    if (!was_done && !v->transport.cut)
        v->output += HF_GRID;
}

static inline void virtual_reports(struct virtual_session *v, struct hf_report *late,
                                   int *late_count)
{
    for (int i = 0; i < *late_count; i++) {
        assert_ok(v->source.report(v->source.self, &late[i], NULL));
        virtual_tend(v);
    }
    *late_count = 0;
}

#endif
