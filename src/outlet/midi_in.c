/* SPDX-License-Identifier: MIT */
/* Invariant: an input that is gone is not read any more; a flood of messages can't keep a caller
 * for longer than it asks. */
#include <holdfast/midi_in.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <holdfast/text.h>

enum { SKIPPED_AT_ONCE = 256, LISTED = 280 };

struct hf_midi {
    const struct hf_midi_system *system;
    char name[HF_MIDI_NAME];
    bool gone;
};

/* A name as it is shown and asked for. */
static bool name_of(const struct hf_midi_system *system, int index, char name[HF_MIDI_NAME])
{
    if (!system->name(system->self, index, name))
        return false;
    hf_text_disarm(name);
    return true;
}

static bool has_part(const char *text, const char *part)
{
    size_t length = strlen(part);
    for (; *text; text++)
        if (strncasecmp(text, part, length) == 0)
            return true;
    return length == 0;
}

/* How many inputs `wish` names; the whole name names one. */
static int find(const struct hf_midi_system *system, int count, const char *wish, int *out)
{
    char name[HF_MIDI_NAME];
    int parts = 0;
    for (int i = 0; i < count; i++) {
        if (!name_of(system, i, name))
            continue;
        if (strcasecmp(name, wish) == 0) {
            *out = i;
            return 1;
        }
        if (has_part(name, wish)) {
            *out = i;
            parts++;
        }
    }
    return parts;
}

static enum hf_status refuse(const struct hf_midi_system *system, int count, int found,
                             const char *wish, struct hf_diag *diag)
{
    char name[HF_MIDI_NAME], list[LISTED] = "";
    for (int i = 0; i < count; i++) {
        size_t used = strlen(list);
        if (name_of(system, i, name))
            snprintf(list + used, sizeof list - used, "%s%.100s", used ? ", " : "", name);
    }
    hf_fail(diag, HF_E_DEVICE,
            found ? "several MIDI inputs are called \"%.80s\""
                  : "no MIDI input is called \"%.80s\"",
            wish);
    hf_advise(diag, list[0] ? "there are: %s" : "there is none%s", list);
    return HF_E_DEVICE;
}

enum hf_status hf_midi_open(struct hf_midi **out, const struct hf_midi_system *system,
                            const char *name, struct hf_diag *diag)
{
    int index = 0;
    if (!system) {
        hf_fail(diag, HF_E_USAGE, "MIDI is not in this build");
        hf_advise(diag, "install PortMidi (Debian: apt-get install libportmidi-dev), build again");
        return HF_E_USAGE;
    }
    struct hf_midi *midi = calloc(1, sizeof *midi);
    if (!midi)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    midi->system = system;
    int count = system->count(system->self);
    int found = count > 0 ? find(system, count, name, &index) : 0;
    enum hf_status status = HF_OK;
    if (found != 1)
        status = refuse(system, count, found, name, diag);
    else if (!name_of(system, index, midi->name) || !system->open(system->self, index))
        status = hf_fail(diag, HF_E_DEVICE, "the MIDI input \"%.80s\" can't be opened", midi->name);
    if (status == HF_OK) {
        *out = midi;
        return HF_OK;
    }
    hf_midi_close(midi);
    return status;
}

const char *hf_midi_name(const struct hf_midi *midi)
{
    return midi->name;
}

bool hf_midi_read(struct hf_midi *midi, struct hf_midi_message *out)
{
    struct hf_midi_message message;
    for (int i = 0; i < SKIPPED_AT_ONCE && !midi->gone; i++) {
        int got = midi->system->read(midi->system->self, &message);
        midi->gone = got < 0;
        if (got <= 0)
            return false;
        if (message.status >= 0x80 && message.status < 0xf0) {
            *out = message;
            return true;
        }
    }
    return false;
}

bool hf_midi_alive(const struct hf_midi *midi)
{
    return !midi->gone;
}

void hf_midi_close(struct hf_midi *midi)
{
    if (!midi)
        return;
    midi->system->close(midi->system->self);
    free(midi);
}
