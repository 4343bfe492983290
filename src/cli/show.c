/* SPDX-License-Identifier: MIT */
/* Invariant: nothing that the cue still hides is shown before its time has come. */
#include "show.h"
#include "steps.h"

#include <inttypes.h>
#include <string.h>

#include "chooser.h"
#include "quiz.h"
#include "screen.h"
#include "show_parts.h"
#include "warmup.h"

/* ---- lines ----------------------------------------------------------------------------------- */

void show_open(struct show *show)
{
    if (show->stream) {
        show->kind = SHOW_JSON;
        show_json_begin(show);
    } else if (!show->plain && show_screen_begin(show)) {
        show->kind = SHOW_SCREEN;
    }
}

void show_close(struct show *show)
{
    if (show->kind == SHOW_SCREEN) {
        screen_end();
        show->kind = SHOW_PLAIN;
    }
    if (show->line_open)
        printf("\r\033[K");
    show->line_open = false;
    show->status[0] = 0;
}

void show_line(struct show *show, const char *line)
{
    if (show->kind == SHOW_SCREEN)
        show_remark(show, line);
    else if (show->kind == SHOW_JSON)
        show_json_line(show, line);
    if (show->kind != SHOW_PLAIN)
        return;
    show_close(show);
    printf("%s\n", line);
    fflush(stdout);
}

/* "2 of 6"; in roam the number of the completion, in hunt how many were found before it. */
static void number_cue(const struct show *show, size_t index, char text[SHOW_TEXT])
{
    const struct hf_timeline *t = show->of.timeline;
    const struct hf_timeline_cue *cue = &t->cues[index];
    int id = cue->record.id;
    if (steps_is(cue))
        snprintf(text, SHOW_TEXT, "%" PRIu32 " of %" PRIu32 ", %d/%d", cue->number, show->of.total,
                 cue->record.step, cue->record.steps);
    else if (!t->chosen)
        snprintf(text, SHOW_TEXT, "%" PRIu32 " of %" PRIu32, cue->number, show->of.total);
    else if (show->of.request->practice == HF_PRACTICE_HUNT && id >= 1 && id <= t->hunt.count)
        snprintf(text, SHOW_TEXT, "%d of %d", t->hunt.order[id - 1], t->hunt.count);
    else
        snprintf(text, SHOW_TEXT, "%d", id);
}

static void show_cue(struct show *show, size_t index, const char *what, const char *notes,
                     int64_t at)
{
    const struct hf_timeline_cue *cue = &show->of.timeline->cues[index];
    char clock[CLOCK_TEXT], line[2 * SHOW_TEXT], number[SHOW_TEXT], frets[NOTES_TEXT] = "";
    bool named = cue->tell != HF_NEVER && at >= cue->tell;
    const char *makes = named ? say_result(cue, show->of.held, show->of.varied) : "";
    if (named && show->of.timeline->way != HF_CUE_CHORD)
        say_frets(&cue->record, frets);
    if (named && show->of.timeline->practice == HF_PRACTICE_WARMUP)
        snprintf(frets, sizeof frets, "%s", warmup_word(&cue->record));
    number_cue(show, index, number);
    snprintf(line, sizeof line, "%6s  %.80s  %-6s %s%s%s%s%s",
             say_clock(at, show->of.rate_hz, clock), number, what, notes, frets[0] ? "   " : "",
             frets, makes[0] ? "  makes " : "", makes);
    show_line(show, line);
}

static void show_hold(struct show *show, size_t index, const char *what)
{
    const struct hf_record *hold = &show->of.timeline->cues[index].hold;
    char notes[NOTES_TEXT], frets[NOTES_TEXT], line[2 * SHOW_TEXT], number[SHOW_TEXT];
    number_cue(show, index, number);
    snprintf(line, sizeof line, "        %.80s  %s hold %s   %s", number, what,
             say_pitches(hold, notes), say_frets(hold, frets));
    show_line(show, line);
}

static bool brings_grip(const struct show *show, size_t index)
{
    const struct hf_timeline *t = show->of.timeline;
    return index < t->count && t->cues[index].has_hold && t->cues[index].hold.strings > 0;
}

