/* SPDX-License-Identifier: MIT */
/* What is spoken in a session: from its options to who speaks. Invariant: a session that was asked
 * to speak does, or isn't played; a replay that can't speak says so, and sounds as it did
 * otherwise. */
#include "session.h"

#include <string.h>

#include <holdfast/speech.h>

enum hf_status session_check_speech(struct session *s, struct hf_diag *diag)
{
    struct hf_request *request = &s->request;
    char *voice = request->text[HF_OPT_VOICE];
    if (request->speak == HF_SPEAK_OFF && request->given[HF_OPT_VOICE])
        return hf_fail(diag, HF_E_USAGE, "--voice goes with --speak or --speak-only");
    if (request->speak == HF_SPEAK_OFF)
        return HF_OK;
    enum hf_status status = hf_speech_check(voice, diag);
    if (status == HF_OK && !voice[0])
        snprintf(voice, HF_REQUEST_TEXT, "%s", hf_speech_default_voice());
    return status;
}

enum hf_status session_start_conductor(struct session *s, struct hf_diag *diag)
{
    const struct hf_request *request = &s->head.request;
    if (request->speak == HF_SPEAK_OFF)
        return hf_conductor_init(&s->conductor, request, &s->schedule, diag);
    enum hf_status status = hf_speech_open(&s->speech, request->text[HF_OPT_VOICE], request->names,
                                           request->rate_hz, diag);
    if (status != HF_OK)
        return status;
    hf_narrator_init(&s->narrator, &s->conductor, request, hf_schedule_cues(&s->schedule),
                     hf_speech_speaker(s->speech));
    status = hf_conductor_init_naming(&s->conductor, request, &s->schedule,
                                      hf_narrator_naming(&s->narrator), diag);
    return status == HF_OK ? hf_narrator_prepare(&s->narrator, &s->schedule, diag) : status;
}

struct hf_source session_source(struct session *s)
{
    return s->head.request.speak == HF_SPEAK_OFF ? hf_conductor_source(&s->conductor)
                                                 : hf_narrator_source(&s->narrator);
}

struct hf_speaker session_speaker(const struct session *s)
{
    return s->speech ? hf_speech_speaker(s->speech) : (struct hf_speaker){0};
}

void session_replay_speech(struct session *s, const struct hf_journal *journal,
                           struct hf_replay *replay)
{
    const struct hf_request *request = &s->head.request;
    const char *voice = request->text[HF_OPT_VOICE];
    struct hf_diag diag;
    if (request->speak == HF_SPEAK_OFF)
        return;
    if (!s->speech &&
        (hf_speech_check(voice, &diag) != HF_OK ||
         hf_speech_open(&s->speech, voice, request->names, request->rate_hz, &diag) != HF_OK))
        hf_cli_warn("the words of this session can't be spoken here: %s", diag.message);
    struct hf_speaker speaker = session_speaker(s);
    struct hf_replay_speech speech = hf_replay_speak(replay, journal, &speaker);
    if (s->speech && speech.missing > 0)
        hf_cli_warn("%ld of its words could not be spoken", speech.missing);
    if (speech.changed > 0)
        hf_cli_warn("%ld of its words sound otherwise than they did: the voice is of another build",
                    speech.changed);
    if (speech.missing + speech.changed > 0)
        hf_cli_warn("the music, and how it gives way, is exact all the same");
}
