/* SPDX-License-Identifier: MIT */
/* The words on stdout. Invariant: nothing from a file is printed but names that were checked. */
#include "session.h"

#include <inttypes.h>
#include <string.h>

char *say_clock(int64_t samples, int rate_hz, char text[CLOCK_TEXT])
{
    int64_t seconds = samples / rate_hz;
    snprintf(text, CLOCK_TEXT, "%" PRId64 ":%02d", seconds / 60, (int)(seconds % 60));
    return text;
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
        accidental += *c == '#' ? 1 : *c == 'b' ? -1 : 0;
    return (midi - accidental) / HF_PCS - 1;
}

char *say_pitches(const struct hf_record *cue, char text[NOTES_TEXT])
{
    text[0] = 0;
    for (int i = 0; i < cue->count; i++) {
        char pitch[HF_SPELLED_TEXT + 12];
        snprintf(pitch, sizeof pitch, "%s%d", cue->names[i],
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
           "Take breaks, stop at pain; advice of a teacher or clinician and local rules come "
           "first.\n");
}

static void list_results(const struct hf_schedule *schedule, char *out, size_t size)
{
    out[0] = 0;
    for (int i = 0; i < schedule->count; i++) {
        const char *name = schedule->completions[i].result->name;
        size_t used = strlen(out);
        if (!strstr(out, name))
            snprintf(out + used, size - used, "%s%s", used ? " or " : "", name);
    }
}

bool say_several_results(const struct hf_schedule *schedule)
{
    for (int i = 1; i < schedule->count; i++)
        if (schedule->completions[i].result != schedule->completions[0].result)
            return true;
    return false;
}

void say_session(const struct session *session)
{
    const struct hf_request *request = &session->request;
    char held[HF_NOTES_TEXT], prime[HF_PCSET_TEXT], results[200], clock[CLOCK_TEXT];
    const struct hf_schedule *schedule = &session->schedule;
    hf_notes_format(&request->held, HF_NAMES_SIMPLE, held);
    if (request->cue == HF_CUE_REVERSE) {
        printf("Held:  another 016 with each cue; the augmented triad that completes it is asked\n");
    } else {
        list_results(schedule, results, sizeof results);
        printf("Held:  %s (%s), sounding pitches\n", held, hf_setclass_of(request->held.set)->name);
        printf("Added: %s (%s), %d completion%s, each making %s\n",
               hf_pcset_format(request->added->prime, prime), request->added->name, schedule->count,
               schedule->count == 1 ? "" : "s", results);
    }
    printf("Cues:  %" PRIu32 ", %s, order %s, register %s, ", schedule->total,
           request->text[HF_OPT_CUE], request->legs ? "of the path" : request->text[HF_OPT_ORDER],
           schedule->any_register ? "of the instrument" : request->text[HF_OPT_REGISTER]);
    if (request->every.wait) {
        printf("each as long as you like\n");
    } else {
        int64_t length = hf_request_samples(request, request->lead_in) +
                         hf_request_samples(request, request->every) * schedule->total;
        printf("one every %s: %s in all\n", request->text[HF_OPT_EVERY],
               say_clock(length, request->rate_hz, clock));
    }
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
    for (size_t i = 0; i < timeline->count; i++) {
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
        printf("%4zu  %7s  %7s  %7s  %-12s %-*s%-14s%s%s\n", i + 1, clock_or_dash(cue->tell, rate_hz, at),
               clock_or_dash(cue->hear, rate_hz, hear), clock_or_dash(cue->end, rate_hz, end),
               say_names(&cue->record, names), varied ? 8 : 0, say_result(cue, held, varied),
               say_pitches(&cue->record, pitches), cue->record.strings ? "   " : "",
               say_frets(&cue->record, frets));
    }
    if (timeline->end_at != HF_NEVER)
        printf("%4s  %7s  then a fade of %.3g s\n", "end",
               say_clock(timeline->end_at, rate_hz, at), (double)timeline->end_fade / rate_hz);
}
