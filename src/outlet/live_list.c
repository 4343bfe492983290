/* SPDX-License-Identifier: MIT */
/* Invariants: only devices that have output channels are ever listed or chosen; the sound system is
 * started and ended within hf_live_list, and running in the other functions. */
#include "live_system.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/text.h>

static const int common_rates_hz[] = {8000,  11025, 16000, 22050,  32000, 44100,
                                      48000, 88200, 96000, 176400, 192000};

_Static_assert(sizeof common_rates_hz / sizeof common_rates_hz[0] <= HF_LIVE_MOST_RATES,
               "every common rate has a place");

/* A name as it is shown and asked for: what might upset a terminal or JSON is replaced. */
static void clean(const char *name, char *out, size_t size)
{
    snprintf(out, size, "%s", name);
    bool fine = hf_text_is_utf8(out, strlen(out)) && hf_text_is_plain(out, strlen(out), "");
    for (; !fine && *out; out++)
        if ((unsigned char)*out < 0x20 || (unsigned char)*out > 0x7e)
            *out = '?';
}

void hf_live_name_of(PaDeviceIndex device, char name[HF_LIVE_NAME_LENGTH])
{
    clean(Pa_GetDeviceInfo(device)->name, name, HF_LIVE_NAME_LENGTH);
}

static void host_of(const PaDeviceInfo *device, char host[HF_LIVE_HOST_LENGTH])
{
    const PaHostApiInfo *api = Pa_GetHostApiInfo(device->hostApi);
    clean(api && api->name ? api->name : "unknown", host, HF_LIVE_HOST_LENGTH);
}

/* The device's description, or NULL if it has no output. */
static const PaDeviceInfo *output_at(PaDeviceIndex index)
{
    const PaDeviceInfo *device = Pa_GetDeviceInfo(index);
    return device && device->name && device->maxOutputChannels > 0 ? device : NULL;
}

PaStreamParameters hf_live_parameters(PaDeviceIndex device, double latency_s)
{
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    PaStreamParameters parameters = {.device = device, .sampleFormat = paFloat32};
    parameters.channelCount = info->maxOutputChannels < 2 ? 1 : 2;
    parameters.suggestedLatency = latency_s > 0 ? latency_s : info->defaultHighOutputLatency;
    return parameters;
}

int hf_live_rates(PaDeviceIndex device, int *rates_hz)
{
    int count = 0;
    PaStreamParameters parameters = hf_live_parameters(device, 0);
    struct hf_live_hush hush = hf_live_hush_begin();
    for (size_t i = 0; i < sizeof common_rates_hz / sizeof common_rates_hz[0]; i++)
        if (Pa_IsFormatSupported(NULL, &parameters, common_rates_hz[i]) == paFormatIsSupported)
            rates_hz[count++] = common_rates_hz[i];
    hf_live_hush_end(hush);
    return count;
}

static void describe(PaDeviceIndex index, const PaDeviceInfo *device, struct hf_live_output *out)
{
    memset(out, 0, sizeof *out);
    hf_live_name_of(index, out->name);
    host_of(device, out->host);
    out->index = index;
    out->is_default = index == Pa_GetDefaultOutputDevice();
    out->channels = device->maxOutputChannels;
    out->rate_hz = (int)device->defaultSampleRate;
    out->latency_s = device->defaultHighOutputLatency;
    out->rate_count = hf_live_rates(index, out->rates_hz);
}

enum hf_status hf_live_list(struct hf_live_output *outputs, int max, int *count,
                            struct hf_diag *diag)
{
    enum hf_status status = hf_live_system_start(diag);
    if (status != HF_OK)
        return status;
    int found = 0;
    PaDeviceIndex first = Pa_GetDefaultOutputDevice();
    const PaDeviceInfo *device = first >= 0 ? output_at(first) : NULL;
    if (device && max > 0)
        describe(first, device, &outputs[found++]);
    for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount() && found < max; i++) {
        device = output_at(i);
        if (device && i != first)
            describe(i, device, &outputs[found++]);
    }
    hf_live_system_stop();
    *count = found;
    return HF_OK;
}

/* How well a wish names a device: better ones first. */
enum match { WHOLE_NAME, HOST_AND_NAME, PART, NO_MATCH };

void hf_live_address_of(PaDeviceIndex device, char address[HF_LIVE_ADDRESS])
{
    char name[HF_LIVE_NAME_LENGTH], host[HF_LIVE_HOST_LENGTH];
    hf_live_name_of(device, name);
    host_of(Pa_GetDeviceInfo(device), host);
    snprintf(address, HF_LIVE_ADDRESS, "%s: %s", host, name);
}

static enum match match(const char *wish, PaDeviceIndex index)
{
    char name[HF_LIVE_NAME_LENGTH], full[HF_LIVE_ADDRESS];
    hf_live_name_of(index, name);
    hf_live_address_of(index, full);
    if (strcmp(wish, name) == 0)
        return WHOLE_NAME;
    if (strcmp(wish, full) == 0)
        return HOST_AND_NAME;
    return strstr(full, wish) ? PART : NO_MATCH;
}

static enum hf_status choose_default(PaDeviceIndex *out, struct hf_diag *diag)
{
    PaDeviceIndex index = Pa_GetDefaultOutputDevice();
    if (index >= 0 && output_at(index)) {
        *out = index;
        return HF_OK;
    }
    for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount(); i++) {
        if (output_at(i)) {
            *out = i;
            return HF_OK;
        }
    }
    hf_fail(diag, HF_E_DEVICE, "no sound output was found");
    hf_advise(diag, "holdfast render ... -o FILE.wav makes the same session as a sound file");
    return HF_E_DEVICE;
}

enum hf_status hf_live_choose(const char *name, PaDeviceIndex *out, struct hf_diag *diag)
{
    PaDeviceIndex any = paNoDevice;
    enum hf_status status = choose_default(&any, diag);
    if (status != HF_OK || !name) {
        if (status == HF_OK)
            *out = any;
        return status;
    }
    PaDeviceIndex best = paNoDevice;
    enum match quality = NO_MATCH;
    int equals = 0;
    for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount(); i++) {
        const PaDeviceInfo *device = output_at(i);
        enum match this = device ? match(name, i) : NO_MATCH;
        if (this == NO_MATCH || this > quality)
            continue;
        equals = this < quality ? 1 : equals + 1;
        quality = this;
        best = i;
    }
    if (equals == 1) {
        *out = best;
        return HF_OK;
    }
    hf_fail(diag, HF_E_DEVICE,
            equals ? "several sound outputs are called '%s'" : "no sound output is called '%s'",
            name);
    hf_advise(diag, "holdfast outputs lists them; HOST: NAME says which one");
    return HF_E_DEVICE;
}
