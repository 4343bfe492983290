/* SPDX-License-Identifier: MIT */
/* The words on stdout. Invariant: nothing from a file is printed but names that were checked. */
#include "session.h"

#include <inttypes.h>
#include <string.h>

#include "chooser.h"
#include "quiz.h"
#include "steps.h"
#include "warmup.h"

char *say_clock(int64_t samples, int rate_hz, char text[CLOCK_TEXT])
{
    int64_t seconds = samples / rate_hz;
    snprintf(text, CLOCK_TEXT, "%" PRId64 ":%02d", seconds / 60, (int)(seconds % 60));
    return text;
}

uint32_t say_cues_given(const struct hf_timeline *timeline)
{
    uint32_t given = 0;
    for (size_t i = 0; i < timeline->count; i++)
        given += timeline->cues[i].record.type == HF_RECORD_CUE &&
                 hf_timeline_given(timeline, &timeline->cues[i]);
    return given;
}

static void append(char *text, const char *word)
{
    size_t used = strlen(text);
    snprintf(text + used, NOTES_TEXT - used, "%s%s", used ? " " : "", word);
}

/* Names in order of pitch class, as they are spelled, each once. */
char *say_names(const struct hf_record *cue, char text[NOTES_TEXT])
{
    text[0] = 0;
    for (int pc = 0; pc < HF_PCS; pc++)
        for (int i = 0; i < cue->count; i++)
            if (cue->notes[i] % HF_PCS == pc) {
                append(text, cue->names[i]);
                break;
            }
    return text;
}

char *say_perfect(const struct hf_record *cue, char text[NOTES_TEXT])
{
    text[0] = 0;
    for (int i = 0; i < cue->count; i++)
        for (int j = 0; j < cue->count; j++)
            if (hf_pc(cue->notes[j] - cue->notes[i]) == 5) {
                append(text, cue->names[i]);
                append(text, cue->names[j]);
            }
    return text;
}

char *say_frets(const struct hf_record *record, char text[NOTES_TEXT])
{
    text[0] = 0;
    for (int i = 0; i < record->strings; i++) {
        size_t used = strlen(text);
        if (record->frets[i] == HF_SILENT)
            snprintf(text + used, NOTES_TEXT - used, "%sx", i ? "-" : "");
        else
            snprintf(text + used, NOTES_TEXT - used, "%s%d", i ? "-" : "", record->frets[i]);
    }
    return text;
}

/* The octave is that of the letter: B#3 is a semitone under C#4. */
static int letter_octave(int midi, const char *name)
{
    int accidental = 0;
    for (const char *c = name + 1; *c; c++)
        accidental += *c == '#' || strncmp(c, "is", 2) == 0   ? 1
                      : *c == 'b' || strncmp(c, "es", 2) == 0 ? -1
                                                              : 0;
    return (midi - accidental) / HF_PCS - 1;
}

char *say_pitches(const struct hf_record *cue, char text[NOTES_TEXT])
{
    text[0] = 0;
    for (int i = 0; i < cue->count; i++) {
        char pitch[HF_SPELLED_TEXT + 12];
        bool number = cue->names[i][0] <= '9'; /* a pitch class and its octave: "1/4" */
        snprintf(pitch, sizeof pitch, "%s%s%d", cue->names[i], number ? "/" : "",
                 letter_octave(cue->notes[i], cue->names[i]));
        append(text, pitch);
    }
    return text;
}

void say_wrote(const char *file, int64_t frames, int rate_hz)
{
    char clock[CLOCK_TEXT];
    printf("Wrote ");
    hf_cli_print_file(file);
    printf(": %s at %d Hz\n", say_clock(frames, rate_hz, clock), rate_hz);
}

void say_cautions(void)
{
    printf("Start with the volume low: the program cannot know how loud it is at your ear.\n"
           "Take breaks, stop at pain; your teacher, clinician and local rules come first.\n");
}

bool say_several_results(const struct hf_schedule *schedule)
{
    for (int i = 1; i < schedule->count; i++)
        if (schedule->completions[i].result != schedule->completions[0].result)
            return true;
    return false;
}