void show_first_grip(struct show *show)
{
    if (show->of.timeline->way != HF_CUE_CHORD && brings_grip(show, 0))
        show_hold(show, 0, "will");
}

/* ---- the last line --------------------------------------------------------------------------- */

char *show_status(const struct show *show, int64_t now, char text[SHOW_TEXT])
{
    struct scene scene;
    char clock[CLOCK_TEXT];
    int rate_hz = show->of.rate_hz;
    scene_at(&show->of, now, &scene);
    if (scene.state == SCENE_END)
        snprintf(text, SHOW_TEXT, "the sound fades");
    else if (scene.state == SCENE_PAUSE)
        snprintf(text, SHOW_TEXT,
                 show->of.timeline->away ? "waiting for the sound output" : "paused: p resumes");
    else if (scene.state == SCENE_STAY)
        snprintf(text, SHOW_TEXT, "staying on  %.200s    Space: go on", scene.todo);
    else if (scene.in != HF_NEVER)
        snprintf(text, SHOW_TEXT, "%.200s    %s %s", scene.todo, scene.what,
                 say_clock(scene.in + rate_hz - 1, rate_hz, clock));
    else
        snprintf(text, SHOW_TEXT, "%.200s%s%.80s", scene.todo, scene.hint[0] ? "    " : "",
                 scene.hint);
    return text;
}

/* ---- what has come about --------------------------------------------------------------------- */

/* What the drone does from a cue on, where that is news. */
static void show_support(struct show *show, size_t index)
{
    const struct hf_timeline_cue *cue = &show->of.timeline->cues[index];
    bool before = index > 0 && cue[-1].has_drone && cue[-1].drone.held_for > 0;
    char line[SHOW_TEXT];
    if (!cue->has_drone || (cue->drone.held_for > 0 && before))
        return;
    if (cue->drone.gain_db <= HF_DRONE_NONE_DB)
        snprintf(line, sizeof line, "        no drone from here on: carry the held notes yourself");
    else if (cue->drone.held_for > 0)
        snprintf(line, sizeof line, "        the drone sounds at the start only: carry it on");
    else
        snprintf(line, sizeof line, "        the drone is softer, %d dB", cue->drone.gain_db);
    show_line(show, line);
}

/* What is known of a cue from its beginning. */
static void show_beginning(struct show *show, size_t index)
{
    const struct hf_timeline_cue *cue = &show->of.timeline->cues[index];
    char notes[NOTES_TEXT], line[SHOW_TEXT], asked[QUIZ_TEXT];
    bool sight = show->of.timeline->way == HF_CUE_CHORD; /* what is held is half of the answer */
    if (cue->has_hold && !sight)
        show_hold(show, index, "now");
    show_support(show, index);
    if (!sight && brings_grip(show, index + 1)) /* a new grip is told one cue before it is needed */
        show_hold(show, index + 1, "will");
    if (quiz_asks(&show->of) && quiz_begins(&show->of, index, asked)[0])
        show_line(show, asked);
    if (steps_is(cue))
        return;
    if (sight)
        quiz_draw(&show->of, index);
    if (show->of.timeline->way == HF_CUE_GAP) {
        snprintf(line, sizeof line, "the third note:  %s + ?", say_perfect(&cue->record, notes));
        show_cue(show, index, "find", line, cue->at);
    }
    if (show->of.timeline->way == HF_CUE_REVERSE)
        show_cue(show, index, "find", "the triad that completes it", cue->at);
}

static void show_name(struct show *show, size_t index)
{
    const struct hf_timeline_cue *cue = &show->of.timeline->cues[index];
    char notes[NOTES_TEXT];
    bool roams = show->of.timeline->chosen; /* nobody is asked to find it */
    if (steps_is(cue)) {
        char asked[STEPS_TEXT];
        show_cue(show, index, "find", steps_asked(&cue->record, asked), cue->tell);
    } else if (quiz_asks(&show->of)) {
        char told[QUIZ_TEXT];
        show_cue(show, index, "it is", quiz_told(&show->of, index, told), cue->tell);
        if (cue->hear == cue->tell)
            show->heard = index + 1;
    } else if (cue->hear == cue->tell) {
        show_cue(show, index, cue->tell == cue->at ? "play" : "hear",
                 say_pitches(&cue->record, notes), cue->tell);
        show->heard = index + 1;
    } else if (show->of.timeline->way == HF_CUE_EAR) {
        show_cue(show, index, "it is", say_pitches(&cue->record, notes), cue->tell);
    } else {
        show_cue(show, index, show->of.timeline->way == HF_CUE_SILENT || roams ? "play" : "find",
                 say_names(&cue->record, notes), cue->tell);
    }
}

