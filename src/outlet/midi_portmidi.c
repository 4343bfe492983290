/* SPDX-License-Identifier: MIT */
/* PortMidi behind the seam of midi_in. Invariant: the library runs exactly while it has been
 * counted and not closed.
 *
 * PortMidi says nothing of an input that is unplugged. On Linux the sequencer lists its ports in a
 * file: when a port that was listed there at the start is not any more, it is gone. */
#include <holdfast/midi_in.h>

#include <stddef.h>

#if HF_PORTMIDI

#include <portmidi.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "live_system.h"

enum { BUFFERED = 256, FILE_BYTES = 1 << 16 };

static struct {
    bool runs, listed;
    PmStream *stream;
    char quoted[HF_MIDI_NAME + 2];
    time_t looked;
} pm;

/* The index among all devices of the i-th input, -1 for none. */
static PmDeviceID input(int index)
{
    for (PmDeviceID i = 0; i < Pm_CountDevices(); i++) {
        const PmDeviceInfo *info = Pm_GetDeviceInfo(i);
        if (info && info->input && index-- == 0)
            return i;
    }
    return -1;
}

static int count(void *self)
{
    (void)self;
    int inputs = 0;
    struct hf_live_hush hush = hf_live_hush_begin(); /* ALSA says what it does not find */
    pm.runs = pm.runs || Pm_Initialize() == pmNoError;
    hf_live_hush_end(hush);
    if (!pm.runs)
        return -1;
    while (input(inputs) >= 0)
        inputs++;
    return inputs;
}

static bool name(void *self, int index, char out[HF_MIDI_NAME])
{
    (void)self;
    const PmDeviceInfo *info = Pm_GetDeviceInfo(input(index));
    if (!info || !info->name)
        return false;
    snprintf(out, HF_MIDI_NAME, "%s", info->name);
    return true;
}

/* Does the sequencer list the port? False too where there is no such list. */
static bool is_listed(void)
{
    static char text[FILE_BYTES];
    FILE *file = fopen("/proc/asound/seq/clients", "re");
    if (!file)
        return false;
    size_t length = fread(text, 1, sizeof text - 1, file);
    fclose(file);
    text[length] = 0;
    return strstr(text, pm.quoted) != NULL;
}

static bool open_input(void *self, int index)
{
    char plain[HF_MIDI_NAME];
    PmDeviceID device = input(index);
    if (!name(self, index, plain) ||
        Pm_OpenInput(&pm.stream, device, NULL, BUFFERED, NULL, NULL) != pmNoError)
        return false;
    Pm_SetFilter(pm.stream, PM_FILT_REALTIME | PM_FILT_SYSEX);
    snprintf(pm.quoted, sizeof pm.quoted, "\"%.*s\"", HF_MIDI_NAME - 1, plain);
    pm.listed = is_listed();
    pm.looked = time(NULL);
    return true;
}

static bool is_gone(void)
{
    time_t now = time(NULL);
    if (!pm.listed || now == pm.looked)
        return false;
    pm.looked = now;
    return !is_listed();
}

static int read_message(void *self, struct hf_midi_message *out)
{
    (void)self;
    PmEvent event;
    int got = Pm_Read(pm.stream, &event, 1);
    if (got == pmBufferOverflow) /* what came meanwhile is lost; what comes is not */
        return 0;
    if (got < 0 || (got == 0 && is_gone()))
        return -1;
    if (got == 0)
        return 0;
    *out = (struct hf_midi_message){(uint8_t)Pm_MessageStatus(event.message),
                                    (uint8_t)Pm_MessageData1(event.message),
                                    (uint8_t)Pm_MessageData2(event.message)};
    return 1;
}

static void close_all(void *self)
{
    (void)self;
    if (pm.stream)
        Pm_Close(pm.stream);
    if (pm.runs)
        Pm_Terminate();
    memset(&pm, 0, sizeof pm);
}

const struct hf_midi_system *hf_midi_portmidi(void)
{
    static const struct hf_midi_system system = {count,        name,      open_input,
                                                 read_message, close_all, NULL};
    return &system;
}

#else

const struct hf_midi_system *hf_midi_portmidi(void)
{
    return NULL;
}

#endif