/* What the completions make: the class, or how many. */
static void say_results(const struct hf_schedule *schedule)
{
    int classes = 0;
    for (int i = 0; i < schedule->count; i++) {
        bool new_class = true;
        for (int j = 0; j < i; j++)
            new_class &= schedule->completions[j].result != schedule->completions[i].result;
        classes += new_class;
    }
    if (classes == 1)
        printf(" making %s\n", schedule->completions[0].result->name);
    else
        printf(" making %d classes, each cue says which\n", classes);
}

static void say_held_and_added(const struct session *session)
{
    const struct hf_request *request = &session->request;
    char held[HF_NOTES_TEXT], prime[HF_PCSET_TEXT];
    if (request->cue == HF_CUE_REVERSE) {
        printf(
            "Held:  another 016 with each cue; the augmented triad that completes it is asked\n");
        return;
    }
    printf("Held:  %s (%s), sounding pitches\n",
           hf_notes_format(&request->held, request->names, held),
           hf_setclass_of(request->held.set)->name);
    if (request->held.repeated)
        printf("       (a note that was named twice is held once)\n");
    printf("Added: %s (%s), %d completion%s", hf_pcset_format(request->added->prime, prime),
           request->added->name, session->schedule.count, session->schedule.count == 1 ? "" : "s");
    say_results(&session->schedule);
}

static void say_length(const struct session *session)
{
    const struct hf_request *request = &session->request;
    char clock[CLOCK_TEXT];
    if (request->every.wait)
        printf("each as long as you like\n");
    else if (request->longest.amount > 0)
        printf("%s, longer after a miss; %s in all when none is missed\n",
               request->text[HF_OPT_BREATHE],
               say_clock(session_length(session), request->rate_hz, clock));
    else
        printf("one every %s%s, %s in all with the closing fade\n", request->text[HF_OPT_EVERY],
               session->schedule.unfold.steps ? " and its steps" : "",
               say_clock(session_length(session), request->rate_hz, clock));
}

static const char *order_word(const struct session *session)
{
    const struct hf_request *request = &session->request;
    if (request->legs)
        return "of the path";
    if (request->has_own && !request->given[HF_OPT_ORDER])
        return "by movement";
    return request->text[HF_OPT_ORDER];
}

/* The number of the first cue with a support; one after the last where none has it. */
static int first_of(enum hf_support_stage stage, uint32_t total)
{
    uint32_t place = 0;
    while (place < total && hf_support_at(place, total).stage < stage)
        place++;
    return (int)place + 1;
}

void say_session(const struct session *session)
{
    static const char *const ways[] = {
        [HF_CUE_LEAD] = "named and sounded",      [HF_CUE_CONFIRM] = "named, later sounded",
        [HF_CUE_SILENT] = "named, never sounded", [HF_CUE_EAR] = "sounded, later named",
        [HF_CUE_GAP] = "two named, later all",    [HF_CUE_REVERSE] = "the triad later"};
    const struct hf_request *request = &session->request;
    const struct hf_schedule *schedule = &session->schedule;
    if (request->practice == HF_PRACTICE_WARMUP) {
        say_warmup(session);
        return;
    }
    if (request->practice != HF_PRACTICE_SIGHT)
        say_held_and_added(session);
    if (hf_request_chooses(request)) {
        chooser_say_session(request, schedule->count);
        printf("Seed:  %s\n", request->text[HF_OPT_SEED]);
        return;
    }
    printf("Cues:  %" PRIu32 ", ", hf_schedule_cues(schedule));
    say_length(session);
    quiz_say_session(request, schedule);
    if (request->practice == HF_PRACTICE_SIGHT) {
        printf("Seed:  %s\n", request->text[HF_OPT_SEED]);
        return;
    }
    printf("Way:   %s (%s), order %s, register %s\n", request->text[HF_OPT_CUE], ways[request->cue],
           order_word(session),
           schedule->any_register ? "of the instrument" : request->text[HF_OPT_REGISTER]);
    if (schedule->unfold.steps > 0)
        printf("Steps: %d after each cue, one class each, %s%s\n", schedule->unfold.steps,
               request->every.wait ? "as long as you like" : request->text[HF_OPT_STEP],
               schedule->unfold.keep ? ", each note where the chord has it" : "");
    if (request->fading)
        printf("Drone: gets softer, from cue %d on only at the start, from %d on none\n",
               first_of(HF_SUPPORT_START, schedule->total),
               first_of(HF_SUPPORT_NONE, schedule->total));
    if (request->where == HF_REGISTER_ALL && schedule->total < 3 * (uint32_t)schedule->count)
        printf("       (a round above, one through, one below: all three take --rounds 3)\n");
    if (hf_schedule_left_out(schedule) > 0)
        printf("Left out: %d that cannot be played with this grip\n",
               hf_schedule_left_out(schedule));
    printf("Seed:  %s\n", request->text[HF_OPT_SEED]);
}