static void show_sound(struct show *show, size_t index)
{
    const struct hf_timeline_cue *cue = &show->of.timeline->cues[index];
    char notes[NOTES_TEXT];
    char heard[STEPS_TEXT];
    if (steps_is(cue))
        show_cue(show, index, "hear", steps_heard(&cue->record, heard), cue->hear);
    else if (show->of.timeline->way == HF_CUE_EAR)
        show_cue(show, index, "listen", "", cue->hear);
    else
        show_cue(show, index, "hear", say_pitches(&cue->record, notes), cue->hear);
}

static void show_cues(struct show *show, int64_t now)
{
    const struct hf_timeline *t = show->of.timeline;
    for (size_t i = show->begun; i < t->count; i++) {
        if (!hf_timeline_reached(t, t->cues[i].at, now) || !hf_timeline_given(t, &t->cues[i]))
            break;
        show_beginning(show, i);
        show->begun = i + 1;
    }
    for (size_t i = show->named; i < show->begun; i++)
        if (hf_timeline_shown(t, t->cues[i].tell, now)) {
            show_name(show, i);
            show->named = i + 1;
        }
    for (size_t i = show->heard; i < show->begun; i++)
        if (hf_timeline_shown(t, t->cues[i].hear, now)) {
            show_sound(show, i);
            show->heard = i + 1;
        }
}

static void show_pause(struct show *show, bool paused)
{
    const struct hf_timeline *t = show->of.timeline;
    char clock[CLOCK_TEXT], line[SHOW_TEXT] = "        pause";
    if (paused && t->on_break)
        snprintf(line, sizeof line,
                 "        break after %s of sound: rest ears and hands for as long as you like\n"
                 "        (five minutes in every half hour is a habit of players, not a rule)",
                 say_clock(t->sounded, show->of.rate_hz, clock));
    else if (paused && t->away)
        snprintf(line, sizeof line,
                 "        the sound output went away: the cue waits, for 20 s at most");
    else if (!paused && t->rested > show->rested)
        snprintf(line, sizeof line, "        resumed after a break of %s",
                 say_clock(t->rested - show->rested, show->of.rate_hz, clock));
    else if (!paused)
        snprintf(line, sizeof line, "        resumed");
    show->rested = t->rested;
    show_line(show, line);
}

static void show_states(struct show *show, int64_t now)
{
    const struct hf_timeline *t = show->of.timeline;
    bool staying = t->stay_at != HF_NEVER, paused = t->pause_at != HF_NEVER;
    bool ending = t->end_at != HF_NEVER && now >= t->end_at;
    int64_t until = 0;
    bool resting = !staying && scene_rests(t, now, &until);
    if (resting && !show->resting)
        show_line(show, "        rest: hands off");
    show->resting = resting || (staying && show->resting);
    if (staying != show->staying)
        show_line(show, staying ? "        stay: the cues wait, the sound goes on"
                                : "        the cues go on");
    if (paused != show->paused)
        show_pause(show, paused);
    if (show->volume_known && show->volume_db != t->volume_db) {
        char line[SHOW_TEXT];
        snprintf(line, sizeof line, "        volume %g dB", t->volume_db);
        show_line(show, line);
    }
    show->volume_known = true;
    show->volume_db = t->volume_db;
    if (ending && !show->ending)
        show_line(show, "        end: the sound fades");
    show->staying = staying;
    show->paused = paused;
    show->ending = ending;
}

