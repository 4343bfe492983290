/* SPDX-License-Identifier: MIT */
/* Invariants: every press belongs to exactly one gesture; gestures come in the order of their first
 * presses; each cue is judged once, in order. */
#include <holdfast/pedal.h>

#include <string.h>

void hf_pedal_init(struct hf_pedal *p)
{
    memset(p, 0, sizeof *p);
}

/* ---- gestures -------------------------------------------------------------------------------- */

static void understand(struct hf_pedal *p, enum hf_gesture gesture)
{
    if (p->ready < (int)(sizeof p->gesture / sizeof p->gesture[0])) {
        p->gesture[p->ready] = gesture;
        p->made[p->ready++] = p->press[0];
    }
    p->waiting = 0;
}

static void understand_held(struct hf_pedal *p, int64_t ms)
{
    understand(p, HF_GESTURE_HELD);
    p->holding = true;
    p->repeat_ms = ms;
}

/* Two presses with no third close behind: a pair, or two by themselves. */
static void understand_two(struct hf_pedal *p)
{
    if (p->press[1].ms - p->press[0].ms <= HF_PEDAL_TWICE_MS) {
        understand(p, HF_GESTURE_TWICE);
        return;
    }
    understand(p, HF_GESTURE_ONCE);
    p->press[0] = p->press[1];
    p->waiting = 1;
}

/* What the time that has gone by tells. */
static void pass(struct hf_pedal *p, int64_t ms)
{
    if (p->waiting == 2 && ms - p->press[1].ms > HF_PEDAL_REPEAT_MS)
        understand_two(p);
    if (p->waiting != 1)
        return;
    int64_t since = ms - p->press[0].ms;
    if (p->told && p->down && since > HF_PEDAL_HOLD_MS) {
        understand(p, HF_GESTURE_HELD);
    } else if (p->told && !p->down && since > HF_PEDAL_TWICE_MS) {
        understand(p, HF_GESTURE_ONCE);
    } else if (!p->told && since > HF_PEDAL_HOLD_MS) {
        understand(p, HF_GESTURE_ONCE);
    }
}

/* A press that tells of its release needs no guess about repeats. */
static void press_told(struct hf_pedal *p, struct hf_press press)
{
    if (p->waiting == 2)
        understand_two(p);
    bool pairs = p->waiting == 1 && press.ms - p->press[0].ms <= HF_PEDAL_TWICE_MS;
    if (p->waiting == 1 && !pairs)
        understand(p, HF_GESTURE_ONCE);
    p->told = p->down = true;
    p->holding = false;
    if (pairs) {
        understand(p, HF_GESTURE_TWICE);
        return;
    }
    p->press[p->waiting++] = press;
}

void hf_pedal_press(struct hf_pedal *p, struct hf_press press, bool releases)
{
    pass(p, press.ms);
    if (releases) {
        press_told(p, press);
        return;
    }
    /* Late repeats of a busy machine still belong to what is held. */
    if (p->holding && press.ms - p->repeat_ms <= 2 * HF_PEDAL_REPEAT_MS) {
        p->repeat_ms = press.ms;
        return;
    }
    p->holding = p->told = p->down = false;
    if (p->waiting == 2 || (p->waiting == 1 && press.ms - p->press[0].ms < HF_PEDAL_REPEAT_MS)) {
        understand_held(p, press.ms);
        return;
    }
    p->press[p->waiting++] = press;
}

void hf_pedal_release(struct hf_pedal *p, int64_t ms)
{
    pass(p, ms);
    p->down = false;
}

enum hf_gesture hf_pedal_gesture(struct hf_pedal *p, int64_t ms, struct hf_press *press)
{
    pass(p, ms);
    if (p->ready == 0)
        return HF_GESTURE_NONE;
    enum hf_gesture gesture = p->gesture[0];
    *press = p->made[0];
    p->ready--;
    memmove(p->gesture, p->gesture + 1, (size_t)p->ready * sizeof p->gesture[0]);
    memmove(p->made, p->made + 1, (size_t)p->ready * sizeof p->made[0]);
    return gesture;
}

/* ---- what they mean -------------------------------------------------------------------------- */

bool hf_pedal_marks(enum hf_practice practice)
{
    return practice == HF_PRACTICE_IMPROVISE || practice == HF_PRACTICE_EAR ||
           practice == HF_PRACTICE_SIGHT || practice == HF_PRACTICE_WARMUP;
}

/* All that a cue has to say had been said at `at`. */
static bool answered(const struct hf_timeline *t, const struct hf_timeline_cue *cue, int64_t at)
{
    return hf_timeline_shown(t, cue->tell, at) &&
           (t->way == HF_CUE_SILENT || hf_timeline_shown(t, cue->hear, at));
}

static struct hf_pedal_wish press_key(enum hf_key key)
{
    return (struct hf_pedal_wish){.presses = true, .key = key};
}

/* Marks the cue that was answered, and goes on if it still runs. */
static struct hf_pedal_wish mark(const struct hf_timeline *t, const struct hf_timeline_cue *cue,
                                 enum hf_mark as, int64_t now)
{
    return (struct hf_pedal_wish){.marks = true,
                                  .cue = cue->record.n,
                                  .as = as,
                                  .presses = hf_timeline_running(t, now) == cue,
                                  .key = HF_KEY_NEXT};
}

struct hf_pedal_wish hf_pedal_wish(const struct hf_timeline *t, bool marks, enum hf_gesture gesture,
                                   int64_t at, int64_t now)
{
    const struct hf_timeline_cue *cue = hf_timeline_running(t, at);
    bool answer = marks && cue && answered(t, cue, at);
    if (t->pause_at != HF_NEVER)
        return press_key(HF_KEY_PAUSE);
    switch (gesture) {
    case HF_GESTURE_NONE:
        break;
    case HF_GESTURE_ONCE:
        if (answer)
            return mark(t, cue, HF_MARK_GOT, now);
        return press_key(marks && cue ? HF_KEY_REVEAL : HF_KEY_NEXT);
    case HF_GESTURE_TWICE:
        if (marks && cue && t->way != HF_CUE_SILENT && !hf_timeline_shown(t, cue->hear, at))
            return press_key(HF_KEY_REVEAL);
        return press_key(HF_KEY_AGAIN);
    case HF_GESTURE_HELD:
        return answer && t->wait ? mark(t, cue, HF_MARK_MISSED, now) : press_key(HF_KEY_STAY);
    }
    return (struct hf_pedal_wish){0};
}

/* The cue's time to answer came, and passed without the session's being left in it. */
static bool lapsed(const struct hf_timeline *t, const struct hf_timeline_cue *cue)
{
    bool left = t->end_at != HF_NEVER && cue->end >= t->end_at && t->why != HF_WHY_FINISHED;
    return !left && answered(t, cue, cue->end);
}

long hf_pedal_missed(struct hf_pedal *p, const struct hf_timeline *t, int64_t now)
{
    if (p->waiting || p->ready || t->wait)
        return 0;
    while (p->judged < t->count) {
        const struct hf_timeline_cue *cue = &t->cues[p->judged];
        if (!hf_timeline_reached(t, cue->end, now))
            return 0;
        p->judged++;
        if (cue->record.type == HF_RECORD_CUE && !cue->marked && lapsed(t, cue))
            return cue->record.n;
    }
    return 0;
}