static const char *clock_or_dash(int64_t at, int rate_hz, char text[CLOCK_TEXT])
{
    return at == HF_NEVER ? "-" : say_clock(at, rate_hz, text);
}

const char *say_result(const struct hf_timeline_cue *cue, hf_pcset held, bool varied)
{
    return varied ? hf_setclass_of(held | cue->record.pcs)->name : "";
}

bool say_varied(const struct hf_timeline *timeline, hf_pcset held)
{
    if (timeline->practice == HF_PRACTICE_WARMUP)
        return false; /* its steps are parts of what makes a class */
    for (size_t i = 0; i < timeline->count; i++) {
        if (steps_is(&timeline->cues[i]))
            continue;
        if (timeline->cues[i].has_hold)
            return false; /* each chord of a path is of one class */
        if (hf_setclass_of(held | timeline->cues[i].record.pcs) !=
            hf_setclass_of(held | timeline->cues[0].record.pcs))
            return true;
    }
    return false;
}

void say_timeline(const struct hf_timeline *timeline, hf_pcset held, int rate_hz)
{
    bool varied = say_varied(timeline, held);
    char holds[NOTES_TEXT], frets[NOTES_TEXT];
    char at[CLOCK_TEXT], hear[CLOCK_TEXT], end[CLOCK_TEXT], names[NOTES_TEXT], pitches[NOTES_TEXT];
    printf("%4s  %7s  %7s  %7s  %-12s %s%s\n", "cue", "named", "sounds", "ends", "notes",
           varied ? "makes   " : "", "pitches");
    for (size_t i = 0; i < timeline->count; i++) {
        const struct hf_timeline_cue *cue = &timeline->cues[i];
        if (!timeline->wait && !hf_timeline_given(timeline, cue))
            continue;
        if (cue->has_hold)
            printf("      holding %s   %s\n", say_pitches(&cue->hold, holds),
                   say_frets(&cue->hold, frets));
        say_pitches(&cue->record, pitches);
        say_frets(&cue->record, frets);
        if (timeline->practice == HF_PRACTICE_WARMUP)
            snprintf(frets, sizeof frets, "%s", warmup_word(&cue->record));
        char number[16] = "-";
        if (steps_is(cue)) /* in place of where it lies: which class, and which of its places */
            snprintf(frets, sizeof frets, "%s, %d of %d", hf_setclass_of(cue->record.pcs)->name,
                     cue->record.which, cue->record.of);
        else
            snprintf(number, sizeof number, "%" PRIu32, cue->number);
        printf("%4s  %7s  %7s  %7s  %-12s %-*s%s%*s%s\n", number,
               clock_or_dash(cue->tell, rate_hz, at), clock_or_dash(cue->hear, rate_hz, hear),
               clock_or_dash(cue->end, rate_hz, end), say_names(&cue->record, names),
               varied ? 8 : 0, say_result(cue, held, varied), pitches,
               frets[0] ? 17 - (int)strlen(pitches) : 0, "", frets);
        if (i + 1 < timeline->count && cue->end != HF_NEVER && cue[1].at > cue->end &&
            cue[1].at != HF_NEVER)
            printf("      rest until %s\n", say_clock(cue[1].at, rate_hz, at));
    }
    if (timeline->end_at != HF_NEVER)
        printf("%4s  %7s  then a fade of %.3g s\n", "end", say_clock(timeline->end_at, rate_hz, at),
               (double)timeline->end_fade / rate_hz);
}