void show_again(struct show *show, int64_t now)
{
    const struct hf_timeline *t = show->of.timeline;
    long index = scene_cue(t, now);
    char notes[NOTES_TEXT];
    if (index < 0)
        return;
    if (t->chosen && !hf_timeline_shown(t, t->cues[index].hear, now))
        return; /* in roam this brings it to sound, which is told then */
    bool told = hf_timeline_shown(t, t->cues[index].tell, now);
    show_cue(show, (size_t)index, "again", told ? say_pitches(&t->cues[index].record, notes) : "",
             now);
}

static uint32_t number_of(const struct hf_timeline *t, long cue_n)
{
    for (size_t i = 0; i < t->count; i++)
        if (t->cues[i].record.n == cue_n)
            return t->cues[i].number;
    return 0;
}

void show_choice(struct show *show, const struct hf_record *record, bool tell)
{
    char text[CHOOSER_TEXT], line[CHOOSER_TEXT + 16];
    struct hf_hint hint;
    const struct hf_timeline *t = show->of.timeline;
    if (record->type == HF_RECORD_ANSWER && record->cue == 0 && t->hunt.count)
        chooser_answer(t, record, tell, text);
    else if (record->type == HF_RECORD_HINT && hf_hunt_hint(&t->hunt, &hint))
        chooser_hint(&t->hunt, &hint, text);
    else
        return;
    snprintf(line, sizeof line, "        %s", text);
    show_line(show, line);
}

void show_mark(struct show *show, long cue_n, enum hf_mark mark)
{
    char line[SHOW_TEXT];
    snprintf(line, sizeof line, "        %" PRIu32 " of %" PRIu32 "  %s",
             number_of(show->of.timeline, cue_n), show->of.total, hf_mark_word(mark));
    show_line(show, line);
}

void show_update(struct show *show, int64_t now)
{
    char status[SHOW_TEXT];
    if (show->kind == SHOW_JSON) {
        show_json_update(show, now);
        return;
    }
    if (show->kind == SHOW_PLAIN)
        show_cues(show, now);
    show_states(show, now);
    if (show->kind == SHOW_SCREEN)
        show_screen_update(show, now);
    if (!show->terminal || show->kind != SHOW_PLAIN)
        return;
    show_status(show, now, status);
    if (show->line_open && strcmp(status, show->status) == 0)
        return;
    printf("\r\033[K        \033[1m%s\033[0m", status);
    fflush(stdout);
    snprintf(show->status, sizeof show->status, "%s", status);
    show->line_open = true;
}

int show_rest_ms(const struct show *show, int64_t now, int most)
{
    struct scene scene;
    scene_at(&show->of, now, &scene);
    if (scene.in == HF_NEVER || scene.stands)
        return most;
    int64_t ms = scene.in * 1000 / scene.rate_hz + 1;
    return ms < 1 ? 1 : ms < most ? (int)ms : most;
}

/* A missed cue. */
static bool is_missed(const struct hf_timeline_cue *cue)
{
    return cue->marked && cue->mark == HF_MARK_MISSED;
}

/* A line for the notes of missed cue `i`, with how often they were missed; none where an earlier
 * cue of the same notes had it. */
static void show_missed(const struct hf_timeline *t, size_t i)
{
    char notes[NOTES_TEXT];
    size_t times = 0;
    for (size_t k = 0; k < t->count; k++) {
        if (!is_missed(&t->cues[k]) || t->cues[k].record.pcs != t->cues[i].record.pcs)
            continue;
        if (k < i)
            return;
        times++;
    }
    printf("        missed %s ", say_names(&t->cues[i].record, notes));
    if (times == 1)
        printf("(cue %" PRIu32 ")\n", t->cues[i].number);
    else
        printf("%zu times\n", times);
}

void show_marks(const struct hf_timeline *t)
{
    size_t got = 0, missed = 0;
    for (size_t i = 0; i < t->count; i++) {
        got += t->cues[i].marked && t->cues[i].mark == HF_MARK_GOT;
        missed += is_missed(&t->cues[i]);
    }
    if (got + missed == 0)
        return;
    printf("Marks:  got %zu, missed %zu\n", got, missed);
    for (size_t i = 0; i < t->count; i++)
        if (is_missed(&t->cues[i]))
            show_missed(t, i);
}
